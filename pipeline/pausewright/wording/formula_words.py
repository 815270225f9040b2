"""The words of a formula: its notation from left to right, never a method or a result."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.formulas import tree
from pausewright.wording import fractions, numbers
from pausewright.wording.formula_science import NoWordsError, ScienceWords
from pausewright.wording.letters import named

if TYPE_CHECKING:
    from collections.abc import Sequence


_UNARY: Final = frozenset("−+±∓")
_FUNCTION_LETTERS: Final = frozenset("fghFGHPpNnEuv")
_FIRST_OF_GEOMETRY: Final = frozenset("∠△▵")
_MOD: Final = (tree.Name("mod"), tree.Words("mod"))
_SILENT: Final = frozenset({",", ";"})


class FormulaWords(ScienceWords):
    """Words for trees in the language and the ways of reading of a scan."""

    def words(self, node: tree.Node) -> str:
        """Return the words of a formula.

        Raises
        ------
        NoWordsError
            If a part of it has none.
        """
        if not self._table:
            raise NoWordsError("formulas")
        text = named(self.row(tree.parts_of(node)))
        verb = self._language.word("is")
        before = self._scan.word_before(self._at)
        if verb and before == verb:  # "Is $x > 3$?"
            text = text.replace(f" {verb} ", " ", 1)
        elif before == "let":
            text = text.replace(f" {verb} ", f" {self._language.word('be')} ", 1)
        return re.sub(r"\s+([,.;:?!])", r"\1", " ".join(text.split()))

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

    # ---- side by side

    def row(self, parts: Sequence[tree.Node]) -> str:
        """Return parts side by side in words."""
        out: list[str] = []
        at = 0
        while at < len(parts):
            at = self._part(parts, at, out)
        return " ".join(out)

    def _part(self, parts: Sequence[tree.Node], at: int, out: list[str]) -> int:
        """Add the words of the part at `at`; return where to go on."""
        part = parts[at]
        before = parts[at - 1] if at else None
        following = parts[at + 1] if at + 1 < len(parts) else None
        if isinstance(part, tree.Scripts) and part.base == tree.Row(()):
            return self._nuclide(parts, at, out)
        if (measured := self._measured(parts, at)) is not None:
            out.append(measured[0])
            return measured[1]
        if isinstance(part, tree.Number) and following == tree.Sign("/") and at + 2 < len(parts):
            bottom = parts[at + 2]
            if isinstance(bottom, tree.Number):
                out.append(self.quotient(part, bottom))
                return at + 3
        name = part.base if isinstance(part, tree.Scripts) else part
        if (
            isinstance(name, tree.Name)
            and isinstance(following, tree.Fenced)
            and _is_term(following.inside)
        ):
            inverse = isinstance(part, tree.Scripts) and part.above == tree.Row(
                (tree.Sign("−"), tree.Number("1"))
            )
            said = self.of(name) if inverse or part is name else self.of(part)
            said = f"{self._word('inverse')} {said}" if inverse else said
            out.append(f"{said} {self._language.word('of')} {self.of(following.inside)}")
            return at + 2
        if (words := self._named_so(parts, at) or self._chemical(parts, at)) is not None:
            out.append(words)
            return at + 1
        if isinstance(part, tree.Sign):
            if (
                part.sign in "∼~"
                and isinstance(following, tree.Letter)
                and following.name.isupper()
            ):
                out.append(self._word("distributed"))
                return at + 1
            if part.sign in {"→", "⟶", "⇌", "↔"} and self._is_chemistry(parts):
                out.append(self._language.table("reactions")[part.sign])
                return at + 1
            if (
                part.sign in {"⋅", "·"}
                and isinstance(before, tree.Letter)
                and before.style == "bold"
            ):
                out.append(self._word("dot"))
                return at + 1
            if (
                part.sign == ":"
                and isinstance(before, tree.Scripts)
                and before.base == tree.Letter("H")
            ):
                out.append(",")
                return at + 1
            if part.sign in _UNARY and _is_start(before):
                style = self._language.word(self._scan.style("negative"))
                out.append(style if part.sign == "−" else self.sign(part.sign))
                return at + 1
            if part.sign in {"′", "!"}:
                out.append(str(self._table["signs"][part.sign]))
                return at + 1
            if part.sign in "£$€" and isinstance(following, tree.Number):
                out.append(self._read_words(part.sign + following.text))
                return at + 2
        if (words := self._mapping(parts, at)) is not None:
            out.append(words)
            return at + 4
        if isinstance(part, tree.Fenced) and tree.Sign("∘") in tree.parts_of(part.inside):
            out.append(self.of(part.inside))
            return at + 1
        if (
            isinstance(part, tree.Fenced)
            and isinstance(before, tree.Fenced)
            and tree.Sign("∘") in tree.parts_of(before.inside)
        ):
            out.append(f"{self._language.word('of')} {self.of(part.inside)}")
            return at + 1
        if isinstance(part, tree.Fenced) and self._is_applied(before, part):
            out.append(f"{self._language.word('of')} {self.of(part.inside)}")
            return at + 1
        if isinstance(part, tree.Fenced) and (words := self._point(part)) is not None:
            out.append(words)
            return at + 1
        self._is_last = following is None or (
            isinstance(following, tree.Sign) and following.sign in "=<>≤≥,"
        )
        whole = isinstance(before, tree.Number) and "." not in before.text
        if isinstance(part, tree.Quotient) and whole and _is_numeric(part):
            out.append(self._language.word("and") + " " + self._part_of_mixed(part))
            return at + 1
        out.append(self.of(part))
        return at + 1

    def _named_so(self, parts: Sequence[tree.Node], at: int) -> str | None:
        """Return the words of m before an angle, and of ≡ beside a modulus."""
        if parts[at] == tree.Letter("m") and list(parts[at + 1 : at + 2]) == [tree.Sign("∠")]:
            return self._word("measure")
        if parts[at] == tree.Sign("≡") and any(one in _MOD for one in _flat(parts[at:])):
            return self._word("congruent")
        return None

    def _is_applied(self, before: tree.Node | None, fenced: tree.Fenced) -> bool:
        if fenced.opening != "(" or before is None:
            return False
        base = before.base if isinstance(before, tree.Scripts) else before
        if isinstance(base, tree.Letter) and base.name in _FUNCTION_LETTERS:
            inside = tree.parts_of(fenced.inside)
            return not (
                base.name in "uvnN"
                and not (base.name == "n" and isinstance(inside[0], tree.Letter))
            )
        return False

    def _point(self, fenced: tree.Fenced) -> str | None:
        """Return the words of coordinates: terms parted by commas, no brackets said."""
        inside = tree.parts_of(fenced.inside)
        if fenced.opening != "(" or fenced.closing != ")" or tree.Sign(",") not in inside:
            return None
        return self.row(inside)

    def fenced(self, node: tree.Fenced) -> str:
        """Return brackets in words."""
        parts = tree.parts_of(node.inside)
        if node.opening == "{":
            for at, part in enumerate(parts):
                if part in {tree.Sign(":"), tree.Sign("|"), tree.Sign("∣")}:
                    head, tail = self.row(parts[:at]), self.row(parts[at + 1 :])
                    start = f"{self._word('set')} {self._word('of')}"
                    return f"{start} {head} {self._word('such_that')} {tail}"
        inside = self.of(node.inside)
        if node.opening in tree.BARS:
            is_vector = len(parts) == 1 and (
                (isinstance(parts[0], tree.Letter) and parts[0].style == "bold")
                or (isinstance(parts[0], tree.Marked) and parts[0].mark == "vector")
            )
            name = self._word("magnitude" if is_vector else "absolute")
            quantity = self._table.get("quantity", "")
            if quantity and not _is_term(node.inside):
                inside = f"{quantity} {inside}"
            return f"{name} {inside}{self._closing(node.inside)}"
        if isinstance(node.inside, tree.Grid | tree.Stacked) or parts[0] in {
            tree.Name("mod"),
            tree.Words("mod"),
        }:
            return inside
        if node.opening == "{":
            return f"{self._word('set')} {inside}" if self._says_set() else inside
        names = self._table["brackets"]
        return f"{names[node.opening]} {inside} {names[node.closing]}"

    def _says_set(self) -> bool:
        """Say whether "the set" is not written in front of the formula already."""
        return self._scan.word_before(self._at) not in {"set", "sets"}

    def _closing(self, inside: tree.Node) -> str:
        return "" if _is_term(inside) else ","

    # ---- fractions and roots

    def quotient(self, top: tree.Node, bottom: tree.Node) -> str:
        """Return a fraction in words."""
        derivative = self._derivative(top, bottom)
        if derivative:
            return derivative
        quotient = tree.Quotient(top, bottom)
        if _is_numeric(quotient):
            return fractions.fraction_words(_fraction(quotient), self._scan)
        over = self._language.word("over")
        head, tail = self.of(top), self.of(bottom)
        is_long = not _is_term(top)
        head = f"{head}, {self._word('all')} {over}" if is_long else f"{head} {over}"
        if not _is_term(bottom) and not (is_long and self._is_last):
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
        if not _is_term(node.inside):
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
        if isinstance(base, tree.Row | tree.Quotient) and not _is_term(base):
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
        if _is_term(above):
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


def _flat(parts: Sequence[tree.Node]) -> list[tree.Node]:
    """Return parts, and those inside brackets."""
    inner = (p.inside for p in parts if isinstance(p, tree.Fenced))
    return [*parts, *(one for node in inner for one in tree.parts_of(node))]


def _is_start(before: tree.Node | None) -> bool:
    return before is None or (
        isinstance(before, tree.Sign) and before.sign not in {"°", "!", "′", "%"}
    )


def _is_numeric(node: tree.Quotient) -> bool:
    return all(
        isinstance(one, tree.Number) and one.text.isdigit() and len(one.text) < 10
        for one in (node.top, node.bottom)
    )


def _fraction(node: tree.Quotient) -> fractions.Fraction:
    top, bottom = node.top, node.bottom
    if not (isinstance(top, tree.Number) and isinstance(bottom, tree.Number)):
        raise NoWordsError("/")
    return fractions.Fraction(0, None, int(top.text), int(bottom.text))


def _is_term(node: tree.Node) -> bool:
    """Say whether a part needs no brackets in speech: no sign between its terms."""
    parts = tree.parts_of(node)
    return not any(isinstance(p, tree.Sign) and p.sign in "+−±=<>≤≥" for p in parts[1:]) and not (
        len(parts) > 1 and isinstance(parts[0], tree.Quotient)
    )
