"""A tree as presentation MathML, for pages. Source: W3C, MathML Core."""

from __future__ import annotations

from html import escape
from typing import Final

from pausewright.formulas import tree

_OVER: Final = {
    "vector": "→", "bar": "‾", "hat": "^", "dot": "˙", "two dots": "¨", "tilde": "~", "arc": "⌢",
}  # fmt: skip
_BOLD_A: Final = 0x1D400
_BOLD_SMALL_A: Final = 0x1D41A
_DOUBLE: Final = {"R": "ℝ", "N": "ℕ", "Z": "ℤ", "Q": "ℚ", "C": "ℂ"}


def mathml(node: tree.Node, *, display: bool = False) -> str:
    """Return a `math` element as text, its signs escaped."""
    kind = ' display="block"' if display else ""
    inner = _ELEMENTS.of(node)
    return f'<math xmlns="http://www.w3.org/1998/Math/MathML"{kind}><mrow>{inner}</mrow></math>'


class _Elements(tree.Writer):
    def number(self, text: str) -> str:
        return f"<mn>{escape(text)}</mn>"

    def letter(self, letter: tree.Letter) -> str:
        name = letter.name
        if letter.style == "bold" and name.isascii():
            base = _BOLD_A if name.isupper() else _BOLD_SMALL_A
            name = chr(base + ord(name.upper()) - ord("A"))
        elif letter.style == "double":
            name = _DOUBLE.get(name, name)
        return f"<mi>{escape(name)}</mi>"

    def name(self, text: str) -> str:
        return f"<mi>{escape(text)}</mi>"

    def text(self, text: str) -> str:
        return f"<mtext>{escape(text)}</mtext>"

    def sign(self, sign: str) -> str:
        return f"<mo>{escape(sign)}</mo>"

    def row(self, parts: tuple[tree.Node, ...]) -> str:
        return f"<mrow>{''.join(map(self.of, parts))}</mrow>"

    def quotient(self, top: tree.Node, bottom: tree.Node) -> str:
        return f"<mfrac>{self.of(top)}{self.of(bottom)}</mfrac>"

    def stacked(self, top: tree.Node, bottom: tree.Node) -> str:
        pair = f'<mfrac linethickness="0">{self.of(top)}{self.of(bottom)}</mfrac>'
        return f"<mrow><mo>(</mo>{pair}<mo>)</mo></mrow>"

    def root(self, node: tree.Root) -> str:
        if node.degree is None:
            return f"<msqrt>{self.of(node.inside)}</msqrt>"
        return f"<mroot>{self.of(node.inside)}{self.of(node.degree)}</mroot>"

    def scripts(self, node: tree.Scripts) -> str:
        base = self.of(node.base)
        if node.below is not None and node.above is not None:
            return f"<msubsup>{base}{self.of(node.below)}{self.of(node.above)}</msubsup>"
        if node.below is not None:
            return f"<msub>{base}{self.of(node.below)}</msub>"
        return f"<msup>{base}{self.of(node.above) if node.above else '<mrow></mrow>'}</msup>"

    def marked(self, node: tree.Marked) -> str:
        base = self.of(node.base)
        if node.mark == "underline":
            return f"<munder>{base}<mo>‾</mo></munder>"
        return f'<mover accent="true">{base}<mo>{_OVER[node.mark]}</mo></mover>'

    def fenced(self, node: tree.Fenced) -> str:
        first, last = (
            f'<mo fence="true">{escape(sign)}</mo>' for sign in (node.opening, node.closing)
        )
        return f"<mrow>{first}{self.of(node.inside)}{last}</mrow>"

    def grid(self, rows: tuple[tuple[tree.Node, ...], ...]) -> str:
        cells = (f"<mtd>{'</mtd><mtd>'.join(map(self.of, line))}</mtd>" for line in rows)
        return f"<mtable>{''.join(f'<mtr>{line}</mtr>' for line in cells)}</mtable>"


_ELEMENTS: Final = _Elements()
