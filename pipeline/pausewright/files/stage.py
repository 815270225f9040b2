"""Stages: hidden folders beside a target, in which it is built before it takes its place.

A stage is called `.NAME.XXXXXXXX.stage`, can be read by its owner only and says whose it is. The
next command that touches the target clears away the stages of dead owners, after taking back what
one of them had begun to move; a living one's and another machine's are left alone.
"""

from __future__ import annotations

import contextlib
import os
import re
import secrets
import shutil
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.files.claim import PATIENCE_S, ClaimedError, claimed, is_stale
from pausewright.files.owner import State, owner_of, state_of, this_process
from pausewright.files.swap import NEW, OLD, is_half_way, put_in_place, take_back
from pausewright.files.writing import make_folder, unwritable, write_file
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from collections.abc import Set as AbstractSet

OWNER: Final = "owner.json"
_NAME: Final = re.compile(r"\.(?P<target>.+)\.[0-9a-f]{8}\.stage")
_DEAD: Final = frozenset({"dead", "unknown"})
"""States of owners who are gone, once nobody else holds the claim."""
_FOLDERS_AROUND: Final = 3
"""From a room folder of a build: the room, the build, the folder of builds; a track lies in one."""


@contextlib.contextmanager
def staged(
    target: Path,
    *,
    ours: Callable[[], AbstractSet[str]],
    keep: Callable[[], AbstractSet[str]] = frozenset,
) -> Iterator[Path]:
    """Give a folder to build in; at the end its files take their places in `target`, or none.

    Nobody else can build into the target meanwhile. If the block raises, the target stays as it
    was and nothing is left beside it.

    Parameters
    ----------
    target : the folder; made if it is not there
    ours : asked at the end for the relative paths that may be replaced or taken away
    keep : asked at the end for those of them that are not taken away

    Raises
    ------
    OutputError
        If another command builds there, something stands in the way or cannot be written.
    """
    real = Path(os.path.realpath(target))
    try:
        real.parent.mkdir(parents=True, exist_ok=True)
        with claimed(real):
            _clear(real)
            stage = real.with_name(f".{real.name}.{secrets.token_hex(4)}.stage")
            try:
                make_folder(stage, private=True)
                write_file(stage / OWNER, this_process().as_text(), private=True)
                (stage / NEW).mkdir()
                yield stage / NEW
                put_in_place(stage, real, ours=ours(), keep=keep())
            finally:
                _remove(stage)
    except OSError as error:
        raise unwritable(target, error) from error


def settle(path: Path, *, around: bool = False) -> None:
    """Bring a folder to the end of a swap that was stopped; `around`: also those that hold it.

    Without such a swap nothing is written, and what cannot be cleared away stays.

    Raises
    ------
    OutputError
        If it is half-way and cannot be taken back here, or another command is at work on it.
    """
    real = Path(os.path.realpath(path))  # Path.resolve fails where links go in a circle
    n_folders = _FOLDERS_AROUND + (not real.is_dir()) if around else 1
    for target in (real, *real.parents)[:n_folders]:
        stages = stages_of(target)
        is_needed = any(map(is_half_way, stages))
        is_left = is_stale(target) or any(owner_state(one) in _DEAD for one in stages)
        if not (is_needed or is_left):
            continue
        try:
            with claimed(target, PATIENCE_S if is_needed else 0):
                _clear(target)
        except ClaimedError:
            if is_needed:
                raise
        except OSError as error:
            if is_needed:
                raise OutputError(
                    f"‘{target}’ is half-way between two builds, as one was stopped, and cannot "
                    f"be put right here ({error.strerror or error})",
                    "run this again where the folder may be written, by whoever built it",
                ) from error


def stages_of(target: Path) -> list[Path]:
    """Return the stages beside a target."""
    return [one for one in stages_in(target.parent) if target_of(one) == target]


def stages_in(folder: Path) -> list[Path]:
    """Return all stages in a folder."""
    try:
        names = sorted(entry.name for entry in os.scandir(folder))
    except OSError:
        return []
    return [one for name in names if _NAME.fullmatch(name) and _is_ours(one := folder / name)]


def _is_ours(stage: Path) -> bool:
    """Return whether a folder has an owner, or was stopped before it said so or after all else."""
    try:
        names = {one.name for one in stage.iterdir()}
    except OSError:
        return False
    return OWNER in names or all(name.endswith(".part") for name in names)


def target_of(stage: Path) -> Path:
    """Return the folder that a stage was to become."""
    found = _NAME.fullmatch(stage.name)
    return stage.with_name(found["target"]) if found else stage


def owner_state(stage: Path) -> State:
    """Return whether who made a stage is still at work; without a mark it was just begun."""
    try:
        owner = owner_of((stage / OWNER).read_text("utf-8"))
    except (OSError, ValueError):
        owner = None
    return "dead" if owner is None else state_of(owner)


def discard(stage: Path) -> None:
    """Take back what a stage has begun to move, if it has, and remove it.

    Raises
    ------
    OutputError
        If another command is at work there.
    OSError
        If it cannot be moved or removed.
    """
    target = target_of(stage)
    with claimed(target):
        take_back(stage, target)
        _remove(stage)


def _clear(target: Path) -> None:
    """Take back and remove what dead owners left; call it with the target claimed only.

    Raises
    ------
    OutputError
        If somebody else's swap is half-way; nothing can be put on top of it.
    """
    for stage in stages_of(target):
        if owner_state(stage) in _DEAD:
            take_back(stage, target)
            _remove(stage)
        elif is_half_way(stage):
            raise OutputError(
                f"‘{target}’ is half-way between two builds of another machine",
                "run this on that machine, or take it back here: pausewright forget SCRIPT",
            )


def _remove(stage: Path) -> None:
    """Remove a stage, but never one that is half-way: the next command takes that back."""
    if not is_half_way(stage):
        for one in (stage / NEW, stage / OLD, stage):  # its owner's mark last
            shutil.rmtree(one, ignore_errors=True)
