"""Reading what a room's or a player's folder should hold: its packing list, and the rooms' record.

Each of them may have been edited or damaged: nothing in them is trusted to be of the right kind.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Annotated, Final, Literal, TypeVar

import msgspec
from msgspec import Meta, Struct

from pausewright.intake.file_kinds import BUILD_RECORD, PACKING_LIST
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.intake.file_kinds import Kind

LIST: Final = "packing-list.json"
SUMS: Final = "SHA256SUMS"
RECORD: Final = "build-record_rooms.json"
CONFIDENTIAL: Final = "confidential"
PLAYER_FOLDER: Final = re.compile(r"player-(?P<number>\d{1,4})_version-(?P<label>.+)")

T = TypeVar("T")

_Sha256 = Annotated[str, Meta(pattern="^[0-9a-f]{64}$")]
_Words = Annotated[str, Meta(min_length=1)]


class Sound(Struct, frozen=True):
    """What was counted in a track."""

    rate_hz: Annotated[int, Meta(ge=1)]
    n_samples: int

    @property
    def length_s(self) -> Fraction:
        """Its length."""
        return Fraction(self.n_samples, self.rate_hz)


class Packed(Struct, frozen=True):
    """One file that should be there."""

    name: str
    kind: str
    sha256: _Sha256
    version_label: str = ""
    content_mark: str = ""
    measured: Sound | None = None

    @property
    def folder(self) -> str:
        """The player's folder that it lies in; "" for a file of the room."""
        first, slash, _ = self.name.partition("/")
        return first if slash and PLAYER_FOLDER.fullmatch(first) else ""


class Player(Struct, frozen=True):
    """A machine that plays one version."""

    number: int
    folder: _Words
    version_label: _Words
    loudspeaker: bool
    places: int


class Reader(Struct, frozen=True):
    """A person who reads a version aloud."""

    number: int
    version_label: _Words
    places: int


class RoomList(Struct, frozen=True):
    """The packing list of a room's folder, or of a player's alone."""

    packing_list: Literal[2]
    room: _Words
    folder: _Words
    player: Annotated[int, Meta(ge=0)]
    """Whose folder this is; 0 for the whole room."""
    edition: _Words
    rooms: tuple[_Sha256, ...]
    """SHA-256 of the folder names of all rooms that were laid out together."""
    versions: tuple[_Words, ...]
    """Labels of all versions that were laid out together."""
    players: tuple[Player, ...]
    readers: tuple[Reader, ...]
    files: tuple[Packed, ...]

    @property
    def labels(self) -> tuple[str, ...]:
        """Versions that are heard here."""
        players = {one.version_label for one in self.players}
        return tuple(sorted(players | {one.version_label for one in self.readers}))


class _LaidOut(Struct, frozen=True):
    path: str
    sha256: _Sha256


class RoomsRecord(Struct, frozen=True):
    """What was laid out for all rooms together."""

    rooms_record: Literal[1]
    edition: str
    folders: tuple[str, ...]
    files: tuple[_LaidOut, ...]

    @property
    def by_path(self) -> dict[str, str]:
        """SHA-256 of every file, by its path from the folder of all rooms."""
        return {one.path: one.sha256 for one in self.files}


def read_list(file: Path) -> RoomList:
    """Return a packing list.

    Raises
    ------
    TrackError
        If it cannot be read or is none.
    """
    hint = "copy the folder again from where the rooms were laid out"
    found = _read(file, PACKING_LIST, RoomList, "packing list", hint)
    folders = [one.folder for one in found.players]
    if not all(map(_stays_inside, [found.folder, *folders, *(one.name for one in found.files)])):
        raise TrackError(f"‘{file.name}’ names a file outside its folder", hint)
    return found


def list_or_none(file: Path) -> RoomList | None:
    """Return a packing list; None if it is not there or cannot be read."""
    try:
        return read_list(file) if file.is_file() else None
    except TrackError:
        return None


def read_record(file: Path) -> RoomsRecord:
    """Return the record of rooms that were laid out.

    Raises
    ------
    TrackError
        If it cannot be read or is none.
    """
    hint = f"give {RECORD} from the folder {CONFIDENTIAL} of the rooms, or lay them out again"
    found = _read(file, BUILD_RECORD, RoomsRecord, "record of rooms", hint)
    if not all(map(_stays_inside, [*found.folders, *found.by_path])):
        raise TrackError(f"‘{file.name}’ names a file outside its folder", hint)
    return found


def _read(file: Path, kind: Kind, shape: type[T], what: str, hint: str) -> T:
    raw = file_bytes(file, kind)
    try:
        return msgspec.json.decode(raw, type=shape)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as why:
        raise TrackError(f"‘{file.name}’ is no {what} that this version reads", hint) from why


def _stays_inside(name: str) -> bool:
    path = PurePosixPath(name)
    return bool(name) and not (
        path.is_absolute() or ".." in path.parts or "\\" in name or ":" in name
    )
