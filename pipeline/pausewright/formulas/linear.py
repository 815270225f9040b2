"""A tree as plain text in one line, for captions and lists: `x² + ½ = 3`."""

from __future__ import annotations

import unicodedata
from typing import Final

from pausewright.formulas.tree import (
    Fenced,
    Grid,
    Letter,
    Marked,
    Name,
    Node,
    Number,
    Quotient,
    Root,
    Row,
    Scripts,
    Sign,
    Stacked,
    Words,
    parts_of,
)

_UP: Final = str.maketrans("0123456789+-−=()n", "⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻⁻⁼⁽⁾ⁿ")
_DOWN: Final = str.maketrans("0123456789+-−=()", "₀₁₂₃₄₅₆₇₈₉₊₋₋₌₍₎")
_MARKS: Final = {
    "vector": "\u20d7", "bar": "\u0305", "hat": "\u0302", "dot": "\u0307", "two dots": "\u0308",
    "tilde": "\u0303", "underline": "\u0332", "arc": "\u0311",
}  # fmt: skip
_SPACED: Final = frozenset("+−×÷=≠≈≡≅<>≤≥±∓∪∩∈∉⊂⊆→⇒⇔∝∥⊥·∘")
_FRACTIONS: Final = {
    unicodedata.normalize("NFKC", sign).replace("\u2044", "/"): sign
    for sign in "½¼¾⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞⅐⅑⅒"
}
_ROOTS: Final = {"3": "∛", "4": "∜"}
_DEGREE_MARKS: Final = frozenset("°′″")


def linear(node: Node) -> str:
    """Return a formula as one line of plain text."""
    match node:
        case Number(text) | Name(text) | Words(text):
            return text
        case Letter(name, _):
            return name
        case Sign(sign):
            return sign
        case Row(parts):
            return _row(parts)
        case Quotient(top, bottom):
            vulgar = _FRACTIONS.get(f"{linear(top)}/{linear(bottom)}")
            return vulgar or f"{_grouped(top)}/{_grouped(bottom)}"
        case Stacked(top, bottom):
            return f"({linear(top)} over {linear(bottom)})"
        case Root(inside, None):
            return f"√{_grouped(inside)}"
        case Root(inside, degree):
            which = linear(degree) if degree else ""
            sign = _ROOTS.get(which) or which.translate(_UP) + "√"
            return f"{sign}{_grouped(inside)}"
        case Scripts():
            return _scripts(node)
        case Marked(base, mark):
            return "".join(sign + _MARKS[mark] for sign in linear(base))
        case Fenced(opening, inside, closing):
            return f"{opening}{linear(inside)}{closing}"
        case Grid(rows):
            return "; ".join(", ".join(linear(cell) for cell in line) for line in rows)


def _grouped(node: Node) -> str:
    text = linear(node)
    parts = parts_of(node)
    if isinstance(node, Fenced) or (len(parts) == 1 and not isinstance(node, Quotient)):
        return text
    return (
        f"({text})"
        if any(isinstance(p, Sign | Quotient) for p in parts) or len(parts) > 2
        else text
    )


def _row(parts: tuple[Node, ...]) -> str:
    out = ""
    for at, part in enumerate(parts):
        text = linear(part)
        if isinstance(part, Sign) and part.sign in _SPACED:
            before = parts[at - 1] if at else None
            unary = part.sign in "+−±∓" and (before is None or isinstance(before, Sign))
            out += text if unary else f" {text} "
        elif isinstance(part, Sign) and part.sign in {",", ";"}:
            out += f"{text} "
        elif isinstance(part, Name):
            out += f"{'' if not out or out[-1:] in ' (' else ' '}{text} "
        else:
            out += text
    return " ".join(out.replace("\u00a0", " ").split(" ")).strip()


def _scripts(node: Scripts) -> str:
    base = linear(node.base)
    if isinstance(node.base, Row | Quotient):
        base = f"({base})"
    out = base
    if node.below is not None:
        out += _raised(linear(node.below), _DOWN, "_")
    if node.above is not None:
        above = linear(node.above)
        out += above if set(above) <= _DEGREE_MARKS else _raised(above, _UP, "^")
    return out


def _raised(text: str, table: dict[int, int], sign: str) -> str:
    tight = text.replace(" ", "")
    if all(ord(one) in table for one in tight):
        return tight.translate(table)
    return f"{sign}{text}" if len(text) == 1 else f"{sign}({text})"
