"""Opens a file by a name from outside: a plain file, in its place, no larger than its kind may be.

What is judged is what was opened and not what was named: a file that is put in its place between
the look and the opening is judged too. Nothing waits: a pipe without a writer is refused. Whoever
reads the opened file reaches its end where it ended when it was opened, however it grows.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import io
import os
import stat
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.intake.tag_sizes import TagsError, measure_tags

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.intake.file_kinds import Kind
    from pausewright.problems import PausewrightError

Mark: TypeAlias = tuple[int, int, int, int]

_FLAGS: Final = (
    os.O_RDONLY
    | getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_NOCTTY", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_BINARY", 0)
    | getattr(os, "O_NOINHERIT", 0)
)
_FOLDER_FLAGS: Final = (
    getattr(os, "O_PATH", os.O_RDONLY)
    | getattr(os, "O_DIRECTORY", 0)
    | getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_CLOEXEC", 0)
)
_OTHER_KINDS: Final = {
    stat.S_IFDIR: "a folder",
    stat.S_IFIFO: "a pipe, not a file",
    stat.S_IFSOCK: "a socket, not a file",
    stat.S_IFCHR: "a device, not a file",
    stat.S_IFBLK: "a device, not a file",
}
_BUFFER_BYTES: Final = 1 << 17
_READ_BYTES: Final = 1 << 20


_noted: ContextVar[dict[Path, None] | None] = ContextVar("noted", default=None)


@contextlib.contextmanager
def openings_noted() -> Iterator[dict[Path, None]]:
    """Note, in this thread, the names of all files that are opened here meanwhile, in order."""
    found: dict[Path, None] = {}
    before = _noted.set(found)
    try:
        yield found
    finally:
        _noted.reset(before)


class _Held(io.FileIO):
    """A file that ends where it ended when it was opened."""

    def __init__(self, descriptor: int, n_bytes: int) -> None:
        super().__init__(descriptor, "rb")
        self.n_bytes = n_bytes

    def readinto(self, buffer: bytearray | memoryview) -> int:  # type: ignore[override]
        left = max(0, self.n_bytes - self.tell())
        return super().readinto(memoryview(buffer)[:left]) or 0

    def read(self, size: int | None = -1) -> bytes:
        left = max(0, self.n_bytes - self.tell())
        return super().read(left if size is None or size < 0 else min(size, left)) or b""

    def readall(self) -> bytes:
        parts = []
        while part := self.read():
            parts.append(part)
        return b"".join(parts)

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        if whence == io.SEEK_END:
            offset, whence = self.n_bytes + offset, io.SEEK_SET
        return super().seek(offset, whence)


def opened(path: Path, kind: Kind, inside: Path | None = None) -> io.BufferedReader:
    """Return a file opened for reading bytes.

    Parameters
    ----------
    path : as it was named
    kind : what it should be; its limit is kept
    inside : the folder that it must lie in after links are resolved, for what a file names; None
        for what a user types, where a link may lead anywhere

    Raises
    ------
    PausewrightError
        Of the kind's own class: it is not there, no plain file, outside, too large or empty, or
        may not be read.
    """
    shown = f"{kind.name} ‘{path if inside is None else path.name}’"
    noted = _noted.get()
    if noted is not None:
        noted[path] = None
    try:
        return _opened(path, kind, inside, shown)
    except OSError as why:
        raise _refused(path, kind, shown, why) from why
    except ValueError as why:
        raise kind.error(f"{shown} has a name that no file can have", kind.hint) from why


def _opened(path: Path, kind: Kind, inside: Path | None, shown: str) -> io.BufferedReader:
    within: tuple[str, ...] | None = None
    if inside is not None:
        root, real = resolved(inside), resolved(path)
        if root == real or not real.is_relative_to(root):
            is_link = Path(os.path.normpath(path)).is_relative_to(os.path.normpath(inside))
            how = "is a link that leads out of the folder" if is_link else "lies outside the folder"
            raise kind.error(f"{shown} {how}", "put the file itself into the folder")
        within = (str(root), *real.relative_to(root).parts)
    _look(path.stat(), kind, shown)  # a device is not even opened
    descriptor = os.open(path, _FLAGS) if within is None else _opened_within(within)
    try:
        state = os.fstat(descriptor)
        _look(state, kind, shown)
        held = _Held(descriptor, state.st_size)
    except BaseException:
        os.close(descriptor)
        raise
    return io.BufferedReader(held, _BUFFER_BYTES)


def _opened_within(parts: tuple[str, ...]) -> int:
    """Open a file step by step from its root; a folder that becomes a link is not followed."""
    root, *folders, name = parts
    if os.open not in os.supports_dir_fd:
        return os.open(Path(*parts), _FLAGS)
    at = os.open(root, _FOLDER_FLAGS & ~getattr(os, "O_NOFOLLOW", 0))
    try:
        for folder in folders:
            inner = os.open(folder, _FOLDER_FLAGS, dir_fd=at)
            os.close(at)
            at = inner
        return os.open(name, _FLAGS | os.O_NOFOLLOW, dir_fd=at)
    finally:
        os.close(at)


def _look(state: os.stat_result, kind: Kind, shown: str) -> None:
    other = _OTHER_KINDS.get(stat.S_IFMT(state.st_mode))
    if other is not None or not stat.S_ISREG(state.st_mode):
        raise kind.error(f"{shown} is {other or 'no plain file'}", "name one plain file")
    if state.st_size > kind.most_bytes:
        raise kind.error(
            f"{shown} is larger than {kind.most}, the most that is read",
            f"make it smaller ({kind.because}), or name the right file",
        )
    if state.st_size == 0 and not kind.may_be_empty:
        raise kind.error(f"{shown} is empty", "save or copy it again")


def _refused(path: Path, kind: Kind, shown: str, why: OSError) -> PausewrightError:
    if why.errno in {errno.ENOENT, errno.ENOTDIR}:
        if path.is_symlink():
            return kind.error(
                f"{shown} is a link to a file that is not there",
                "put the file itself in place of the link",
            )
        return kind.error(f"{shown} is not there", kind.hint)
    if why.errno == errno.ELOOP:
        return kind.error(
            f"{shown} is a link that leads nowhere", "put the file itself in place of the link"
        )
    if why.errno in {errno.EACCES, errno.EPERM}:
        return kind.error(
            f"{shown} may not be read", "ask its owner for the right to read it, or copy it"
        )
    if why.errno == errno.ENAMETOOLONG:
        return kind.error(f"{shown} has a name that is too long", "give it a shorter one")
    return kind.error(f"{shown} cannot be read ({why.strerror or why})", kind.hint)


def file_bytes(path: Path, kind: Kind, inside: Path | None = None) -> bytes:
    """Return the bytes of a file; parameters and errors as for `opened`."""
    try:
        with opened(path, kind, inside) as file:
            return file.read()
    except OSError as why:
        raise _refused(path, kind, f"{kind.name} ‘{path.name}’", why) from why


def file_text(path: Path, kind: Kind, inside: Path | None = None) -> str:
    """Return the text of a UTF-8 file, a byte-order mark left out.

    Parameters and errors are those of `opened`; bytes that are no UTF-8 are refused too.
    """
    try:
        return file_bytes(path, kind, inside).decode("utf-8-sig")
    except UnicodeDecodeError as why:
        raise kind.error(
            f"{kind.name} ‘{path.name}’ is not UTF-8 text", "save it as UTF-8 in your editor"
        ) from why


def sha256_of(*paths: Path, kind: Kind, inside: Path | None = None) -> str:
    """Return the SHA-256 of the bytes of files, one after another, in hexadecimal.

    Parameters and errors are those of `opened`.
    """
    found = hashlib.sha256()
    for path in paths:
        try:
            with opened(path, kind, inside) as file:
                while part := file.read(_READ_BYTES):
                    found.update(part)
        except OSError as why:
            raise _refused(path, kind, f"{kind.name} ‘{path.name}’", why) from why
    return found.hexdigest()


def opened_sound(path: Path, kind: Kind, inside: Path | None = None) -> io.BufferedReader:
    """Return a sound file, opened, whose tags a library may parse.

    Parameters and errors are those of `opened`; tags that are too large, too many or nested too
    deeply are refused too.
    """
    file = opened(path, kind, inside)
    try:
        measure_tags(file)
        file.seek(0)
    except (TagsError, OSError) as why:
        file.close()
        said = why if isinstance(why, TagsError) else "it cannot be read"
        raise kind.error(
            f"{kind.name} ‘{path.name}’ is refused: {said}",
            "save it again without its tags, or name the right file",
        ) from why
    except BaseException:
        file.close()
        raise
    return file


def resolved(path: Path) -> Path:
    """Return where a path leads, after links; a link that leads back to itself stays as it is."""
    return Path(os.path.realpath(path))


def mark(path: Path) -> Mark | None:
    """Return what changes when a file is written or replaced; None if it is not there."""
    try:
        state = path.stat()
    except (OSError, ValueError):
        return None
    return state.st_dev, state.st_ino, state.st_size, state.st_mtime_ns
