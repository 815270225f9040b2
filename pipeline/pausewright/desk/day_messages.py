"""Asks and answers of listening, signing, rooms, the day itself and single commands."""

from __future__ import annotations

from msgspec import Struct

# ---- asks ---------------------------------------------------------------------------------


class ShowTrack(Struct, frozen=True, tag=True):
    """Say what is on a built track, and what of it was heard and signed."""

    script: str
    out: str
    label: str
    edition: str
    """Of the script as it stands."""


class NotePlayed(Struct, frozen=True, tag=True):
    """Note what was played of a track, as `heard` takes it from a log."""

    script: str
    out: str
    label: str
    edition: str
    played_s: tuple[tuple[str, str], ...]
    starts: tuple[tuple[str, str], ...] = ()
    """Where each question begins, as the track was shown."""


class Sign(Struct, frozen=True, tag=True):
    """Sign for what was built."""

    script: str
    out: str
    name: str
    signed_for: str
    labels: tuple[str, ...]
    key: str = ""
    """A file of a private key; "" for none."""


class Where(Struct, frozen=True, tag=True):
    """Say what a stop in the room meant."""

    script: str
    out: str
    version: str
    place: str = ""
    start: str = ""
    clock: str = ""
    waited: str = ""
    again: str = ""
    sheet: str = ""
    """The incident sheet to write; "" for none."""


class MakeExcerpt(Struct, frozen=True, tag=True):
    """Write some questions of a track as a file."""

    script: str
    out: str
    questions: str
    version: str
    target: str


class Differ(Struct, frozen=True, tag=True):
    """Compare two states of a test, or the shapes of two tests."""

    old: str
    new: str
    out: str
    rooms: str = ""
    by_shape: bool = False


class LookAtRooms(Struct, frozen=True, tag=True):
    """Say what is wrong with a list of needs, what is laid out, and which sticks there are."""

    needs: str
    rooms: str
    arrangements: tuple[tuple[str, str], ...]
    """Labels and names that are declared."""


class LayOut(Struct, frozen=True, tag=True):
    """Lay out rooms."""

    script: str
    needs: str
    out: str
    rooms: str
    start: str = ""


class WriteStick(Struct, frozen=True, tag=True):
    """Write a laid-out folder to a stick, and read it back."""

    laid_out: str
    stick: str
    replace: bool = False


class ReadStick(Struct, frozen=True, tag=True):
    """Compare a stick with what is laid out."""

    rooms: str
    stick: str


class Pack(Struct, frozen=True, tag=True):
    """Pack a room."""

    room: str
    target: str
    password: str = ""


class Run(Struct, frozen=True, tag=True):
    """Do what a command does, by its form on the page `More`."""

    key: str
    script: str
    """ "" for a form of the whole folder."""
    folder: str
    out: str
    values: dict[str, tuple[str, ...]]
    """Of the form's fields, by name; a box that is ticked has one."""
    files: dict[str, str]
    """Files that were chosen or handed in, by the field's name."""
    page: str = ""
    """Where a page goes, if the form makes one."""


# ---- answers ------------------------------------------------------------------------------


class Piece(Struct, frozen=True):
    """One stretch of a track."""

    kind: str
    start: str
    """Exact seconds, as a fraction."""
    length: str
    words: str
    number: str


class SignedLine(Struct, frozen=True):
    """One person's word."""

    signed_for: str
    by: str
    on: str
    edition: str


class TrackShown(Struct, frozen=True, tag=True):
    """What is on a built track."""

    label: str
    edition: str
    is_current: bool
    """Whether the script is still of that edition."""
    pieces: tuple[Piece, ...]
    starts: tuple[tuple[str, str], ...]
    """Questions as candidates know them, and where each begins, in exact seconds."""
    heard: str
    """How much of it was heard, as a sentence."""
    missing: tuple[tuple[str, str], ...]
    """Questions that were not heard whole, and where each begins."""
    holding: tuple[str, ...]
    """Who signed for what, a line each, as the record has it."""
    state: str
    """ "draft" or "signed"."""
    signed: tuple[SignedLine, ...]
    """All words that were given for this version, whether or not they still hold."""


class HeardSoFar(Struct, frozen=True, tag=True):
    """How much of a version was heard."""

    sentence: str
    missing: tuple[tuple[str, str], ...]


class Stopped(Struct, frozen=True, tag=True):
    """What a stop meant."""

    label: str
    edition: str
    at: str
    what: str
    sentences: tuple[str, ...]
    resume: str
    to_come: str
    n_stops: int
    end: str
    """When it is over; "" if that is not known."""
    warnings: tuple[str, ...]
    sheet: str
    """Name of the incident sheet; "" if none was written."""


class Compared(Struct, frozen=True, tag=True):
    """What differs between two states, and what follows."""

    is_same: bool
    holds: bool
    changed: tuple[str, ...]
    make: tuple[str, ...]
    reprint: tuple[str, ...]
    withdraw: tuple[str, ...]
    stays: tuple[str, ...]
    rooms: tuple[tuple[str, tuple[str, ...]], ...]
    """Rooms, and what of each is to be replaced."""
    hear: tuple[str, ...]
    text: str
    """The whole of it, as the command prints it."""


class Laid(Struct, frozen=True):
    """A folder of a room or of one of its players."""

    path: str
    """From the folder of all rooms on."""
    room: str
    player: int
    """0 for the whole room."""
    labels: tuple[str, ...]
    """Versions that a player plays."""
    by_loudspeaker: bool
    edition: str
    files: tuple[str, ...]
    n_bytes: int


class CopyFound(Struct, frozen=True):
    """A folder on a stick, compared."""

    name: str
    what: str
    edition: str
    n_files: int
    wrong: tuple[str, ...]


class StickRead(Struct, frozen=True, tag=True):
    """What a stick holds."""

    stick: str
    copies: tuple[CopyFound, ...]
    was_written: bool

    @property
    def is_right(self) -> bool:
        """Whether all on it is as it was laid out."""
        return not any(one.wrong for one in self.copies)
