"""A tree as mathematics of Typst, for papers set by it. Source: Typst's reference, "Math"."""

from __future__ import annotations

import re
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

_MARKS: Final = {
    "vector": "arrow({})", "bar": "overline({})", "hat": "hat({})", "dot": "dot({})",
    "two dots": "dot.double({})", "tilde": "tilde({})", "underline": "underline({})",
    "arc": "accent({}, \u2322)",
}  # fmt: skip
_STYLES: Final = {
    "bold": "bold({})",
    "double": "bb({})",
    "script": "cal({})",
    "upright": "upright({})",
}
_SPECIAL: Final = frozenset("$#\"\\/_^&~*`@<>'")
"""Signs with a meaning of their own in Typst's mathematics; they are written as text."""
_RECURRING: Final = re.compile(r"(?:\d\u0305)+|\d\u0307|[^\u0305\u0307]")


def typst(node: Node, *, display: bool = False) -> str:
    """Return a formula between dollar signs, as Typst reads it; `display` gives it its own line."""
    blank = " " if display else ""
    return f"${blank}{_one(node)}{blank}$"


def _text(words: str) -> str:
    escaped = words.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _one(node: Node) -> str:
    match node:
        case Number(text):
            return _number(text)
        case Letter(name, style):
            return _STYLES.get(style, "{}").format(name if len(name) == 1 else _text(name))
        case Name(text):
            return _text(text) if text == "mod" else text
        case Words(text):
            return _text(text)
        case Sign(sign):
            return _text(sign) if sign in _SPECIAL - {"<", ">", "/"} else _SIGNS.get(sign, sign)
        case Row(parts):
            return " ".join(map(_one, parts))
        case Quotient(top, bottom):
            return f"frac({_argument(top)}, {_argument(bottom)})"
        case Stacked(top, bottom):
            return f"binom({_argument(top)}, {_argument(bottom)})"
        case Root(inside, None):
            return f"sqrt({_argument(inside)})"
        case Root(inside, degree):
            return f"root({_argument(degree) if degree else ''}, {_argument(inside)})"
        case Scripts():
            return _scripts(node)
        case Marked(base, mark):
            return _MARKS[mark].format(_argument(base))
        case Fenced(opening, inside, closing):
            first, last = (_FENCES.get(sign, sign) for sign in (opening, closing))
            if isinstance(inside, Grid):
                return f'mat(delim: "{opening}", {_grid(inside)})'
            return f"lr({first} {_argument(inside)} {last})"
        case Grid():
            return f"mat(delim: #none, {_grid(node)})"


_SIGNS: Final = {"/": "\\/", ",": ",", "−": "-", "<": "<", ">": ">", ";": "\\;"}
_FENCES: Final = {"(": "(", ")": ")", "∣": "|", "‖": "‖"}


def _argument(node: Node) -> str:
    """Write an argument of a function; a comma or semicolon in it would part arguments."""
    if any(isinstance(part, Sign) and part.sign in {",", ";"} for part in parts_of(node)):
        return " ".join(
            "#[,]" if part == Sign(",") else "#[;]" if part == Sign(";") else _one(part)
            for part in parts_of(node)
        )
    return _one(node)


def _scripts(node: Scripts) -> str:
    base = _one(node.base)
    if isinstance(node.base, Row):
        base = f"lr({base})"
    below = f"_({_argument(node.below)})" if node.below is not None else ""
    above = f"^({_argument(node.above)})" if node.above is not None else ""
    return f"{base}{below}{above}"


def _grid(grid: Grid) -> str:
    return "; ".join(", ".join(_argument(cell) for cell in line) for line in grid.rows)


def _number(text: str) -> str:
    out = ""
    for found in _RECURRING.finditer(text):
        piece = found[0]
        if "\u0305" in piece:
            out += f" overline({piece.replace(chr(0x305), '')}) "
        elif "\u0307" in piece:
            out += f" dot({piece[0]}) "
        else:
            out += piece if piece != "," else "\\,"
    return " ".join(out.split()) if "(" in out else out.replace("\\,", ",")
