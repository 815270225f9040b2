"""What the desk asks its workers and what they answer: a line of JSON each, typed at both ends."""

from __future__ import annotations

from pathlib import Path
from typing import Final, TypeAlias

import msgspec
from msgspec import Struct

from pausewright.desk.day_messages import (
    Compared,
    Differ,
    HeardSoFar,
    Laid,
    LayOut,
    LookAtRooms,
    MakeExcerpt,
    NotePlayed,
    Pack,
    ReadStick,
    Run,
    ShowTrack,
    Sign,
    StickRead,
    Stopped,
    TrackShown,
    Where,
    WriteStick,
)
from pausewright.desk.try_messages import Row, Tried, TryText

# ---- asks ---------------------------------------------------------------------------------


class Look(Struct, frozen=True, tag=True):
    """Say in what state a test is."""

    script: str
    out: str
    is_whole: bool = False
    """Whether nothing that was read before may be used."""


class Choices(Struct, frozen=True):
    """How a test is to be made; as the options of `build`."""

    names: tuple[str, ...] = ()
    """Labels of versions; none: all."""
    formats: tuple[str, ...] = ("mp3",)
    videos: tuple[str, ...] = ()
    is_inline: bool = False
    """Whether the room screen holds the sound."""
    splits: bool = False
    text_papers: bool = False
    mark_scheme: bool = False


class Make(Struct, frozen=True, tag=True):
    """Build versions of a test."""

    script: str
    out: str
    choices: Choices


class Check(Struct, frozen=True, tag=True):
    """Check a delivered file or folder."""

    path: str
    script: str
    """ "": it is only measured."""
    page: str
    """Where the report goes, as a page."""
    is_blind: bool = False
    more: dict[str, str] = {}
    """Options of `check` that are seldom wanted, by their names; files as paths."""


class Print(Struct, frozen=True, tag=True):
    """Write the papers alone."""

    script: str
    out: str
    names: tuple[str, ...] = ()
    start: str = ""
    mark_scheme: bool = False
    text_papers: bool = False


class Compare(Struct, frozen=True, tag=True):
    """Lay versions side by side, as a page."""

    script: str
    out: str
    page: str


class ListVoices(Struct, frozen=True, tag=True):
    """List the voices that can be used in a folder."""

    folder: str


class HearVoice(Struct, frozen=True, tag=True):
    """Let a voice say a neutral sentence."""

    name: str
    folder: str
    sound: str


class HearLines(Struct, frozen=True, tag=True):
    """Let lines of a test be heard as on the track."""

    script: str
    what: str
    sound: str
    arrangement: str = ""
    tried: str = ""

    @property
    def growing(self) -> Path:
        """Where the sound can be read while it is voiced, once a step says `SOUNDING`."""
        sound = Path(self.sound)
        return sound.with_name(f"{sound.stem}-growing{sound.suffix}")


class ReadPaper(Struct, frozen=True, tag=True):
    """Make a script of a paper from elsewhere."""

    path: str
    title: str
    language: str
    readings: int
    between: str
    answer_time: str
    announce: str


DayAsk: TypeAlias = (
    ShowTrack
    | NotePlayed
    | Sign
    | Where
    | MakeExcerpt
    | Differ
    | LookAtRooms
    | LayOut
    | WriteStick
    | ReadStick
    | Pack
    | Run
)
"""What `day_work` and `run_work` do."""
Ask: TypeAlias = (
    Look
    | Make
    | Check
    | Print
    | Compare
    | TryText
    | ListVoices
    | HearVoice
    | HearLines
    | ReadPaper
    | DayAsk
)

# ---- answers ------------------------------------------------------------------------------


class Said(Struct, frozen=True):
    """A sentence of the script that is said or shown otherwise than it is written."""

    line: int
    written: str
    spoken: str
    shown: str
    """ "": as it is written."""


class Given(Struct, frozen=True):
    """What is in force for a question, by its line."""

    line: int
    what: str
    """The question as listening takes it: "7", "practice:1"."""
    values: dict[str, str]
    """Attribute → its value in words, with where it comes from."""


class Built(Struct, frozen=True):
    """A file that a build delivered."""

    path: str
    """Relative to the folder of the build, with forward slashes."""
    kind: str
    place: str
    """To whom it goes: player, candidates, staff, reader, office."""


class Version(Struct, frozen=True):
    """A version as it is declared, and what there is of it."""

    label: str
    name: str
    state: str
    """ "new", "changed", "other", "spoiled" or "made"."""
    length_s: float = 0
    files: tuple[Built, ...] = ()
    heard: str = ""
    """What of it was heard, as a sentence; who signed for the sound is named there."""
    is_signed: bool = False
    """Whether the track is no draft."""


class Looked(Struct, frozen=True, tag=True):
    """The state of a test."""

    title: str
    n_questions: int
    edition: str
    problems: tuple[Row, ...]
    n_left_out: int
    """Problems that are not listed."""
    versions: tuple[Version, ...]
    choices: Choices
    """How it was made before; the usual ones where it was not."""
    said: tuple[Said, ...] = ()
    given: tuple[Given, ...] = ()
    arrangements: tuple[tuple[str, str], ...] = ()
    """Labels and names of all that are declared, also while something is wrong."""
    opened: tuple[str, ...] = ()
    """Files that were opened to read it; for the desk alone."""

    @property
    def n_errors(self) -> int:
        """How many of the listed problems keep it from being made."""
        return sum(one.severity == "error" for one in self.problems)


class MadeVersion(Struct, frozen=True):
    """A version that is there now."""

    label: str
    is_fresh: bool
    length_s: float
    notes: tuple[str, ...]
    measured: tuple[str, ...]


class Made(Struct, frozen=True, tag=True):
    """What a build came to: versions that were delivered, or reports of what failed."""

    versions: tuple[MadeVersion, ...]
    failed: tuple[str, ...]
    warnings: tuple[Row, ...]


class Cause(Struct, frozen=True):
    """A cause that the check found, by its head."""

    severity: str
    at: str
    sentence: str
    place: str
    hint: str


class Checked(Struct, frozen=True, tag=True):
    """What a check found; the whole of it stands in its page."""

    heading: str
    verdict: str
    counts: str
    is_good: bool
    is_measured: bool
    """Whether nothing was compared."""
    causes: tuple[Cause, ...]
    cautions: tuple[str, ...]


class Printed(Struct, frozen=True, tag=True):
    """What became of the papers."""

    files: tuple[str, ...]
    """Names alone."""
    is_timed: bool
    notes: tuple[str, ...]


class PaperRead(Struct, frozen=True, tag=True):
    """The script of a paper."""

    text: str
    n_questions: int
    n_doubts: int
    left: tuple[tuple[str, str], ...]
    """What was left out, and why."""
    cautions: tuple[str, ...]


class PageWritten(Struct, frozen=True, tag=True):
    """The page is where it was asked for."""


class Voice(Struct, frozen=True):
    """A voice."""

    name: str
    language: str
    engine: str
    licence: str
    origin: str
    caution: str


class Voices(Struct, frozen=True, tag=True):
    """The voices that can be used."""

    voices: tuple[Voice, ...]


class HeardSound(Struct, frozen=True):
    """One sound of what is heard."""

    start_s: float
    words: str
    voice: str
    take: str = ""
    n_samples: int = 0


class Heard(Struct, frozen=True, tag=True):
    """The sound is where it was asked for."""

    caution: str = ""
    length_s: float = 0
    sounds: tuple[HeardSound, ...] = ()
    entry: str = ""
    """What to write under `words:` to keep a word that was tried."""


class Refused(Struct, frozen=True, tag=True):
    """It could not be done, in the words of the command line."""

    message: str
    hint: str = ""
    problems: tuple[Row, ...] = ()


class RoomsLooked(Struct, frozen=True, tag=True):
    """The list of needs, what is laid out, and sticks."""

    problems: tuple[Row, ...]
    """Of the list."""
    n_left_out: int
    n_candidates: int
    laid: tuple[Laid, ...]
    sticks: tuple[tuple[str, int], ...]
    """Paths, and bytes that are free."""

    @property
    def n_errors(self) -> int:
        """How many problems keep rooms from being laid out."""
        return sum(one.severity == "error" for one in self.problems)


class Ran(Struct, frozen=True, tag=True):
    """What a command came to."""

    sentence: str
    is_good: bool = True
    text: str = ""
    """What the command prints."""
    files: tuple[str, ...] = ()
    """Names of what was written, from the folder of the tests on."""
    notes: tuple[str, ...] = ()
    problems: tuple[Row, ...] = ()
    has_page: bool = False
    following: str = ""
    """The form that comes next, with what it is about in `about`; "" for none."""
    about: str = ""


DayAnswer: TypeAlias = TrackShown | HeardSoFar | Stopped | Compared | StickRead | RoomsLooked | Ran
Answer: TypeAlias = (
    Looked
    | Made
    | Checked
    | Printed
    | PaperRead
    | PageWritten
    | Tried
    | Voices
    | Heard
    | Refused
    | DayAnswer
)

# ---- lines --------------------------------------------------------------------------------


class Asked(Struct, frozen=True):
    """A line to a worker."""

    n: int
    ask: Ask


class Step(Struct, frozen=True):
    """How far a stage of the work is."""

    stage: str
    n_done: int
    n_all: int


SOUNDING: Final = "sounding"
"""Stage of the step that says that the first sound can be heard."""


class Told(Struct, frozen=True):
    """A line from a worker: a step on the way, or the answer."""

    n: int
    step: Step | None = None
    answer: Answer | None = None


PATIENT: Final = "patient"
"""Told to a worker that shall let other processes go first."""
ASKED: Final = msgspec.json.Decoder(Asked)
TOLD: Final = msgspec.json.Decoder(Told)


def line_of(message: Asked | Told) -> bytes:
    """Return a message as one line."""
    return msgspec.json.encode(message) + b"\n"
