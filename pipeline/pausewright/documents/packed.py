"""Documents that are archives: how much is in one, before anything of it is unpacked."""

from __future__ import annotations

import io
import zipfile
from typing import TYPE_CHECKING, Final

from pausewright.problems import FileError

if TYPE_CHECKING:
    from pathlib import Path

MOST_FILES: Final = 10_000
MOST_TEXT_BYTES: Final = 64_000_000
"""Of all files with text in it, unpacked; a paper of 500 pages has 10 MB."""
MOST_BYTES: Final = 512_000_000
"""Of everything in it, unpacked."""
_PEEK_BYTES: Final = 4096


def refuse_strange(path: Path, body: bytes, kind: str) -> None:
    """See that an archive is one, whole and of a bounded size, and that no text in it is a trap.

    Raises
    ------
    FileError
        If it is broken, encrypted or too large, or declares entities of its own.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(body)) as archive:
            rows = archive.infolist()
            texts = [row for row in rows if row.filename.endswith((".xml", ".rels"))]
            if any(row.flag_bits & 1 for row in rows):
                raise _encrypted(path)
            if (
                len(rows) > MOST_FILES
                or sum(row.file_size for row in texts) > MOST_TEXT_BYTES
                or sum(row.file_size for row in rows) > MOST_BYTES
            ):
                raise FileError(
                    f"the paper ‘{path.name}’ unpacks to more than is read",
                    "save its text as .txt and name that file",
                )
            for row in texts:
                with archive.open(row) as part:
                    head = part.read(_PEEK_BYTES)
                if b"<!DOCTYPE" in head or b"<!ENTITY" in head:
                    raise FileError(
                        f"the paper ‘{path.name}’ declares text of its own in ‘{row.filename}’",
                        "open it in a word processor and save it again",
                    )
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError, RuntimeError) as why:
        if body.startswith(b"\xd0\xcf\x11\xe0"):  # how Office keeps what has a password
            raise _encrypted(path) from why
        raise broken(path, kind) from why


def _encrypted(path: Path) -> FileError:
    return FileError(
        f"the paper ‘{path.name}’ is encrypted, or of an old kind",
        "open it in a word processor and save it without a password, as .docx or .odt",
    )


def broken(path: Path, kind: str) -> FileError:
    """Return the error of a paper that is not of the kind that its name tells."""
    return FileError(
        f"the paper ‘{path.name}’ cannot be read: it is broken, or no {kind}",
        "open it in a word processor and save it again, or save its text as .txt",
    )
