"""Hashes of files."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from pathlib import Path

_READ_BYTES: Final = 1 << 20


def sha256_of(*files: Path) -> str:
    """Return the SHA-256 of the bytes of files, one after another, in hexadecimal.

    Raises
    ------
    OSError
        If one of them cannot be read.
    """
    found = hashlib.sha256()
    for file in files:
        with file.open("rb") as opened:
            while part := opened.read(_READ_BYTES):
                found.update(part)
    return found.hexdigest()
