"""Comments in the one form: kept word for word, indented as what stands around them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from pausewright.script.source.source_text import Source

_STEP: Final = 4


def is_comment(source: Source, line: int) -> bool:
    """Say whether nothing but a comment, or a part of one, stands on a line that is not empty."""
    return not source.prepared[line - 1].strip()


def inner_lines(source: Source, first: int) -> set[int]:
    """Return the lines from `first` on that begin inside a comment."""
    found: set[int] = set()
    is_open = False
    for line in range(first, len(source.lines) + 1):
        row, blanked = source.lines[line - 1], source.prepared[line - 1]
        if is_open:
            found.add(line)
        pos = 0
        while True:
            sign = "-->" if is_open else "<!--"
            at = row.find(sign, pos)
            if at < 0:
                break
            shift = len(blanked) - len(row) if line in source.numbers else 0
            if is_open or blanked[max(0, at + shift) :][:1] != "<":
                is_open = not is_open
            pos = at + len(sign)
    return found


def comment_leads(
    source: Source, first: int, leads: Mapping[int, int], inner: set[int]
) -> dict[int, int]:
    """Return the blanks before each line, from `first` on, that is nothing but comment.

    A comment is indented by a multiple of four that lies between the blanks of the lines around
    it; its further lines move with its first.
    """
    found: dict[int, int] = {}
    lines = [n for n in range(first, len(source.lines) + 1) if source.lines[n - 1].strip()]
    moved = 0
    for index, line in enumerate(lines):
        row = source.lines[line - 1]
        lead = len(row) - len(row.lstrip(" "))
        if line in inner:
            if is_comment(source, line) and line not in leads:
                found[line] = max(0, lead + moved)
        elif not is_comment(source, line) or line in leads:
            moved = 0
        else:
            near = (_near(reversed(lines[:index]), leads), _near(lines[index + 1 :], leads))
            low, high = (_whole(n) for n in (min(near), max(near)))
            found[line] = min(max(_whole(lead), low), high)
            moved = found[line] - lead
    return found


def _whole(n_blanks: int) -> int:
    return _STEP * (n_blanks // _STEP)


def _near(lines: Iterable[int], leads: Mapping[int, int]) -> int:
    return next((leads[line] for line in lines if line in leads), 0)
