"""The words of the terms of a formula: letters, fractions, roots, powers, marks, matrices."""

from __future__ import annotations

from typing import Final

from pausewright.formulas import tree
from pausewright.wording import fractions, numbers
from pausewright.wording.formula_science import NoWordsError, ScienceWords

_SILENT: Final = frozenset({",", ";"})


class TermWords(ScienceWords):
    """Words for each term of a formula; `FormulaWords` puts them side by side."""

    def name(self, text: str) -> str:
        """Return a function's name in words."""
        return str(self._language.table("functions").get(text, text))

    def text(self, text: str) -> str:
        """Return plain text in words."""
        return self._read_words(text)

    def stacked(self, top: tree.Node, bottom: tree.Node) -> str:
        """Return a binomial coefficient: "five choose two"."""
        return f"{self.of(top)} {self._word('choose')} {self.of(bottom)}"

    # ---- numbers, letters, signs

    def letter(self, letter: tree.Letter) -> str:
        """Return a letter by its name."""
        if letter.style == "double":
            return str(self._table["double"].get(letter.name, letter.name))
        name = str(self._language.table("greek").get(letter.name, letter.name))
        if letter.style == "bold" and letter.name not in "ijk":
            return f"{self._word('bold')} {name}"
        return name

    def sign(self, sign: str) -> str:
        """Return a sign in words."""
        if sign in _SILENT:
            return sign
        for table in (
            self._table["signs"],
            self._language.table("signs"),
            self._language.table("lone_signs"),
        ):
            if sign in table:
                return str(table[sign])
        raise NoWordsError(sign)

    # ---- fractions and roots

    def quotient(self, top: tree.Node, bottom: tree.Node) -> str:
        """Return a fraction in words."""
        derivative = self._derivative(top, bottom)
        if derivative:
            return derivative
        quotient = tree.Quotient(top, bottom)
        if is_numeric(quotient):
            return fractions.fraction_words(_fraction(quotient), self._scan)
        over = self._language.word("over")
        head, tail = self.of(top), self.of(bottom)
        is_long = not is_term(top)
        head = f"{head}, {self._word('all')} {over}" if is_long else f"{head} {over}"
        if not is_term(bottom) and not (is_long and self._is_last):
            tail = self._grouped(tail)
        return f"{head} {tail}"

    def _grouped(self, words: str) -> str:
        """Return words of several terms so that they are heard as one thing."""
        quantity = self._table.get("quantity", "")
        if quantity:
            return f"{quantity} {words}" + ("" if self._is_last else ",")
        opening, closing = (self._language.word(name) for name in ("open_bracket", "close_bracket"))
        return f"{opening} {words} {closing}"

    def _derivative(self, top: tree.Node, bottom: tree.Node) -> str:
        above, below = tree.parts_of(top), tree.parts_of(bottom)
        d = tree.Letter("d")
        heads = {
            part.base if isinstance(part, tree.Scripts) else part for part in (above[0], below[0])
        }
        if heads == {d} and len(below) >= 2:
            return f"{self.of(top)} {self._word('by')} {self.of(bottom)}"
        return ""

    def _part_of_mixed(self, part: tree.Quotient) -> str:
        fraction = _fraction(part)
        mixed = fractions.Fraction(0, 0, fraction.top, fraction.bottom)
        return fractions.fraction_words(mixed, self._scan).partition(
            f" {self._language.word('and')} "
        )[2]

    def root(self, node: tree.Root) -> str:
        """Return a root in words."""
        inside = self.of(node.inside)
        if not is_term(node.inside):
            inside = self._grouped(inside)
        if node.degree is None:
            return f"{self._language.word('square_root')} {inside}"
        degree = node.degree
        if isinstance(degree, tree.Number) and degree.text in {"3", "4"}:
            name = "cube_root" if degree.text == "3" else "fourth_root"
            return f"{self._language.word(name)} {inside}"
        return f"{self._word('root').format(degree=self._ordinal(degree))} {inside}"

    def _ordinal(self, node: tree.Node) -> str:
        if isinstance(node, tree.Number) and node.text.isdigit():
            return numbers.ordinal_words(int(node.text), self._language)
        return f"{self.of(node)}th"

    # ---- powers and indices

    def scripts(self, node: tree.Scripts) -> str:
        """Return powers and indices in words."""
        base = node.base
        if isinstance(base, tree.Sign) and base.sign in {"∑", "∏", "∫"}:
            return self._limits(node, self.sign(base.sign))
        if (
            isinstance(base, tree.Name)
            and base.text in {"lim", "max", "min"}
            and node.below is not None
        ):
            return f"{self.of(base)} {self._word('as')} {self.of(node.below)}, {self._word('of')}"
        words = self.of(base)
        if isinstance(base, tree.Number) and isinstance(node.below, tree.Number):
            words = numbers.digits(base.text, self._scan.zero_of_codes, language=self._language)
        if isinstance(base, tree.Row | tree.Quotient) and not is_term(base):
            words = f"{words},"
        if node.below is not None:
            words += self._below(base, node.below)
        return words + (self._above(base, node.above) if node.above is not None else "")

    def _limits(self, node: tree.Scripts, name: str) -> str:
        words = name.removesuffix(f" {self._word('of')}")
        if node.below is not None:
            words += f" {self._word('from')} {self.of(node.below)}"
        if node.above is not None:
            words += f" {self._language.word('to')} {self.of(node.above)}"
        return words + f" {self._word('of')}"

    def _below(self, base: tree.Node, below: tree.Node) -> str:
        if isinstance(base, tree.Name) and base.text == "log":
            return f" {self._word('base')} {self.of(below)} {self._language.word('of')}"
        if isinstance(base, tree.Number) and base.text.isdigit() and isinstance(below, tree.Number):
            return f" {self._word('base')} {self.of(below)}"
        return f" {self._language.word('sub')} {self.of(below)}"

    def _above(self, base: tree.Node, above: tree.Node) -> str:
        if isinstance(above, tree.Sign):
            signs = self._table["above"]
            if above.sign in signs:
                one = isinstance(base, tree.Number) and base.text == "1"
                name = signs[above.sign]
                return f" {name if isinstance(name, str) else name[0 if one else 1]}"
        parts = tree.parts_of(above)
        if above == tree.Letter("c") and isinstance(base, tree.Letter) and base.name.isupper():
            return f" {self._word('complement')}"
        if parts and all(part == tree.Sign("′") for part in parts):
            prime = str(self._table["signs"]["′"])
            return f" {self._word('double')} {prime}" if len(parts) == 2 else f" {prime}"
        if isinstance(base, tree.Name) and parts == (tree.Sign("−"), tree.Number("1")):
            return f" {self._word('inverse')}"
        if (
            isinstance(base, tree.Letter)
            and base.name in "fgh"
            and parts == (tree.Sign("−"), tree.Number("1"))
        ):
            return f" {self._word('inverse')}"
        if isinstance(above, tree.Number) and above.text in {"2", "3"}:
            return f" {self._language.word('squared' if above.text == '2' else 'cubed')}"
        return f" {self._language.word('power')} {self._exponent(above)}"

    def _exponent(self, above: tree.Node) -> str:
        words = self.of(above)
        if is_term(above):
            return words
        opening, closing = (self._language.word(name) for name in ("open_bracket", "close_bracket"))
        return f"{opening} {words} {closing}"

    def marked(self, node: tree.Marked) -> str:
        """Return a base with its mark in words."""
        base, mark = node.base, node.mark
        words = self.of(base)
        letters = tree.parts_of(base)
        capitals = all(isinstance(one, tree.Letter) and one.name.isupper() for one in letters)
        if mark == "vector" and (
            words in {"i", "j", "k"}
            or self._scan.mentions("rays")
            or self._scan.word_before(self._at) in {"vector", "vectors"}
        ):
            return words
        if mark == "vector":
            return f"{self._word('vector')} {words}"
        if mark == "hat" and capitals and len(letters) == 3:
            return f"{self._table['signs']['∠']} {words}"
        if mark == "bar" and capitals and len(letters) == 2:
            return words
        if mark == "underline":
            return f"{self._word('vector')} {words}"
        return f"{words} {self._table['marks'][mark]}"

    def grid(self, rows: tuple[tuple[tree.Node, ...], ...]) -> str:
        """Return a matrix in words, row by row."""
        if all(len(line) == 1 for line in rows):
            return ", ".join(self.of(line[0]) for line in rows)
        lines = (" ".join(f"{self.of(cell)}," for cell in line) for line in rows)
        return f"{self._word('matrix')} " + "; ".join(
            f"{self._word('row')} {numbers.whole_words(n, self._language)}: {line.rstrip(',')}"
            for n, line in enumerate(lines, 1)
        )


def is_numeric(node: tree.Quotient) -> bool:
    """Say whether a fraction is one of two whole numbers."""
    return all(
        isinstance(one, tree.Number) and one.text.isdigit() and len(one.text) < 10
        for one in (node.top, node.bottom)
    )


def _fraction(node: tree.Quotient) -> fractions.Fraction:
    top, bottom = node.top, node.bottom
    if not (isinstance(top, tree.Number) and isinstance(bottom, tree.Number)):
        raise NoWordsError("/")
    return fractions.Fraction(0, None, int(top.text), int(bottom.text))


def is_term(node: tree.Node) -> bool:
    """Say whether a part needs no brackets in speech: no sign between its terms."""
    parts = tree.parts_of(node)
    return not any(isinstance(p, tree.Sign) and p.sign in "+−±=<>≤≥" for p in parts[1:]) and not (
        len(parts) > 1 and isinstance(parts[0], tree.Quotient)
    )
