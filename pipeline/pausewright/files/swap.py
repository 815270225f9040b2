"""New results put among what is in a folder: each file by itself, all of them or none.

Files of the user's own are left where they are. What is moved stands on a journal before the
first move, and the removal of the journal is what makes the new results count, as SQLite does it
with its rollback journal (sqlite.org/atomiccommit.html): a swap that was stopped before that is
taken back, later only the stage is left to remove. Each step can be done twice.

A stage holds `new/`, what was built; `old/`, what it takes the place of; and the journal.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Final

from pausewright.files.writing import (
    is_private,
    keep_private,
    move,
    part_beside,
    put_new,
    sync,
    write_file,
)
from pausewright.frozen import frozen
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from collections.abc import Iterable
    from collections.abc import Set as AbstractSet

NEW: Final = "new"
OLD: Final = "old"
JOURNAL: Final = "journal.json"
_SYNCS_AT_ONCE: Final = 16


@frozen
class _Journal:
    """What a swap moves; paths are relative, with forward slashes."""

    new: tuple[str, ...]
    old: tuple[str, ...]
    made: tuple[str, ...]
    """Folders that were not there."""


def put_in_place(
    stage: Path, target: Path, *, ours: AbstractSet[str], keep: AbstractSet[str]
) -> None:
    """Put the files of `stage/new` into a folder, and take away those that they replace.

    Parameters
    ----------
    stage : on the file system of the target; its `new` is used up
    target : the folder; if it is not there, `new` takes its name at once
    ours : relative paths, with forward slashes, of files that may be replaced or taken away
    keep : those of them that are not taken away (but may be replaced)

    Raises
    ------
    OutputError
        If something else stands where a file is to be written; nothing was moved then.
    OSError
        If something cannot be moved; all was taken back then, if that was possible.
    """
    new = files_below(stage / NEW)
    with ThreadPoolExecutor(_SYNCS_AT_ONCE) as pool:  # a disk writes many files in one go
        list(pool.map(lambda path: sync(stage / NEW / path), new))
    _sync_folders(stage / NEW, new)
    if not os.path.lexists(target) and _is_put_whole(stage / NEW, target):
        sync(target.parent)
        return
    there = set(files_below(target))
    old = sorted(there & ours - (keep - set(new)))
    _refuse_collisions(target, new, set(old))
    made = sorted(one for one in _folders_of(new) if not (target / one).exists())
    _write_journal(stage, _Journal(tuple(new), tuple(old), tuple(made)))
    try:
        _move_all(stage, target, new, old)
        (stage / JOURNAL).unlink()
    except BaseException:
        take_back(stage, target)
        raise
    sync(stage)


def is_half_way(stage: Path) -> bool:
    """Return whether a swap was begun and neither done nor taken back."""
    return (stage / JOURNAL).exists()


def take_back(stage: Path, target: Path) -> None:
    """Undo a swap that was begun and did not come to its end; do nothing without one.

    Raises
    ------
    OutputError
        If something stands where an old file is to go back to, or the journal is damaged.
    OSError
        If something cannot be moved.
    """
    journal = _read_journal(stage)
    if journal is None:
        return
    for path in journal.new:
        _withdraw(stage / NEW / path, target / path)
    for path in journal.old:
        _restore(stage / OLD / path, target / path, stage / OLD, target)
    for folder in sorted(journal.made, reverse=True):
        with contextlib.suppress(OSError):  # somebody put something there
            (target / folder).rmdir()
    _sync_folders(target, (*journal.new, *journal.old))
    (stage / JOURNAL).unlink()
    sync(stage)


def files_below(folder: Path) -> list[str]:
    """Return the relative paths of all that is no folder, sorted; links are not followed."""
    found = []
    for at, folders, names in os.walk(folder):
        links = [name for name in folders if (Path(at) / name).is_symlink()]
        found += [(Path(at) / name).relative_to(folder).as_posix() for name in (*names, *links)]
    return sorted(found)


def _is_put_whole(new: Path, target: Path) -> bool:
    """Give a folder its name in one step; False if the name was taken meanwhile."""
    try:
        move(new, target)
    except OSError:
        if os.path.lexists(target):
            return False
        raise
    return True


def _refuse_collisions(target: Path, new: Iterable[str], old: AbstractSet[str]) -> None:
    for path in new:
        above = [target, *(target / one for one in reversed(_parents(path)))]
        taken = next((one for one in above if os.path.lexists(one) and not _is_folder(one)), None)
        if taken is None and path not in old and os.path.lexists(target / path):
            taken = target / path
        if taken is not None:
            raise OutputError(
                f"‘{taken}’ was not written by a build and stands where one is to be written",
                "move it away, or use another folder: --out FOLDER",
            )


def _is_folder(path: Path) -> bool:
    return path.is_dir() and not path.is_symlink()


def _parents(path: str) -> list[PurePosixPath]:
    """Return the folders above a relative path, the nearest first."""
    return list(PurePosixPath(path).parents)[:-1]


def _folders_of(paths: Iterable[str]) -> set[str]:
    return {parent.as_posix() for path in paths for parent in _parents(path)}


def _move_all(stage: Path, target: Path, new: Iterable[str], old: Iterable[str]) -> None:
    """Add what is only new, replace what is both, then take away what is only old.

    In this order nothing that a reader could want is away for longer than two steps.
    """
    gone = dict.fromkeys(old)
    replaced = [path for path in new if path in gone]
    for path in (*(path for path in new if path not in gone), *replaced):
        if path in gone:
            _make_like(target, stage / OLD, path)
            move(target / path, stage / OLD / path)
            del gone[path]
        _make_like(stage / NEW, target, path)
        put_new(stage / NEW / path, target / path)
    for path in gone:
        _make_like(target, stage / OLD, path)
        move(target / path, stage / OLD / path)
    for folder in sorted(_folders_of(gone), reverse=True):
        with contextlib.suppress(OSError):  # something is in it
            (target / folder).rmdir()
    _sync_folders(target, (*new, *gone))


def _make_like(model: Path, place: Path, path: str) -> None:
    """Make the folders of a relative path below `place`, with the rights of those in `model`."""
    for parent in ("", *(one.as_posix() for one in reversed(_parents(path)))):
        folder = place / parent
        if not folder.exists():
            folder.mkdir()
            shutil.copymode(model / parent, folder)
        elif parent and is_private(model / parent) and not is_private(folder):
            keep_private(folder)


def _withdraw(new: Path, put: Path) -> None:
    """Take a new file back out of the target, if it was put there."""
    try:
        found = put.lstat()
    except (FileNotFoundError, NotADirectoryError):
        return
    if not os.path.lexists(new):  # it was moved, not linked
        move(put, new)
    elif os.path.samestat(found, new.lstat()):
        put.unlink()


def _restore(old: Path, place: Path, model: Path, target: Path) -> None:
    """Put an old file back to its place, if it was moved away."""
    if not os.path.lexists(old):
        return
    _make_like(model, target, place.relative_to(target).as_posix())
    try:
        put_new(old, place)
    except FileExistsError:
        if not os.path.samestat(old.lstat(), place.lstat()):
            raise OutputError(
                f"‘{place}’ stands where results are to be put back from ‘{old}’",
                "move it away, then run this again",
            ) from None
    old.unlink(missing_ok=True)


def _sync_folders(target: Path, paths: Iterable[str]) -> None:
    for folder in sorted({"", *_folders_of(paths)}):
        if (target / folder).is_dir():
            sync(target / folder)


def _write_journal(stage: Path, journal: _Journal) -> None:
    part = part_beside(stage / JOURNAL)
    write_file(part, json.dumps(asdict(journal)), private=True)
    sync(part)
    part.rename(stage / JOURNAL)
    sync(stage)


def _read_journal(stage: Path) -> _Journal | None:
    try:
        found = json.loads((stage / JOURNAL).read_text(encoding="utf-8"))
        return _Journal(*(tuple(map(str, found[name])) for name in ("new", "old", "made")))
    except FileNotFoundError:
        return None
    except (ValueError, KeyError, TypeError) as error:
        raise OutputError(
            f"‘{stage / JOURNAL}’ is damaged, so a stopped build cannot be taken back",
            f"the results from before lie in ‘{stage / OLD}’; move both away and build again",
        ) from error
