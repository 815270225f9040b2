"""The library's flat list of tokens as a tree of nodes that know their place."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from pausewright.script.source.markdown import tokens

if TYPE_CHECKING:
    from markdown_it.token import Token

    from pausewright.problems import Place
    from pausewright.script.source.source_text import Source


@dataclass(slots=True)
class Node:
    """One block: its opening token and what stands inside."""

    token: Token
    source: Source
    children: list[Node] = field(default_factory=list)

    @property
    def line(self) -> int:
        """First line, counted from 1."""
        return (self.token.map[0] if self.token.map else 0) + 1

    @property
    def end_line(self) -> int:
        """One past the last line, counted from 1."""
        return (self.token.map[1] if self.token.map else 0) + 1

    @property
    def place(self) -> Place:
        """The text of the first line."""
        return self.source.whole_line(self.line)

    @property
    def lead(self) -> int:
        """Blanks before the first line's text."""
        row = self.source.lines[self.line - 1]
        return len(row) - len(row.lstrip(" "))


def tree(source: Source) -> list[Node]:
    """Return the top-level blocks of a prepared file."""
    top: list[Node] = []
    stack: list[Node] = []
    for token in tokens(source.markdown):
        if token.nesting < 0:
            stack.pop()
            continue
        node = Node(token, source)
        (stack[-1].children if stack else top).append(node)
        if token.nesting > 0:
            stack.append(node)
    return top
