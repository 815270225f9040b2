"""What one room gets as one thing to carry: its folder again, or a zip, encrypted on request.

Packed is what `needs` laid out and nothing else: every file must be there with its hash, and
nothing beside them. The office's folder, with who sits where, is in no pack.
"""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING, Final

from pausewright.deliver.output_folder import CONFIDENTIAL
from pausewright.deliver.room_layout import PACKING_LIST, SUMS
from pausewright.deliver.zip_files import ZIP, write_zip
from pausewright.files.writing import (
    keep_private,
    make_folder,
    move,
    part_beside,
    put_new,
    unwritable,
)
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.file_kinds import PACKING_LIST as LIST_FILE
from pausewright.intake.plain_file import file_text, opened, sha256_of
from pausewright.problems import OutputError, PausewrightError

if TYPE_CHECKING:
    from pathlib import Path

LEAST_SIGNS: Final = 12
"""Of a password: fewer can be tried out by a machine (common practice, no source)."""


@frozen
class Packed:
    """What was packed."""

    target: Path
    n_files: int
    n_bytes: int
    is_encrypted: bool
    sha256: str
    """Of the zip, to be told by another way than the zip; "" for a folder."""


def pack(room: Path, target: Path, password: str = "") -> Packed:
    """Pack the folder of a room.

    Parameters
    ----------
    room : a room's folder as `needs` laid it out
    target : "….zip", or a folder; not there yet
    password : encrypts a zip; "" leaves it readable

    Raises
    ------
    OutputError
        If the folder is not as it was laid out, the target is there, the password is short or
        for a folder, or something cannot be written.
    """
    is_zip = target.suffix.lower() == ZIP
    if password and not is_zip:
        raise OutputError("a folder cannot be encrypted", "give a name that ends in .zip")
    if password and len(password) < LEAST_SIGNS:
        raise OutputError(
            f"the password has {len(password)} signs and needs {LEAST_SIGNS}",
            "some words in a row are easy to type and hard to guess",
        )
    if target.exists() or target.is_symlink():
        raise OutputError(f"‘{target}’ is there already and was left as it is", "move it away")
    names = as_laid_out(room)
    part = part_beside(target)
    try:
        if is_zip:
            write_zip(part, room, names, password)
            keep_private(part)
            put_new(part, target)
        else:
            for name in names:
                place = part / name
                make_folder(place.parent, private=True)
                with opened(room / name, BUILT_FILE, room) as held, place.open("xb") as copy:
                    shutil.copyfileobj(held, copy)
                keep_private(place)
            move(part, target)
    except OSError as error:
        raise unwritable(target, error) from error
    finally:
        if part.is_dir():
            shutil.rmtree(part, ignore_errors=True)
        else:
            part.unlink(missing_ok=True)
    n_bytes = sum((room / name).stat().st_size for name in names)
    sha256 = sha256_of(target, kind=BUILT_FILE) if is_zip else ""
    return Packed(target, len(names), n_bytes, bool(password), sha256)


def as_laid_out(room: Path) -> list[str]:
    """Return the names of all files of a room or a player; refuse what is not as it was laid out.

    Raises
    ------
    OutputError
        If a file is missing, changed or too many, or it was not laid out by `needs`.
    """
    again = f"pausewright check {room.name} says what; lay the rooms out again (needs)"
    if room.name == CONFIDENTIAL or not (room / PACKING_LIST).is_file():
        raise OutputError(
            f"‘{room}’ is no room's folder that `needs` laid out", "give one, as rooms/Hall"
        )
    try:
        rows = file_text(room / SUMS, LIST_FILE).splitlines()
        listed = {name: sha256 for sha256, _, name in (row.partition("  ") for row in rows)}
        there = {file.relative_to(room).as_posix() for file in room.rglob("*") if not file.is_dir()}
        differing = sorted(there - {SUMS} ^ set(listed)) or [
            name
            for name, sha256 in sorted(listed.items())
            if sha256_of(room / name, kind=BUILT_FILE, inside=room) != sha256
        ]
    except PausewrightError as error:
        raise OutputError(error.message, again) from error
    if differing:
        raise OutputError(f"‘{differing[0]}’ is not as it was laid out for this room", again)
    return [*listed, SUMS]
