"""A formula as a tree of what is seen; it states the notation and knows no method."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Final, TypeAlias

from pausewright.frozen import frozen
from pausewright.problems import PausewrightError

OPENINGS: Final = {"(": ")", "[": "]", "{": "}", "⌊": "⌋", "⌈": "⌉", "⟨": "⟩"}
BARS: Final = frozenset("|∣‖")
RECURRING: Final = frozenset("\u0307\u0305")
"""Marks on figures that recur: a dot above, a line above."""


class FormulaError(PausewrightError):
    """A formula that cannot be read; the hint gives the form that is likely meant."""


@frozen
class Number:
    """Figures as written, groups joined: `1250.5`; recurring ones carry a combining mark."""

    text: str


@frozen
class Letter:
    """A letter that stands for something; `style` is "", "bold", "upright" or "double"."""

    name: str
    style: str = ""


@frozen
class Name:
    """A function's name: `sin`, `log`."""

    text: str


@frozen
class Words:
    """Plain words inside a formula; they are read as text."""

    text: str


@frozen
class Sign:
    """An operator, relation, comma or other sign."""

    sign: str


@frozen
class Row:
    """Parts side by side."""

    parts: tuple[Node, ...]


@frozen
class Quotient:
    """A fraction."""

    top: Node
    bottom: Node


@frozen
class Root:
    """A root; `degree` is None for a square root."""

    inside: Node
    degree: Node | None = None


@frozen
class Scripts:
    """A base with what stands below and above at its right."""

    base: Node
    below: Node | None = None
    above: Node | None = None


@frozen
class Marked:
    """A base with a mark: "vector", "bar", "hat", "dot", "tilde", "underline", "arc"."""

    base: Node
    mark: str


@frozen
class Fenced:
    """What stands between two brackets or bars."""

    opening: str
    inside: Node
    closing: str


@frozen
class Grid:
    """A matrix or column: rows of cells."""

    rows: tuple[tuple[Node, ...], ...]


@frozen
class Stacked:
    """Two values above each other without a line between them: a binomial coefficient."""

    top: Node
    bottom: Node


Node: TypeAlias = (
    Number
    | Letter
    | Name
    | Words
    | Sign
    | Row
    | Quotient
    | Root
    | Scripts
    | Marked
    | Fenced
    | Grid
    | Stacked
)


def parts_of(node: Node) -> tuple[Node, ...]:
    """Return the parts of a row, or the node alone."""
    return node.parts if isinstance(node, Row) else (node,)


def row(parts: list[Node]) -> Node:
    """Return parts as one node; rows inside are opened."""
    flat = [one for part in parts for one in parts_of(part)]
    return flat[0] if len(flat) == 1 else Row(tuple(flat))


class Writer(ABC):
    """One way to write a tree: a method for each kind of part, chosen here."""

    def of(self, node: Node) -> str:
        """Return a part as this writer has it."""
        match node:
            case Number(text):
                return self.number(text)
            case Letter():
                return self.letter(node)
            case Name(text):
                return self.name(text)
            case Words(text):
                return self.text(text)
            case Sign(sign):
                return self.sign(sign)
            case Row(parts):
                return self.row(parts)
            case Quotient(top, bottom):
                return self.quotient(top, bottom)
            case Stacked(top, bottom):
                return self.stacked(top, bottom)
            case Root():
                return self.root(node)
            case Scripts():
                return self.scripts(node)
            case Marked():
                return self.marked(node)
            case Fenced():
                return self.fenced(node)
            case Grid(rows):
                return self.grid(rows)

    @abstractmethod
    def number(self, text: str) -> str:
        """Return figures."""

    @abstractmethod
    def letter(self, letter: Letter) -> str:
        """Return a letter in its style."""

    @abstractmethod
    def name(self, text: str) -> str:
        """Return a function's name."""

    @abstractmethod
    def text(self, text: str) -> str:
        """Return plain words."""

    @abstractmethod
    def sign(self, sign: str) -> str:
        """Return an operator or another sign."""

    @abstractmethod
    def row(self, parts: tuple[Node, ...]) -> str:
        """Return parts side by side."""

    @abstractmethod
    def quotient(self, top: Node, bottom: Node) -> str:
        """Return a fraction."""

    @abstractmethod
    def stacked(self, top: Node, bottom: Node) -> str:
        """Return a binomial coefficient."""

    @abstractmethod
    def root(self, node: Root) -> str:
        """Return a root."""

    @abstractmethod
    def scripts(self, node: Scripts) -> str:
        """Return a base with what stands below and above."""

    @abstractmethod
    def marked(self, node: Marked) -> str:
        """Return a base with its mark."""

    @abstractmethod
    def fenced(self, node: Fenced) -> str:
        """Return brackets and what they hold."""

    @abstractmethod
    def grid(self, rows: tuple[tuple[Node, ...], ...]) -> str:
        """Return a matrix or column."""
