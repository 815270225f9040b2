"""What commands that were stopped left in a folder: listed, and removed when a person says so."""

from __future__ import annotations

import os
import re
import shutil
import stat
import time
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.files.stage import discard, owner_state, stages_in
from pausewright.files.swap import is_half_way
from pausewright.files.writing import unwritable
from pausewright.frozen import frozen
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from collections.abc import Iterable

Kind: TypeAlias = Literal["stage", "older", "part"]

_KINDS: Final[tuple[tuple[Kind, re.Pattern[str]], ...]] = (
    ("older", re.compile(r"\..+\.[0-9a-f]{8}\.(building|old)")),
    ("part", re.compile(r"\..+\.[0-9a-f]{8}\.part")),
)


@frozen
class Leftover:
    """Something that a command left."""

    path: Path
    kind: Kind
    n_bytes: int
    note: str
    """What to know before it is removed."""


def leftovers(folders: Iterable[Path]) -> tuple[Leftover, ...]:
    """Return what was left in folders, without what a living command of this machine is using."""
    found: list[Leftover] = []
    for folder in dict.fromkeys(Path(os.path.realpath(one)) for one in folders):
        for stage in stages_in(folder):
            state = owner_state(stage)
            if state != "living":
                found.append(Leftover(stage, "stage", _n_bytes(stage), _note(stage, state)))
        found += _others(folder)
    return tuple(found)


def remove_leftovers(found: Iterable[Leftover]) -> None:
    """Remove them; a swap that was begun is taken back first, so that the old results are whole.

    Raises
    ------
    OutputError
        If something cannot be removed, or a command is at work there.
    """
    for one in found:
        try:
            if one.kind == "stage":
                discard(one.path)
            elif one.path.is_dir() and not one.path.is_symlink():
                shutil.rmtree(one.path)
            else:
                one.path.unlink(missing_ok=True)
        except OSError as error:
            hint = "close other programs that use it and try again"
            raise unwritable(one.path, error, hint) from error
        if os.path.lexists(one.path):
            raise OutputError(f"‘{one.path}’ cannot be removed", "remove it by hand")


def _note(stage: Path, state: str) -> str:
    if state == "elsewhere":
        return "another machine made it and may still be at work"
    return "half-way: the results from before are put back first" if is_half_way(stage) else ""


_PART_AGE_S: Final = 3600.0
"""A file that somebody is writing is younger."""


def _others(folder: Path) -> list[Leftover]:
    found = []
    try:
        paths = sorted(folder.iterdir())
    except OSError:
        return []
    for path in paths:
        kind = next((kind for kind, name in _KINDS if name.fullmatch(path.name)), None)
        if kind == "older":
            note = "an older version may have left your own files or your last results in it"
            found.append(Leftover(path, kind, _n_bytes(path), f"look into it first: {note}"))
        elif kind == "part" and time.time() - path.lstat().st_mtime > _PART_AGE_S:
            found.append(Leftover(path, kind, _n_bytes(path), ""))
    return found


def _n_bytes(path: Path) -> int:
    """Return the bytes of a file, or of all plain files in a folder."""
    n_bytes = 0
    for one in (path, *(path.rglob("*") if not path.is_symlink() else ())):
        try:
            found = one.lstat()
        except OSError:
            continue
        n_bytes += found.st_size if stat.S_ISREG(found.st_mode) else 0
    return n_bytes
