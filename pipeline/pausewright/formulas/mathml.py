"""A tree as presentation MathML, for pages. Source: W3C, MathML Core."""

from __future__ import annotations

from html import escape
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
)

_OVER: Final = {
    "vector": "→", "bar": "‾", "hat": "^", "dot": "˙", "two dots": "¨", "tilde": "~", "arc": "⌢",
}  # fmt: skip
_BOLD_A: Final = 0x1D400
_BOLD_SMALL_A: Final = 0x1D41A
_DOUBLE: Final = {"R": "ℝ", "N": "ℕ", "Z": "ℤ", "Q": "ℚ", "C": "ℂ"}


def mathml(node: Node, *, display: bool = False) -> str:
    """Return a `math` element as text, its signs escaped."""
    kind = ' display="block"' if display else ""
    return (
        f'<math xmlns="http://www.w3.org/1998/Math/MathML"{kind}><mrow>{_one(node)}</mrow></math>'
    )


def _one(node: Node) -> str:
    match node:
        case Number(text):
            return f"<mn>{escape(text)}</mn>"
        case Letter():
            return _letter(node)
        case Name(text):
            return f"<mi>{escape(text)}</mi>"
        case Words(text):
            return f"<mtext>{escape(text)}</mtext>"
        case Sign(sign):
            return f"<mo>{escape(sign)}</mo>"
        case Row(parts):
            return f"<mrow>{''.join(map(_one, parts))}</mrow>"
        case Quotient(top, bottom):
            return f"<mfrac>{_one(top)}{_one(bottom)}</mfrac>"
        case Stacked(top, bottom):
            pair = f'<mfrac linethickness="0">{_one(top)}{_one(bottom)}</mfrac>'
            return f"<mrow><mo>(</mo>{pair}<mo>)</mo></mrow>"
        case Root(inside, None):
            return f"<msqrt>{_one(inside)}</msqrt>"
        case Root(inside, degree):
            return f"<mroot>{_one(inside)}{_one(degree) if degree else ''}</mroot>"
        case Scripts():
            return _scripts(node)
        case Marked(base, "underline"):
            return f"<munder>{_one(base)}<mo>‾</mo></munder>"
        case Marked(base, mark):
            return f'<mover accent="true">{_one(base)}<mo>{_OVER[mark]}</mo></mover>'
        case Fenced(opening, inside, closing):
            first, last = escape(opening), escape(closing)
            ends = [f'<mo fence="true">{sign}</mo>' for sign in (first, last)]
            return f"<mrow>{ends[0]}{_one(inside)}{ends[1]}</mrow>"
        case Grid(rows):
            lines = (
                "<mtr>" + "".join(f"<mtd>{_one(cell)}</mtd>" for cell in line) + "</mtr>"
                for line in rows
            )
            return f"<mtable>{''.join(lines)}</mtable>"


def _scripts(node: Scripts) -> str:
    base = _one(node.base)
    if node.below is not None and node.above is not None:
        return f"<msubsup>{base}{_one(node.below)}{_one(node.above)}</msubsup>"
    if node.below is not None:
        return f"<msub>{base}{_one(node.below)}</msub>"
    return f"<msup>{base}{_one(node.above) if node.above else '<mrow></mrow>'}</msup>"


def _letter(letter: Letter) -> str:
    name = letter.name
    if letter.style == "bold" and name.isascii():
        base = _BOLD_A if name.isupper() else _BOLD_SMALL_A
        name = chr(base + ord(name.upper()) - ord("A"))
    elif letter.style == "double":
        name = _DOUBLE.get(name, name)
    return f"<mi>{escape(name)}</mi>"
