"""A tree as plain text in one line, for captions and lists: `x² + ½ = 3`."""

from __future__ import annotations

import unicodedata
from typing import Final

from pausewright.formulas import tree

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


def linear(node: tree.Node) -> str:
    """Return a formula as one line of plain text."""
    return _LINE.of(node)


class _Line(tree.Writer):
    def number(self, text: str) -> str:
        return text

    def letter(self, letter: tree.Letter) -> str:
        return letter.name

    def name(self, text: str) -> str:
        return text

    def text(self, text: str) -> str:
        return text

    def sign(self, sign: str) -> str:
        return sign

    def row(self, parts: tuple[tree.Node, ...]) -> str:
        out = ""
        for at, part in enumerate(parts):
            text = self.of(part)
            if isinstance(part, tree.Sign) and part.sign in _SPACED:
                before = parts[at - 1] if at else None
                unary = part.sign in "+−±∓" and (before is None or isinstance(before, tree.Sign))
                out += text if unary else f" {text} "
            elif isinstance(part, tree.Sign) and part.sign in {",", ";"}:
                out += f"{text} "
            elif isinstance(part, tree.Name):
                out += f"{'' if not out or out[-1:] in ' (' else ' '}{text} "
            else:
                out += text
        return " ".join(out.replace("\u00a0", " ").split(" ")).strip()

    def quotient(self, top: tree.Node, bottom: tree.Node) -> str:
        vulgar = _FRACTIONS.get(f"{self.of(top)}/{self.of(bottom)}")
        return vulgar or f"{self._grouped(top)}/{self._grouped(bottom)}"

    def stacked(self, top: tree.Node, bottom: tree.Node) -> str:
        return f"({self.of(top)} over {self.of(bottom)})"

    def root(self, node: tree.Root) -> str:
        which = self.of(node.degree) if node.degree else ""
        sign = _ROOTS.get(which) or which.translate(_UP) + "√"
        return f"{sign}{self._grouped(node.inside)}"

    def scripts(self, node: tree.Scripts) -> str:
        out = self.of(node.base)
        if isinstance(node.base, tree.Row | tree.Quotient):
            out = f"({out})"
        if node.below is not None:
            out += _raised(self.of(node.below), _DOWN, "_")
        if node.above is not None:
            above = self.of(node.above)
            out += above if set(above) <= _DEGREE_MARKS else _raised(above, _UP, "^")
        return out

    def marked(self, node: tree.Marked) -> str:
        return "".join(sign + _MARKS[node.mark] for sign in self.of(node.base))

    def fenced(self, node: tree.Fenced) -> str:
        return f"{node.opening}{self.of(node.inside)}{node.closing}"

    def grid(self, rows: tuple[tuple[tree.Node, ...], ...]) -> str:
        return "; ".join(", ".join(map(self.of, line)) for line in rows)

    def _grouped(self, node: tree.Node) -> str:
        text = self.of(node)
        parts = tree.parts_of(node)
        is_quotient = isinstance(node, tree.Quotient)
        if isinstance(node, tree.Fenced) or (len(parts) == 1 and not is_quotient):
            return text
        holds_signs = any(isinstance(part, tree.Sign | tree.Quotient) for part in parts)
        return f"({text})" if holds_signs or len(parts) > 2 else text


_LINE: Final = _Line()


def _raised(text: str, table: dict[int, int], sign: str) -> str:
    tight = text.replace(" ", "")
    if all(ord(one) in table for one in tight):
        return tight.translate(table)
    return f"{sign}{text}" if len(text) == 1 else f"{sign}({text})"
