"""A tree as mathematics of Typst, for papers set by it. Source: Typst's reference, "Math"."""

from __future__ import annotations

import re
from typing import Final

from pausewright.formulas import tree

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


_SIGNS: Final = {"/": "\\/", ",": ",", "−": "-", "<": "<", ">": ">", ";": "\\;"}
_KEPT: Final[dict[tree.Node, str]] = {tree.Sign(","): "#[,]", tree.Sign(";"): "#[;]"}
_FENCES: Final = {"(": "(", ")": ")", "∣": "|", "‖": "‖"}


def typst(node: tree.Node, *, display: bool = False) -> str:
    """Return a formula between dollar signs, as Typst reads it; `display` gives it its own line."""
    blank = " " if display else ""
    return f"${blank}{_TYPST.of(node)}{blank}$"


class _Typst(tree.Writer):
    def number(self, text: str) -> str:
        return _number(text)

    def letter(self, letter: tree.Letter) -> str:
        name = letter.name if len(letter.name) == 1 else self.text(letter.name)
        return _STYLES.get(letter.style, "{}").format(name)

    def name(self, text: str) -> str:
        return self.text(text) if text == "mod" else text

    def text(self, text: str) -> str:
        escaped = text.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'

    def sign(self, sign: str) -> str:
        is_text = sign in _SPECIAL - {"<", ">", "/"}
        return self.text(sign) if is_text else _SIGNS.get(sign, sign)

    def row(self, parts: tuple[tree.Node, ...]) -> str:
        return " ".join(map(self.of, parts))

    def quotient(self, top: tree.Node, bottom: tree.Node) -> str:
        return f"frac({self._argument(top)}, {self._argument(bottom)})"

    def stacked(self, top: tree.Node, bottom: tree.Node) -> str:
        return f"binom({self._argument(top)}, {self._argument(bottom)})"

    def root(self, node: tree.Root) -> str:
        if node.degree is None:
            return f"sqrt({self._argument(node.inside)})"
        return f"root({self._argument(node.degree)}, {self._argument(node.inside)})"

    def scripts(self, node: tree.Scripts) -> str:
        base = self.of(node.base)
        if isinstance(node.base, tree.Row):
            base = f"lr({base})"
        below = f"_({self._argument(node.below)})" if node.below is not None else ""
        above = f"^({self._argument(node.above)})" if node.above is not None else ""
        return f"{base}{below}{above}"

    def marked(self, node: tree.Marked) -> str:
        return _MARKS[node.mark].format(self._argument(node.base))

    def fenced(self, node: tree.Fenced) -> str:
        first, last = (_FENCES.get(sign, sign) for sign in (node.opening, node.closing))
        if isinstance(node.inside, tree.Grid):
            return f'mat(delim: "{node.opening}", {self._cells(node.inside.rows)})'
        return f"lr({first} {self._argument(node.inside)} {last})"

    def grid(self, rows: tuple[tuple[tree.Node, ...], ...]) -> str:
        return f"mat(delim: #none, {self._cells(rows)})"

    def _cells(self, rows: tuple[tuple[tree.Node, ...], ...]) -> str:
        return "; ".join(", ".join(map(self._argument, line)) for line in rows)

    def _argument(self, node: tree.Node) -> str:
        """Write an argument of a function; a comma or semicolon in it would part arguments."""
        parts = tree.parts_of(node)
        if any(isinstance(part, tree.Sign) and part.sign in {",", ";"} for part in parts):
            return " ".join(_KEPT.get(p) or self.of(p) for p in parts)
        return self.of(node)


_TYPST: Final = _Typst()


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
