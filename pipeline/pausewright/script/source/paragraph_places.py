"""From an offset in a paragraph to its line and column."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pausewright.problems import Place
    from pausewright.script.source.source_text import Source


class Places:
    """From an offset in a paragraph's text to line and column."""

    def __init__(self, source: Source, content: str, first_line: int) -> None:
        """`first_line` counts from 1."""
        self._source = source
        self._starts: list[tuple[int, int, int]] = []
        offset = 0
        for index, row in enumerate(content.split("\n")):
            line = first_line + index
            if line > len(source.prepared):
                break
            self._starts.append((offset, line, source.column(line, row)))
            offset += len(row) + 1

    def at(self, offset: int, length: int = 1) -> Place:
        """Return the place of `length` characters from `offset`."""
        line, column = self.spot(offset)
        return self._source.place(line, column, max(1, length))

    def spot(self, offset: int) -> tuple[int, int]:
        """Return line and column of an offset in the file's lines as `Source` holds them."""
        at = bisect_right(self._starts, offset, key=lambda one: one[0])
        start, line, column = self._starts[max(0, at - 1)]
        return line, column + offset - start
