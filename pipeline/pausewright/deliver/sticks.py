"""Sticks: a folder of a room or a player written to one, and read back file by file.

What is written is what `pack` packs, whole or not at all, under the folder's own name. What is read
back is compared with the hashes of what was laid out here, never with a list on the stick itself.
Ejecting is the system's.
"""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.checker.files.held_files import is_of_the_system
from pausewright.deliver.output_folder import CONFIDENTIAL
from pausewright.deliver.pack import as_laid_out, pack
from pausewright.deliver.room_layout import PACKING_LIST, SUMS
from pausewright.files.fresh import brought_to_disk, forgotten
from pausewright.files.writing import move, part_beside
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.file_kinds import PACKING_LIST as LIST_FILE
from pausewright.intake.plain_file import file_text, sha256_of
from pausewright.problems import OutputError, PausewrightError
from pausewright.records.record_files import read_as
from pausewright.records.shapes import RoomPackingList

if TYPE_CHECKING:
    from collections.abc import Iterator

_MOUNTED_BELOW: Final = ("/media", "/media/*", "/run/media/*", "/mnt", "/Volumes")
"""Where systems put sticks: each folder in one of these that is a disk of its own."""
_MOST_FOLDERS: Final = 200
"""Of a stick that are looked into."""
_GONE: Final = frozenset({errno.ENOENT, errno.EIO, errno.ENODEV, errno.ENXIO, errno.ESTALE})
"""What a system says when a stick was pulled out."""


@frozen
class Stick:
    """A disk that can be chosen."""

    path: Path
    free_bytes: int


@frozen
class Copied:
    """A folder on a stick, compared with what was laid out here."""

    name: str
    """Of the folder on the stick; "." for the stick itself."""
    what: str
    """Whose it is: "Hall, player 1"."""
    edition: str
    n_files: int
    wrong: tuple[str, ...]
    """A sentence for each file that is not as it was laid out; none: it is right."""

    @property
    def is_right(self) -> bool:
        """Whether every file is there as it was laid out, and nothing beside them."""
        return not self.wrong


def sticks() -> tuple[Stick, ...]:
    """Return the disks that the system has put in place for sticks; none where it tells of none."""
    found: list[Path] = []
    if sys.platform == "win32":
        found = [Path(f"{letter}:/") for letter in "DEFGHIJKLMNOPQRSTUVWXYZ"]
    else:
        for below in _MOUNTED_BELOW:
            found += sorted(Path("/").glob(f"{below[1:]}/*"))
    return tuple(_with_room(one for one in found if _is_disk(one)))


def _is_disk(path: Path) -> bool:
    try:
        return path.is_dir() and (sys.platform == "win32" or path.is_mount())
    except OSError:
        return False


def _with_room(paths: Iterator[Path]) -> Iterator[Stick]:
    for path in paths:
        with contextlib.suppress(OSError):
            if os.access(path, os.W_OK):
                yield Stick(path, shutil.disk_usage(path).free)


def write_stick(laid_out: Path, stick: Path, *, replace: bool = False) -> Copied:
    """Write a room's or a player's folder to a stick, and read it back.

    Parameters
    ----------
    laid_out : the folder as `needs` laid it out
    stick : a folder that is there: of a stick, or any other
    replace : whether a folder that was laid out before may be replaced; anything else never is

    Raises
    ------
    OutputError
        If the folder is not as it was laid out, something else has its name on the stick, or the
        stick is full, write-protected or was pulled out; then what was there is still there.
    """
    names = as_laid_out(laid_out)
    target = stick / laid_out.name
    try:
        if not stick.is_dir():
            raise OutputError(
                f"‘{stick}’ is not there", "put the stick in, wait until it is shown, and try again"
            )
        if target.is_symlink() or (target.exists() and not (target / PACKING_LIST).is_file()):
            raise OutputError(
                f"‘{target}’ is there already, is nothing that was laid out here, and was left as "
                "it is",
                "move it away, or take another stick",
            )
        if target.exists() and not replace:
            before = _compared(laid_out, target, target.name)
            if before.is_right:
                return before
            raise OutputError(
                f"‘{target}’ is there already from another time and was left as it is",
                "tick that it may be replaced, if that is what you want",
            )
        n_bytes = sum((laid_out / name).stat().st_size for name in names)
        if shutil.disk_usage(stick).free < n_bytes:
            raise OutputError(
                f"the stick has too little room: {n_bytes / 1e6:.0f} MB are needed",
                "remove something from it, or take another stick; nothing was written",
            )
        _put(laid_out, target)
    except OSError as error:
        raise told(error, stick) from error
    return _compared(laid_out, target, target.name)


def _put(laid_out: Path, target: Path) -> None:
    """Write the folder beside its place, then give it that; the older one goes last."""
    part = part_beside(target)
    older = part.with_name(f"{part.name}.old")
    try:
        pack(laid_out, part)
        brought_to_disk(part)
        if target.exists():
            move(target, older)
        try:
            move(part, target)
        except OSError:
            if older.exists():
                move(older, target)
            raise
    except OutputError as error:
        if isinstance(error.__cause__, OSError):
            raise error.__cause__ from None
        raise
    finally:
        for left in (part, older):
            shutil.rmtree(left, ignore_errors=True)


def told(error: OSError, stick: Path) -> OutputError:
    """Return what to say of a stick that could not be written or read."""
    if error.errno == errno.ENOSPC:
        return OutputError(
            "the stick is full, and nothing half-written was left on it",
            "remove something from it, or take another stick",
        )
    if error.errno in {errno.EROFS, errno.EACCES, errno.EPERM}:
        return OutputError(
            f"‘{stick}’ cannot be written: it is write-protected, or belongs to somebody else",
            "look for a small switch on it, or take another stick",
        )
    if error.errno in _GONE or not stick.is_dir():
        return OutputError(
            f"‘{stick}’ is no longer there: was it pulled out?",
            "put it in again and write it once more; do not use it as it is",
        )
    return OutputError(
        f"‘{stick}’ cannot be used ({error.strerror or error.errno})", "take another stick"
    )


def read_stick(rooms: Path, stick: Path) -> tuple[Copied, ...]:
    """Read every folder on a stick that was laid out, and compare it with what is laid out now.

    Parameters
    ----------
    rooms : the folder of all rooms, as `needs` laid it out
    stick : the stick, or a folder on it

    Raises
    ------
    OutputError
        If the stick is not there or holds nothing that was laid out.
    """
    try:
        found = tuple(_found(rooms, stick))
    except OSError as error:
        raise told(error, stick) from error
    if not found:
        raise OutputError(
            f"‘{stick}’ holds nothing that was laid out for a room",
            "choose the stick itself, or the folder that was written to",
        )
    return found


def _found(rooms: Path, stick: Path) -> Iterator[Copied]:
    if not stick.is_dir():
        raise OutputError(f"‘{stick}’ is not there", "put the stick in, and try again")
    inner = sorted(one for one in stick.iterdir() if one.is_dir() and not one.is_symlink())
    for folder in [stick, *inner[:_MOST_FOLDERS]]:
        if not (folder / PACKING_LIST).is_file():
            continue
        name = "." if folder == stick else folder.name
        listed = read_as(folder / PACKING_LIST, RoomPackingList, LIST_FILE, folder)
        here = None if listed is None else _here(rooms, listed)
        if listed is None:
            yield Copied(name, name, "", 0, ("its packing list cannot be read",))
        elif here is None:
            wrong = ("no such room or player is laid out here now: it is of another day or test",)
            yield Copied(name, _whose(listed), listed.edition, 0, wrong)
        else:
            yield _compared(here, folder, name)


def _here(rooms: Path, listed: RoomPackingList) -> Path | None:
    """Return the folder that is laid out here for the same room or player."""
    for own in laid_out_folders(rooms):
        found = packing_list(own)
        if found is not None and (found.room, found.player) == (listed.room, listed.player):
            return own
    return None


def laid_out_folders(rooms: Path) -> tuple[Path, ...]:
    """Return the folders of rooms and their players, each room before its players."""
    found: list[Path] = []
    for room in sorted(one.parent for one in rooms.glob(f"*/{PACKING_LIST}")):
        if room.name != CONFIDENTIAL:
            found += [room, *sorted(one.parent for one in room.glob(f"*/{PACKING_LIST}"))]
    return tuple(found)


def packing_list(folder: Path) -> RoomPackingList | None:
    """Return the packing list of a folder; None if it is none that can be read."""
    return read_as(folder / PACKING_LIST, RoomPackingList, LIST_FILE, folder)


def _compared(here: Path, copy: Path, name: str) -> Copied:
    """Compare a copy, as its disk gives it, with the hashes of what was laid out here."""
    rows = file_text(here / SUMS, LIST_FILE, here).splitlines()
    listed = {path: sha256 for sha256, _, path in (row.partition("  ") for row in rows)}
    listed[SUMS] = sha256_of(here / SUMS, kind=LIST_FILE, inside=here)
    there = {
        file.relative_to(copy).as_posix()
        for file in copy.rglob("*")
        if not file.is_dir() and not is_of_the_system(file.name)
    }
    wrong = [f"{path} is missing" for path in sorted(set(listed) - there)]
    wrong += [f"{path} does not belong there" for path in sorted(there - set(listed))]
    for path in sorted(there & set(listed)):
        forgotten(copy / path)
        try:
            is_same = sha256_of(copy / path, kind=BUILT_FILE, inside=copy) == listed[path]
        except PausewrightError:
            wrong.append(f"{path} cannot be read")
            continue
        if not is_same:
            wrong.append(f"{path} is not the one that is laid out here now")
    found = packing_list(here)
    whose = name if found is None else _whose(found)
    return Copied(name, whose, found.edition if found else "", len(listed), tuple(wrong))


def _whose(listed: RoomPackingList) -> str:
    return (
        f"{listed.room}, player {listed.player}" if listed.player else f"{listed.room}, all of it"
    )
