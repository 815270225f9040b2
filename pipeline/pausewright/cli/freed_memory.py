"""Memory that is freed stays with a program that soon needs as much again."""

from __future__ import annotations

import sys
from typing import Final

KEPT_BYTES: Final = 64 << 20
"""As much of what is freed stays at most, in each of the C library's arenas."""
LARGEST_BYTES: Final = 16 << 20
"""A block of up to this is taken from what stayed."""
_TRIM_THRESHOLD: Final = -1
_MMAP_THRESHOLD: Final = -3
"""Names of the two in malloc.h of the GNU C library (mallopt(3))."""


def keep_freed_memory() -> None:
    """Let the GNU C library keep what is freed; elsewhere do nothing.

    It gives the freed blocks of a thread back to the system and takes them again, each page a
    fault: on 14 minutes of sound 66,000 of them, which is a twentieth of a check's time
    (docs/decisions/filters.md).
    """
    if sys.platform != "linux":
        return
    import ctypes  # noqa: PLC0415  for one command

    set_option = getattr(ctypes.CDLL(None), "mallopt", None)
    if set_option is not None:
        set_option(_TRIM_THRESHOLD, KEPT_BYTES)
        set_option(_MMAP_THRESHOLD, LARGEST_BYTES)
