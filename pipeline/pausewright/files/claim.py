"""One at a time: a folder that is written is claimed by a file beside it.

The file, `.NAME.pausewright-claim`, is locked by the system, which lets go of it when its process
ends, however that ends, and holds its owner for the others to read. Where a file system knows no
locks the owner alone decides; two commands that come upon a dead one's file in the same instant may
both go on there.
"""

from __future__ import annotations

import contextlib
import errno
import os
import sys
import time
from typing import TYPE_CHECKING, Final

from pausewright.files.owner import owner_of, state_of, this_process
from pausewright.problems import OutputError

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pausewright.files.owner import Owner

PATIENCE_S: Final = 5.0
"""As long as a swap may take, a build takes longer: who waits in vain is told so."""
ENDING: Final = ".pausewright-claim"
_MOST_BYTES: Final = 4096
_LOCKED_BYTE: Final = 1 << 30
"""Windows locks bytes against readers, so one that nobody reads."""


class ClaimedError(OutputError):
    """Another command is at work on the folder."""


@contextlib.contextmanager
def claimed(target: Path, patience_s: float = PATIENCE_S) -> Iterator[None]:
    """Hold a folder for this command alone; its parent must be there.

    Raises
    ------
    ClaimedError
        If another command still holds it after `patience_s`.
    OSError
        If the claim cannot be written.
    """
    file = target.with_name(f".{target.name}{ENDING}")
    until_s = time.monotonic() + patience_s
    while (descriptor := _taken(file)) is None:
        if time.monotonic() >= until_s:
            raise _busy(target, file)
        time.sleep(0.02)
    try:
        yield
    finally:
        _let_go(file, descriptor)


def _taken(file: Path) -> int | None:
    """Return a descriptor of the claimed file, or None if another holds it."""
    flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
    try:
        descriptor = os.open(file, flags, 0o600)
    except PermissionError:
        if sys.platform == "win32" and file.exists():  # it is just being removed
            return None
        raise
    try:
        is_free = _is_free(file, descriptor)
    except BaseException:
        os.close(descriptor)
        raise
    if not is_free:
        os.close(descriptor)
        return None
    try:
        os.lseek(descriptor, 0, os.SEEK_SET)
        os.ftruncate(descriptor, 0)
        os.write(descriptor, this_process().as_text().encode())
    except BaseException:
        _let_go(file, descriptor)
        raise
    return descriptor


def _let_go(file: Path, descriptor: int) -> None:
    """Remove a claim that is ours."""
    with contextlib.suppress(OSError):
        os.ftruncate(descriptor, 0)
    with contextlib.suppress(OSError):  # Windows removes it once it is closed
        file.unlink()
    os.close(descriptor)
    if sys.platform == "win32":
        with contextlib.suppress(OSError):
            file.unlink()


def _is_free(file: Path, descriptor: int) -> bool:
    if not _locked(descriptor):
        return False
    try:
        there = file.stat()
    except FileNotFoundError:
        return False
    if not os.path.samestat(there, os.fstat(descriptor)):
        return False  # who held it has removed it meanwhile
    before = owner_of(os.read(descriptor, _MOST_BYTES).decode("utf-8", "replace"))
    return before is None or state_of(before) not in {"living", "elsewhere"}


def _locked(descriptor: int) -> bool:
    """Lock a file; False if another has it locked. Without locks nobody has."""
    try:
        if sys.platform == "win32":
            os.lseek(descriptor, _LOCKED_BYTE, os.SEEK_SET)
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
            os.lseek(descriptor, 0, os.SEEK_SET)
        else:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        return error.errno not in {errno.EAGAIN, errno.EACCES, errno.EDEADLK}
    return True


def is_stale(target: Path) -> bool:
    """Return whether a claim is left whose owner, as far as can be seen, is gone."""
    if not target.name:
        return False  # the root of the file system, which nothing can claim
    if not target.with_name(f".{target.name}{ENDING}").exists():
        return False
    owner = _holder(target)
    return owner is None or state_of(owner) in {"dead", "unknown"}


def _holder(target: Path) -> Owner | None:
    """Return who wrote the claim of a folder, or None."""
    file = target.with_name(f".{target.name}{ENDING}")
    try:
        with file.open("rb") as opened:
            return owner_of(opened.read(_MOST_BYTES).decode("utf-8", "replace"))
    except OSError:
        return None


def _busy(target: Path, file: Path) -> ClaimedError:
    owner = _holder(target)
    if owner is not None and state_of(owner) == "elsewhere":
        return ClaimedError(
            f"the machine ‘{owner.host}’ is writing ‘{target}’, or was stopped while it did",
            f"when it is no longer at work, remove ‘{file}’ and run this again",
        )
    who = f" (process {owner.pid})" if owner is not None else ""
    return ClaimedError(
        f"another command is writing ‘{target}’ now{who}",
        "wait until it has ended, then run this again",
    )
