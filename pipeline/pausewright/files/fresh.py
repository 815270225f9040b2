"""Reading what a disk holds, and not what the system still remembers of what was written to it."""

from __future__ import annotations

import contextlib
import os
from typing import TYPE_CHECKING

from pausewright.files.writing import sync

if TYPE_CHECKING:
    from pathlib import Path


def brought_to_disk(folder: Path) -> None:
    """Have the system bring everything below a folder to its disk.

    Raises
    ------
    OSError
        If the disk refuses, is full, or is gone.
    """
    for root, _, names in os.walk(folder):
        for name in names:
            sync(folder.__class__(root) / name)
        sync(folder.__class__(root))


def forgotten(file: Path) -> None:
    """Ask the system to forget what it remembers of a file, so that its disk is read.

    Linux does that for what has reached the disk; where a system cannot be asked, nothing happens.
    """
    if not hasattr(os, "posix_fadvise"):
        return
    with contextlib.suppress(OSError):
        descriptor = os.open(file, os.O_RDONLY | os.O_NOFOLLOW)
        try:
            os.posix_fadvise(descriptor, 0, 0, os.POSIX_FADV_DONTNEED)
        finally:
            os.close(descriptor)
