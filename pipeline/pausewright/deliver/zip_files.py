"""Packs as zip files: written plainly or encrypted, and read back within limits.

Plain ones by the standard library. Encrypted ones (AES-256, as the archivers of all systems read)
by `pyzipper`, an optional package; this is the only module that imports it. Nothing is compressed:
tracks and PDFs are already, and so the same folder gives the same bytes.
"""

from __future__ import annotations

import shutil
import stat
import tempfile
import zipfile
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.files.writing import keep_private, make_folder
from pausewright.intake.file_kinds import BUILT_FILE, PACK
from pausewright.intake.plain_file import opened
from pausewright.problems import OutputError, TrackError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from types import ModuleType
    from typing import BinaryIO

ZIP: Final = ".zip"
MOST_FILES: Final = 20_000
_DAY: Final = (1980, 1, 1, 0, 0, 0)
"""The earliest that a zip can say: when it was packed is nobody's business."""
_READ_BYTES: Final = 1 << 20
_INSTALL: Final = "install it: pip install 'pausewright[pack]'"


def write_zip(target: Path, folder: Path, names: Sequence[str], password: str) -> None:
    """Write files of a folder into a zip, below the folder's name.

    Parameters
    ----------
    target : the zip, written as it goes
    folder : where the files lie
    names : of the files, with forward slashes, from the folder
    password : "" for a zip that everybody can read

    Raises
    ------
    OutputError
        If `pyzipper` is needed and not installed.
    TrackError, OSError
        If something cannot be read or written.
    """
    with _new(target, password) as pack:
        for name in sorted(names):
            entry = zipfile.ZipInfo(f"{folder.name}/{name}", _DAY)
            entry.external_attr = (stat.S_IFREG | 0o600) << 16
            entry.file_size = (folder / name).stat().st_size
            source = opened(folder / name, BUILT_FILE, folder)
            with source as held, pack.open(entry if not password else entry.filename, "w") as copy:
                shutil.copyfileobj(held, copy, _READ_BYTES)


@contextmanager
def unpacked(pack: Path, password: str = "") -> Iterator[Path]:
    """Give the one folder that a pack holds, in a private place that is removed at the end.

    Raises
    ------
    TrackError
        If it is no pack, holds more than one folder or names that lead elsewhere, is larger than
        packs are, or its password is missing or wrong.
    """
    with tempfile.TemporaryDirectory(prefix="pausewright-") as place, opened(pack, PACK) as file:
        try:
            root = _unpack(pack, file, Path(place), password)
        except (zipfile.BadZipFile, RuntimeError, EOFError, NotImplementedError, ValueError) as why:
            raise TrackError(
                f"‘{pack.name}’ cannot be unpacked ({why})",
                "copy it again; if it is encrypted, give its password: --password-file FILE",
            ) from why
        try:
            yield root
        except TrackError as why:  # the private place is gone when this is read
            message = why.message.replace(str(root), f"{pack.name}/{root.name}")
            raise TrackError(message, why.hint) from why


def _unpack(pack: Path, file: BinaryIO, place: Path, password: str) -> Path:
    with _old(file, password) as held:
        entries = [one for one in held.infolist() if not one.is_dir()]
        roots = {one.filename.partition("/")[0] for one in entries}
        if len(roots) != 1 or not all(_is_plain(one.filename) for one in entries):
            raise TrackError(
                f"‘{pack.name}’ is not one room as it was packed",
                "give a zip that `pausewright pack` wrote",
            )
        if len(entries) > MOST_FILES or sum(one.file_size for one in entries) > PACK.most_bytes:
            raise TrackError(f"‘{pack.name}’ holds more than a room gets", f"at most {PACK.most}")
        for one in entries:
            target = place.joinpath(*one.filename.split("/"))
            make_folder(target.parent, private=True)
            left = one.file_size
            with held.open(one.filename) as source, target.open("xb") as copy:
                while part := source.read(min(_READ_BYTES, left + 1)):
                    left -= len(part)
                    if left < 0:
                        raise TrackError(f"‘{pack.name}’ holds more than it says", "copy it again")
                    copy.write(part)
            keep_private(target)
        return place / roots.pop()


def _is_plain(name: str) -> bool:
    """Say whether a name stays inside the folder, on every system."""
    parts = name.split("/")
    is_inside = len(parts) > 1 and all(part not in {"", ".", ".."} for part in parts)
    return is_inside and not any(sign in name for sign in '\\:*?"<>|\0')


def _new(target: Path, password: str) -> zipfile.ZipFile:
    if not password:
        return zipfile.ZipFile(target, "w", zipfile.ZIP_STORED)
    library = _pyzipper()
    pack: zipfile.ZipFile = library.AESZipFile(
        target, "w", compression=library.ZIP_STORED, encryption=library.WZ_AES
    )
    pack.setpassword(password.encode())
    return pack


def _old(file: BinaryIO, password: str) -> zipfile.ZipFile:
    if not password:
        return zipfile.ZipFile(file)
    held: zipfile.ZipFile = _pyzipper().AESZipFile(file)
    held.setpassword(password.encode())
    return held


def _pyzipper() -> ModuleType:
    try:
        import pyzipper  # noqa: PLC0415  optional
    except ImportError:
        raise OutputError("an encrypted pack needs the package pyzipper", _INSTALL) from None
    library: ModuleType = pyzipper
    return library
