"""What the page of a report shows, as plain values for its template."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from pausewright.checker.listen.waveform import Wave
    from pausewright.pages.strip import Strip
    from pausewright.problems import Severity


@frozen
class FindingPart:
    """A finding, or a cause by its head."""

    anchor: str
    severity: Severity
    at: str
    sentence: str
    numbers: list[tuple[str, str]]
    place: str = ""
    hint: str = ""
    wave: Wave | None = None
    follows: list[FindingPart] = field(default_factory=list)
    """What follows from it, each told by itself."""
    is_above: bool = False
    """Whether the head of a folder's page tells it, for all versions at once."""

    @property
    def opens(self) -> bool:
        """Whether there is more to see than one line."""
        return bool(self.numbers or self.hint or self.wave or self.follows)


@frozen
class RowPart:
    """A question in the table."""

    label: str
    starts: str
    readings: str
    declared: str
    measured: str
    differs: str
    declared_share: float | None
    """Per cent of the longest time in the table; None where no bars are drawn."""
    measured_share: float | None
    is_good: bool
    causes: list[tuple[str, str]]
    """Anchors and names of the causes whose findings belong to it."""


@frozen
class TrackPart:
    """A track."""

    anchor: str
    heading: str
    is_good: bool
    has_script: bool
    """Whether it was compared at all."""
    in_short: str
    strip: Strip | None
    causes: list[FindingPart]
    proofs: list[tuple[str, str]]
    """What proves an arrangement: its extra time, and the comparison with the standard track."""
    rows: list[RowPart]
    facts: list[tuple[str, str]]
    silences: list[tuple[str, str]]
    """Of a track without a script: where the longest begin, and how long they are."""
    silences_in_short: str
    totals: list[tuple[str, ...]]
    captions: list[tuple[str, ...]]
    versions: str
    cautions: list[str]


@frozen
class RoomPart:
    """A folder as it goes to a room, or a track by itself."""

    anchor: str
    heading: str
    is_good: bool
    is_compared: bool
    facts: list[tuple[str, str]]
    files: list[tuple[str, str, str]]
    causes: list[FindingPart]
    tracks: list[TrackPart]


@dataclass(slots=True)
class PagePart:
    """The whole page."""

    kind: str
    """What it is: a report, or a blind one."""
    heading: str
    verdict: str
    counts: str
    is_good: bool
    is_blind: bool
    causes: list[FindingPart]
    """What was found about the whole delivery."""
    rooms: list[RoomPart]
    cautions: list[str]

    @property
    def first(self) -> list[FindingPart]:
        """All causes, each once, those of the whole first."""
        found = list(self.causes)
        for room in self.rooms:
            found += room.causes
            for track in room.tracks:
                found += track.causes
        return [one for one in found if not one.is_above]
