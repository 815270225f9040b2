"""Passwords: read from a file's first line, never from the command line, where others see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.intake.file_kinds import PASSWORD
from pausewright.intake.plain_file import file_text
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from pathlib import Path


def read_password(file: Path) -> str:
    """Return the first line of a file.

    Raises
    ------
    OutputError
        If it cannot be read, or its first line is empty.
    """
    lines = file_text(file, PASSWORD).splitlines()
    if not lines or not lines[0].strip():
        raise OutputError(f"the first line of ‘{file}’ is empty", "write the password there")
    return lines[0]
