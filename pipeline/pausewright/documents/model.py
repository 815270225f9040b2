"""What a paper holds, as plain values."""

from __future__ import annotations

from typing import Literal, TypeAlias

from pausewright.frozen import frozen

LineKind: TypeAlias = Literal["paragraph", "heading", "item", "cell", "note", "margin"]
"""`cell`: of a table; `note`: at the foot or the end; `margin`: head and foot of the pages."""


@frozen
class Line:
    """A paragraph, an item of a list, or a paragraph in a cell of a table."""

    text: str
    """Never empty; blanks in a row are one; powers and indices as signs (x², H₂O)."""
    kind: LineKind = "paragraph"
    number: str = ""
    """What the program that wrote it prints before it: `3.`, `b)`, `•`; "" for nothing."""
    level: int = 0
    """How deep a list is, 0 for the outermost; of a heading its rank less one."""
    row: int = -1
    """Of a cell, within its table; −1 outside tables."""

    @property
    def whole(self) -> str:
        """The line as it is printed, with its number."""
        return f"{self.number} {self.text}" if self.number else self.text


@frozen
class Paper:
    """All text of a paper in the order in which it is read."""

    lines: tuple[Line, ...]
    cautions: tuple[str, ...] = ()
    """What holds no text, or may be read wrongly: pictures, an old encoding; whole sentences."""

    @property
    def text(self) -> str:
        """All lines as they are printed, one a line."""
        return "\n".join(line.whole for line in self.lines)
