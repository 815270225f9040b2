"""What C libraries write to standard error by themselves is kept off the terminal.

A decoder that meets a damaged file prints lines of its own. What they are about is a finding of the
check, told in its words; the lines would stand between them and help nobody.
"""

from __future__ import annotations

import contextlib
import os
import sys
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

_STANDARD_ERROR: Final = 2


@contextlib.contextmanager
def library_lines_dropped() -> Iterator[None]:
    """Drop what is written to the process's standard error; what Python prints there still shows.

    Nothing changes where standard error is no file of the process, as under a test runner.
    """
    shown = sys.stderr
    try:
        is_own = shown.fileno() == _STANDARD_ERROR
    except (AttributeError, OSError, ValueError):  # none, closed, or held in memory
        is_own = False
    if not is_own:
        yield
        return
    shown.flush()
    kept = os.dup(_STANDARD_ERROR)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, _STANDARD_ERROR)
    os.close(nowhere)
    sys.stderr = os.fdopen(
        kept, "w", buffering=1, encoding=shown.encoding, errors=shown.errors, closefd=False
    )
    try:
        yield
    finally:
        sys.stderr.flush()
        sys.stderr = shown
        os.dup2(kept, _STANDARD_ERROR)
        os.close(kept)
