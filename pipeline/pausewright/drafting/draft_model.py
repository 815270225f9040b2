"""What a draft holds, as plain values, before it is written as a script."""

from __future__ import annotations

from dataclasses import dataclass, field

from pausewright.frozen import frozen


@frozen
class Doubt:
    """Something that a person should listen to or look at."""

    at_ms: int | None
    """Where to listen; None for what is nowhere in the recording."""
    sentence: str

    @property
    def whole(self) -> str:
        """The sentence with its time."""
        return (
            self.sentence
            if self.at_ms is None
            else f"listen at {clock(self.at_ms)}: {self.sentence}"
        )


@dataclass(slots=True)
class Reading:
    """A stretch of the recording in which something is read."""

    start_ms: int
    end_ms: int
    start_within_ms: int
    end_within_ms: int
    heard: str = ""
    """As a recogniser wrote it down."""


@dataclass(slots=True)
class Said:
    """A question or other speech of the recording."""

    is_question: bool
    words: str
    """"" where nobody knows them."""
    readings: list[Reading]
    number: int = 0
    """Of a question, in the script."""
    after_ms: int | None = None
    """The silence after its last reading: of a question the measured answer time."""
    after_value_ms: int | None = None
    """The same as it was likely declared."""
    between_ms: list[int] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)


@dataclass(slots=True)
class Draft:
    """A whole draft."""

    said: list[Said]
    doubts: list[Doubt]
    """What belongs to no line of it."""
    length_ms: int
    speech_dbfs: float
    noise_dbfs: float

    @property
    def questions(self) -> list[Said]:
        """Return its questions, in order."""
        return [one for one in self.said if one.is_question]

    @property
    def all_doubts(self) -> list[Doubt]:
        """Return all doubts, by their time; those without one first."""
        rows = [*self.doubts, *(doubt for one in self.said for doubt in one.doubts)]
        return sorted(rows, key=lambda one: -1 if one.at_ms is None else one.at_ms)


def clock(at_ms: int) -> str:
    """Return a time as a person finds it in a player: 3:12.4."""
    tenths = round(at_ms / 100)
    return f"{tenths // 600}:{tenths % 600 // 10:02}.{tenths % 10}"
