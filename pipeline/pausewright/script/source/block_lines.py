"""Lines that open, close or end blocks, told from the text alone."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, Literal

if TYPE_CHECKING:
    from collections.abc import Callable

_HEADING: Final = re.compile(r"#{1,6} ")
MARKER: Final = "1.  "
"""Stands in for every question number, so that contents are indented by four blanks always."""
NOTHING: Final = "\ufffc"
"""Stands in for a question's text that was refused, so that it is neither heard nor shown."""


def closing_line(
    row: Callable[[int], str], start: int, end: int, indent: int
) -> tuple[int, Literal["", "open", "close-indent"]]:
    """Return the line of the `:::` that closes the block opened at line `start`, from 0.

    `row` gives a line as text. If the block is never closed ("open"), the line is where it must
    end: at the first text that is indented by less than `indent`, at the next heading, or at
    `end`.
    """
    depth = 1
    heading = end
    for line in range(start + 1, end):
        text = row(line)
        stripped = text.strip()
        lead = len(text) - len(text.lstrip())
        if not stripped.startswith(":::"):
            if stripped and lead < indent:
                return line, "open"
            if heading == end and not lead and _HEADING.match(text):
                heading = line
            continue
        depth += 1 if stripped.strip(":").strip() else -1
        if depth == 0:
            return line, "" if lead >= indent else "close-indent"
    return heading, "open"
