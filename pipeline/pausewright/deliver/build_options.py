"""How to build, how far a build is, and what it came to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.arrange.arrangement import STANDARD
from pausewright.frozen import frozen
from pausewright.records.shapes import NOT_HEARD

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from fractions import Fraction
    from pathlib import Path

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.checker.result.findings import CheckResult
    from pausewright.problems import Problem
    from pausewright.screen.room_screen import Sound as ScreenSound
    from pausewright.sound.track_files import Format
    from pausewright.video.video_kinds import VideoKind
    from pausewright.voice.engine_kinds import EngineKind
    from pausewright.voice.profile import VoiceProfile


@frozen
class Progress:
    """One step of a build on its way."""

    stage: str
    """"voicing", "writing", "filming", "checking", or "versions", "scripts" where several are
    built."""
    n_done: int
    n_all: int


@frozen
class Options:
    """How to build."""

    out: Path
    formats: tuple[Format, ...] = ("mp3",)
    arrangement: str = STANDARD
    """Name or label of the arrangement that `build` builds."""
    workers: int = 2
    progress: Callable[[Progress], None] | None = None
    engines: Mapping[str, EngineKind] | None = None
    """Voice engines by name; the built-in ones unless given."""
    profiles: Mapping[str, VoiceProfile] | None = None
    """Voices by name; the bundled ones and those beside the script unless given."""
    screen: ScreenSound = "beside"
    """Whether the room screen plays the file beside it or holds the audio."""
    videos: tuple[VideoKind, ...] = ()
    """Videos with captions, where captions may be shown."""
    text_papers: bool = False
    """Whether papers are written as plain text too."""
    mark_scheme: bool = False
    """Whether mark schemes are written, though the script does not ask for them."""
    start: str = ""
    """Time of day at which the track starts, "09:15"; "" if it is not known."""
    split_at_stops: bool = False
    """Whether every version is also written in pieces, cut at its stops."""

    def formats_of(self, arrangement: Arrangement) -> tuple[Format, ...]:
        """Return the formats of a version's track: the arrangement's own, else these."""
        return tuple(dict.fromkeys(arrangement.formats or self.formats))

    def splits(self, arrangement: Arrangement) -> bool:
        """Return whether a version is also written in pieces."""
        return self.split_at_stops or arrangement.split is not None

    def tell(self, stage: str, n_done: int, n_all: int) -> None:
        """Say how far the build is, if anybody wants to know."""
        if self.progress is not None:
            self.progress(Progress(stage, n_done, n_all))


@frozen
class Built:
    """What a build came to."""

    folder: Path
    label: str
    edition: str
    files: tuple[Path, ...]
    checks: tuple[CheckResult, ...]
    """One for each audio file; empty if nothing had to be built."""
    warnings: tuple[Problem, ...]
    notes: tuple[str, ...]
    """What was measured on the way, in sentences."""
    is_fresh: bool
    """False if the folder was already current."""
    length_s: Fraction
    n_voiced: int = 0
    n_kept: int = 0
    heard_by: str = NOT_HEARD
    """Who signed for the sound, else how much of it was played, or that nobody has heard it."""

    @property
    def is_good(self) -> bool:
        """Whether the check passed on every file."""
        return all(check.is_good for check in self.checks)


class CheckFailedError(Exception):
    """The check found something wrong on what was built; nothing was delivered."""

    def __init__(self, checks: Sequence[CheckResult]) -> None:
        """Keep the results."""
        super().__init__("the check found something wrong on what was built")
        self.checks = tuple(checks)
