"""Files that appear whole or not at all: written beside their place, then given their name.

Private ones can be read and changed by their owner only, whatever the system's mask says, on
systems that have owners (POSIX); elsewhere the rights of the folder hold.
"""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import stat
import sys
import time
from typing import TYPE_CHECKING, Final

from pausewright.problems import OutputError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

PRIVATE_FILE: Final = 0o600
PRIVATE_FOLDER: Final = 0o700
ROOM_HINT: Final = "make room on the disk, or choose another folder with --out"
_FOR_ALL: Final = 0o666
"""Less what the system's mask takes away."""
_FILE_TRIES: Final = 20


def write_file(file: Path, content: str | bytes | memoryview, *, private: bool = False) -> None:
    """Write a file, in place of one that may be there; text as UTF-8 with plain line ends.

    Raises
    ------
    OSError
        If it cannot be written; then an older file is as it was, and nothing else is left.
    """
    with part_of(file) as part:
        _create(part, content, PRIVATE_FILE if private else None)


def write_new_file(
    file: Path, content: str | bytes, *, private: bool = False, rights: int = _FOR_ALL
) -> None:
    """Write a file that is not there yet; `rights` are those it has at most.

    Raises
    ------
    FileExistsError
        If something has the name, which is left as it is.
    OSError
        If it cannot be written; then nothing is left.
    """
    part = part_beside(file)
    try:
        if os.path.lexists(file):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(file))
        _create(part, content, PRIVATE_FILE if private else None, rights)
        put_new(part, file)
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)


def part_beside(file: Path) -> Path:
    """Return a hidden name beside a file, under which it can be written."""
    return file.with_name(f".{file.name}.{secrets.token_hex(4)}.part")


@contextlib.contextmanager
def part_of(file: Path) -> Iterator[Path]:
    """Give the name under which a file is to be written; at the end it takes its place.

    If the block raises, the part is removed and what was there stays.
    """
    part = part_beside(file)
    try:
        yield part
        put(part, file)
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)


def put(part: Path, file: Path) -> None:
    """Give a whole file its name, in place of an older one."""
    _patiently(lambda: part.replace(file))


def put_new(part: Path, file: Path) -> None:
    """Give a whole file a name that nothing has; the part may keep its own name too.

    Raises
    ------
    FileExistsError
        If something has the name. Where a file system knows no links, a file that appears
        between the look and the move would be replaced on POSIX.
    """
    try:
        os.link(part, file)
    except FileExistsError:
        raise
    except (OSError, NotImplementedError, AttributeError):  # a file system without links
        if os.path.lexists(file):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(file)) from None
        move(part, file)


def move(file: Path, place: Path) -> None:
    """Move a file or folder to a free place on the same file system."""
    _patiently(lambda: file.rename(place))


def _patiently(act: Callable[[], object]) -> None:
    """Do something that Windows refuses for a moment while another program reads the file."""
    for attempt in range(1, _FILE_TRIES + 1):
        try:
            act()
        except PermissionError:
            if attempt == _FILE_TRIES or sys.platform != "win32":
                raise
            time.sleep(0.01 * attempt)
        else:
            return


def make_folder(folder: Path, *, private: bool = False) -> None:
    """Make a folder, and those above it, where they are not there; a private one is made so."""
    if not private:
        folder.mkdir(parents=True, exist_ok=True)
        return
    folder.parent.mkdir(parents=True, exist_ok=True)
    with contextlib.suppress(FileExistsError):
        folder.mkdir(mode=PRIVATE_FOLDER)
    keep_private(folder)


def keep_private(path: Path) -> None:
    """Take away all rights but the owner's."""
    with contextlib.suppress(OSError):
        path.chmod(PRIVATE_FOLDER if path.is_dir() else PRIVATE_FILE)


def is_private(path: Path) -> bool:
    """Return whether nobody but the owner has rights on it; False on Windows."""
    return sys.platform != "win32" and not stat.S_IMODE(path.stat().st_mode) & 0o077


def sync(path: Path) -> None:
    """Have the system bring a file or folder to the disk, as far as it can (not Windows' folders).

    On macOS the disk itself may hold it back a little longer.
    """
    if sys.platform == "win32" and path.is_dir():
        return
    descriptor = os.open(path, os.O_RDONLY if sys.platform != "win32" else os.O_RDWR)
    try:
        os.fsync(descriptor)
    except OSError as error:
        if error.errno not in {errno.EINVAL, errno.ENOTSUP, errno.EBADF}:
            raise  # a file system without it says so; all else is a fault
    finally:
        os.close(descriptor)


def unwritable(target: Path, error: Exception, hint: str = "") -> OutputError:
    """Return what to raise where something cannot be written."""
    if isinstance(error, OSError) and error.errno == errno.ENOSPC:
        return OutputError(
            f"the disk is full, so ‘{target}’ cannot be written", hint or "make room, or use --out"
        )
    reason = (isinstance(error, OSError) and error.strerror) or str(error) or type(error).__name__
    return OutputError(
        f"‘{target}’ cannot be written ({reason})",
        hint or "choose a folder that you may write to: --out FOLDER",
    )


def _create(
    part: Path, content: str | bytes | memoryview, mode: int | None, rights: int = _FOR_ALL
) -> None:
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    descriptor = os.open(part, flags, rights if mode is None else mode)
    with os.fdopen(descriptor, "wb") as opened:
        if mode is not None and hasattr(os, "fchmod"):
            os.fchmod(descriptor, mode)  # an odd mask could take the owner's rights
        opened.write(content.encode() if isinstance(content, str) else content)
