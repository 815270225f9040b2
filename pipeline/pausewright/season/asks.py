"""What is asked of a worker and what it answers: plain values that travel between processes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias, final

from pausewright.deliver.build_options import Options
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.studios import StudioSetting
    from pausewright.deliver.version_parts import Part
    from pausewright.problems import Problem
    from pausewright.records.season_shapes import SeasonRow
    from pausewright.screen.room_screen import Sound as ScreenSound
    from pausewright.season.store import Stored
    from pausewright.sound.track_files import Format
    from pausewright.video.video_kinds import VideoKind
    from pausewright.wording.line_elements import Utterance

Kind: TypeAlias = Literal["read", "bundle", "kept", "voice", "lay", "papers", "check"]
"""Of a task. "bundle" and "kept" only carry files to workers that see no shared folder."""


@frozen
class Carried:
    """A file on its way to a machine that does not see it."""

    path: str
    """Relative, with forward slashes."""
    content: bytes | Stored
    """What is in it, or where that lies in the object store of the season."""
    n_bytes: int
    mode: int
    """Its permissions."""
    is_folder_private: bool
    changed_ns: int


Parcel: TypeAlias = tuple[Carried, ...]


@frozen
class Bundle:
    """The files of a season's folder, for workers that do not see it."""

    mark: str
    """SHA-256 of all that is in it."""
    parcel: Parcel


@frozen
class Making:
    """How every test of a season is made: the options of a build that decide its bytes."""

    formats: tuple[Format, ...] = ("mp3",)
    screen: ScreenSound = "beside"
    videos: tuple[VideoKind, ...] = ()
    split_at_stops: bool = False
    text_papers: bool = False
    mark_scheme: bool = False

    def options(self, out: Path) -> Options:
        """Return the options of a build with one voice at a time."""
        return Options(
            out,
            self.formats,
            workers=1,
            screen=self.screen,
            videos=self.videos,
            split_at_stops=self.split_at_stops,
            text_papers=self.text_papers,
            mark_scheme=self.mark_scheme,
        )


@frozen
class Where:
    """Where a season's files lie, as the machine sees them that reads, places and tells."""

    folder: Path
    """The season's folder, absolute."""
    out: Path
    """The folder of results, absolute; each test has a folder in it."""
    work: Path
    """What is kept between runs: parts of versions, what was read, scratch; private."""
    is_shared: bool = True
    """Whether every worker sees these folders at these paths."""
    store: str = ""
    """URL of the season's place in an object store, through which files travel then."""


@frozen
class TestAsk:
    """One test, as its script was when it was read."""

    where: Where
    script: Path
    inputs: str
    """Mark of the script and what belongs to it alone: `inputs.own_mark`."""
    making: Making

    @property
    def name(self) -> str:
        """Of the test: that of its script without the ending."""
        return self.script.stem


@final
@frozen
class TakeAsk:
    """One utterance of the season, to be voiced once."""

    where: Where
    key: str
    """Of its finished take."""
    setting: StudioSetting
    utterance: Utterance
    also: tuple[Path, ...] = ()
    """Folders of other scripts that say it too: their kept takes get it as well."""


@final
@frozen
class VersionAsk:
    """One version of a test."""

    test: TestAsk
    label: str
    key: str
    """Its build key."""
    part: str
    """Name under which its parts are kept."""
    standard: tuple[str, str] | None = None
    """Label and part of the standard version if that is made in this season too."""

    def name(self, step: str) -> str:
        """Return the name under which what a step makes is kept."""
        return f"{self.part}-{step}"


@frozen
class TakeNeed:
    """A take that versions of a test need."""

    key: str
    setting: StudioSetting
    utterance: Utterance
    after: str = ""
    """Key of the take at the standard pace that its length is a share of."""


@frozen
class VersionRead:
    """A version as it was read."""

    label: str
    key: str
    part: str
    is_due: bool
    takes: tuple[str, ...] = ()
    """Keys of the takes that it needs; empty if it is current."""


@frozen
class TestRead:
    """A test without errors, read: what has to be made of it."""

    ask: TestAsk
    title: str
    edition: str
    declared: tuple[str, ...]
    """Labels of all versions."""
    versions: tuple[VersionRead, ...]
    takes: dict[str, TakeNeed]
    """By key."""
    warnings: tuple[Problem, ...]
    standard: str = ""
    """Label of the standard version if it is due and others are compared with it."""

    @property
    def due(self) -> tuple[VersionRead, ...]:
        """The versions that are not current."""
        return tuple(one for one in self.versions if one.is_due)


@frozen
class Fault:
    """Why a task could not be done."""

    message: str
    hint: str = ""
    problems: tuple[Problem, ...] = ()
    """Of the script, if they are its author's."""
    may_pass: bool = False
    """Whether another worker, or another time, may bring it to an end: a full disk, memory."""
    lacks_takes: bool = False
    """Whether takes that were kept are gone: they are voiced again."""


@frozen
class Voiced:
    """An utterance that is kept now."""

    n_voiced: int
    """Times that a voice said it, further takes counted; 0 if it was kept already."""
    parcel: Parcel = ()
    """Its takes, for workers that see no shared folder."""


@frozen
class Made:
    """A step of a version that was made."""

    name: str
    """Under which its part is kept."""
    part: Part
    parcel: Parcel = ()
    """Its files, where workers see no shared folder."""
    rows: tuple[SeasonRow, ...] = ()
    """Of the table; only of a check."""
    is_good: bool = True
    report: str = ""
    """The report in words if it is not good."""


@frozen
class Outcome:
    """What came of a task, and what it took."""

    value: object = None
    """`TestRead`, `Bundle`, `Voiced` or `Made`."""
    fault: Fault | None = None
    took_s: float = 0.0
    """Seconds in the worker."""
    opened: tuple[str, ...] = ()
    """Rows of the files below the season's folder that were read: `inputs.rows_below`."""
