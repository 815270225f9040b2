"""The text of one file: its lines as written, and as the Markdown reader gets them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from pausewright.problems import Place

if TYPE_CHECKING:
    from pathlib import Path


@dataclass(slots=True)
class Source:
    """One file: its lines as written, and the lines that the Markdown reader gets."""

    file: Path
    text: str
    lines: list[str]
    """As written, without line ends; tabs at the start of a line are four blanks."""
    numbers: dict[int, tuple[int, int]] = field(default_factory=dict)
    """Question lines: line (from 1) → number written, and its count of characters."""
    tabs: dict[int, int] = field(default_factory=dict)
    """Lines that began with tabs: line → blanks that were put in beyond one for each tab."""
    joined: set[int] = field(default_factory=set)
    """Question lines that stand right below text: a problem was reported."""
    settings_text: str = ""
    settings_line: int = 0
    """Line of the opening `---`; 0 without settings."""
    prepared: list[str] = field(default_factory=list)
    """The lines that the Markdown reader gets: settings and comments blank, numbers alike."""

    @property
    def markdown(self) -> str:
        """What the Markdown reader gets."""
        return "\n".join(self.prepared)

    def column(self, line: int, content: str) -> int:
        """Return the column at which `content`, the end of a prepared line, begins."""
        prepared = self.prepared[line - 1]
        shift = len(prepared) - len(self.lines[line - 1]) if line in self.numbers else 0
        written, content = prepared.rstrip(), content.rstrip()
        start = len(written) - len(content)
        if not written.endswith(content):  # a heading with closing marks
            start = max(0, written.rfind(content))
        return max(1, start + 1 - shift)

    def place(self, line: int, column: int = 1, length: int = 1) -> Place:
        """Return a place in this file."""
        return Place(self.file, line, max(1, column - self.tabs.get(line, 0)), length)

    def whole_line(self, line: int) -> Place:
        """Return the place of a line's text, without its leading blanks."""
        row = self.lines[line - 1]
        lead = len(row) - len(row.lstrip())
        return self.place(line, lead + 1, max(1, len(row.rstrip()) - lead))
