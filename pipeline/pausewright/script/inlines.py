"""Inlines as such: their words and their leaves."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.formulas.latex import parsed
from pausewright.formulas.linear import linear
from pausewright.formulas.tree import FormulaError
from pausewright.script.model import Emphasis, Formula, Pause, Sound, Span, Text, Tone

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.script.model import Inline


def plain(nodes: tuple[Inline, ...]) -> str:
    """Return the words of inlines as written, for messages and papers; formulas in a line."""
    out = ""
    for node in nodes:
        if isinstance(node, Formula):
            out += formula_text(node)
        elif isinstance(node, Text):
            out += node.text
        elif isinstance(node, Emphasis | Span):
            out += plain(node.children)
    return out


def formula_text(formula: Formula) -> str:
    """Return a formula as one line of plain text; as written if it cannot be read."""
    try:
        return linear(parsed(formula.latex))
    except FormulaError:
        return formula.text


def leaves(nodes: tuple[Inline, ...]) -> Iterator[Inline]:
    """Walk what is heard, emphasis and spans opened; a span with words of its own stays whole."""
    for node in nodes:
        if isinstance(node, Emphasis) or (
            isinstance(node, Span) and node.say is None and node.ipa is None
        ):
            yield from leaves(node.children)
        else:
            yield node


def is_blank(node: Inline) -> bool:
    """Say whether an inline is text without a word or sign."""
    return isinstance(node, Text) and not node.text.strip()


def has_spoken(nodes: tuple[Inline, ...]) -> bool:
    """Say whether anything in the inlines is said otherwise than it is written."""
    for node in nodes:
        if isinstance(node, Span | Pause | Tone | Sound):
            return True
        if isinstance(node, Emphasis) and has_spoken(node.children):
            return True
    return False


def trimmed(nodes: tuple[Inline, ...]) -> tuple[Inline, ...]:
    """Take blanks off both ends."""
    out = list(nodes)
    while out and is_blank(out[0]):
        out.pop(0)
    while out and is_blank(out[-1]):
        out.pop()
    if out and isinstance(out[-1], Text) and not isinstance(out[-1], Formula):
        last = out[-1]
        cut = len(last.text) - len(last.text.rstrip())
        length = max(1, last.place.length - cut)
        out[-1] = Text(last.text.rstrip(), replace(last.place, length=length))
    return tuple(out)
