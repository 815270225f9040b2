"""The words of a formula: its notation from left to right, never a method or a result."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.formulas.tree import (
    BARS,
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
from pausewright.wording import fractions, numbers
from pausewright.wording.formula_science import NoWordsError, ScienceWords
from pausewright.wording.letters import named

if TYPE_CHECKING:
    from collections.abc import Sequence


_UNARY: Final = frozenset("−+±∓")
_FUNCTION_LETTERS: Final = frozenset("fghFGHPpNnEuv")
_FIRST_OF_GEOMETRY: Final = frozenset("∠△▵")
_SILENT: Final = frozenset({",", ";"})


class FormulaWords(ScienceWords):
    """Words for trees in the language and the ways of reading of a scan."""

    def words(self, node: Node) -> str:
        """Return the words of a formula.

        Raises
        ------
        NoWordsError
            If a part of it has none.
        """
        if not self._table:
            raise NoWordsError("formulas")
        text = named(self._row(parts_of(node)))
        verb = self._language.word("is")
        before = self._scan.word_before(self._at)
        if verb and before == verb:  # "Is $x > 3$?"
            text = text.replace(f" {verb} ", " ", 1)
        elif before == "let":
            text = text.replace(f" {verb} ", f" {self._language.word('be')} ", 1)
        return re.sub(r"\s+([,.;:?!])", r"\1", " ".join(text.split()))

    def _of(self, node: Node) -> str:
        match node:
            case Number(text):
                return self._number(text)
            case Letter():
                return self._letter(node)
            case Name(text):
                return str(self._language.table("functions").get(text, text))
            case Words(text):
                return self._read_words(text)
            case Sign(sign):
                return self._sign(sign)
            case Row(parts):
                return self._row(parts)
            case Quotient(top, bottom):
                return self._quotient(top, bottom)
            case Stacked(top, bottom):
                return f"{self._of(top)} {self._word('choose')} {self._of(bottom)}"
            case Root():
                return self._root(node)
            case Scripts():
                return self._scripts(node)
            case Marked(base, mark):
                return self._marked(base, mark)
            case Fenced():
                return self._fenced(node)
            case Grid():
                return self._grid(node)

    # ---- numbers, letters, signs

    def _letter(self, letter: Letter) -> str:
        if letter.style == "double":
            return str(self._table["double"].get(letter.name, letter.name))
        name = str(self._language.table("greek").get(letter.name, letter.name))
        if letter.style == "bold" and letter.name not in "ijk":
            return f"{self._word('bold')} {name}"
        return name

    def _sign(self, sign: str) -> str:
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

    def _row(self, parts: Sequence[Node]) -> str:
        out: list[str] = []
        at = 0
        while at < len(parts):
            at = self._part(parts, at, out)
        return " ".join(out)

    def _part(self, parts: Sequence[Node], at: int, out: list[str]) -> int:
        """Add the words of the part at `at`; return where to go on."""
        part = parts[at]
        before = parts[at - 1] if at else None
        following = parts[at + 1] if at + 1 < len(parts) else None
        if isinstance(part, Scripts) and part.base == Row(()):
            return self._nuclide(parts, at, out)
        if (measured := self._measured(parts, at)) is not None:
            out.append(measured[0])
            return measured[1]
        if isinstance(part, Number) and following == Sign("/") and at + 2 < len(parts):
            bottom = parts[at + 2]
            if isinstance(bottom, Number):
                out.append(self._quotient(part, bottom))
                return at + 3
        name = part.base if isinstance(part, Scripts) else part
        if isinstance(name, Name) and isinstance(following, Fenced) and _is_term(following.inside):
            inverse = isinstance(part, Scripts) and part.above == Row((Sign("−"), Number("1")))
            said = self._of(name) if inverse or part is name else self._of(part)
            said = f"{self._word('inverse')} {said}" if inverse else said
            out.append(f"{said} {self._language.word('of')} {self._of(following.inside)}")
            return at + 2
        if (words := self._chemical(parts, at)) is not None:
            out.append(words)
            return at + 1
        if isinstance(part, Sign):
            if part.sign in "∼~" and isinstance(following, Letter) and following.name.isupper():
                out.append(self._word("distributed"))
                return at + 1
            if part.sign in {"→", "⟶", "⇌", "↔"} and self._is_chemistry(parts):
                out.append(self._language.table("reactions")[part.sign])
                return at + 1
            if part.sign in {"⋅", "·"} and isinstance(before, Letter) and before.style == "bold":
                out.append(self._word("dot"))
                return at + 1
            if part.sign == ":" and isinstance(before, Scripts) and before.base == Letter("H"):
                out.append(",")
                return at + 1
            if part.sign in _UNARY and _is_start(before):
                style = self._language.word(self._scan.style("negative"))
                out.append(style if part.sign == "−" else self._sign(part.sign))
                return at + 1
            if part.sign in {"′", "!"}:
                out.append(str(self._table["signs"][part.sign]))
                return at + 1
            if part.sign in "£$€" and isinstance(following, Number):
                out.append(self._read_words(part.sign + following.text))
                return at + 2
        if (words := self._mapping(parts, at)) is not None:
            out.append(words)
            return at + 4
        if isinstance(part, Fenced) and Sign("∘") in parts_of(part.inside):
            out.append(self._of(part.inside))
            return at + 1
        if (
            isinstance(part, Fenced)
            and isinstance(before, Fenced)
            and Sign("∘") in parts_of(before.inside)
        ):
            out.append(f"{self._language.word('of')} {self._of(part.inside)}")
            return at + 1
        if isinstance(part, Fenced) and self._is_applied(before, part):
            out.append(f"{self._language.word('of')} {self._of(part.inside)}")
            return at + 1
        if isinstance(part, Fenced) and (words := self._point(part)) is not None:
            out.append(words)
            return at + 1
        self._is_last = following is None or (
            isinstance(following, Sign) and following.sign in "=<>≤≥,"
        )
        whole = isinstance(before, Number) and "." not in before.text
        if isinstance(part, Quotient) and whole and _is_numeric(part):
            out.append(self._language.word("and") + " " + self._part_of_mixed(part))
            return at + 1
        out.append(self._of(part))
        return at + 1

    def _is_applied(self, before: Node | None, fenced: Fenced) -> bool:
        if fenced.opening != "(" or before is None:
            return False
        base = before.base if isinstance(before, Scripts) else before
        if isinstance(base, Letter) and base.name in _FUNCTION_LETTERS:
            inside = parts_of(fenced.inside)
            return not (
                base.name in "uvnN" and not (base.name == "n" and isinstance(inside[0], Letter))
            )
        return False

    def _point(self, fenced: Fenced) -> str | None:
        """Return the words of coordinates: terms parted by commas, no brackets said."""
        inside = parts_of(fenced.inside)
        if fenced.opening != "(" or fenced.closing != ")" or Sign(",") not in inside:
            return None
        return self._row(inside)

    def _fenced(self, node: Fenced) -> str:
        parts = parts_of(node.inside)
        if node.opening == "{":
            for at, part in enumerate(parts):
                if part in {Sign(":"), Sign("|"), Sign("∣")}:
                    head, tail = self._row(parts[:at]), self._row(parts[at + 1 :])
                    start = f"{self._word('set')} {self._word('of')}"
                    return f"{start} {head} {self._word('such_that')} {tail}"
        inside = self._of(node.inside)
        if node.opening in BARS:
            is_vector = len(parts) == 1 and (
                (isinstance(parts[0], Letter) and parts[0].style == "bold")
                or (isinstance(parts[0], Marked) and parts[0].mark == "vector")
            )
            name = self._word("magnitude" if is_vector else "absolute")
            quantity = self._table.get("quantity", "")
            if quantity and not _is_term(node.inside):
                inside = f"{quantity} {inside}"
            return f"{name} {inside}{self._closing(node.inside)}"
        if isinstance(node.inside, Grid | Stacked) or parts[0] in {Name("mod"), Words("mod")}:
            return inside
        if node.opening == "{":
            return f"{self._word('set')} {inside}" if self._says_set() else inside
        names = self._table["brackets"]
        return f"{names[node.opening]} {inside} {names[node.closing]}"

    def _says_set(self) -> bool:
        """Say whether "the set" is not written in front of the formula already."""
        return self._scan.word_before(self._at) not in {"set", "sets"}

    def _closing(self, inside: Node) -> str:
        return "" if _is_term(inside) else ","

    # ---- fractions and roots

    def _quotient(self, top: Node, bottom: Node) -> str:
        derivative = self._derivative(top, bottom)
        if derivative:
            return derivative
        quotient = Quotient(top, bottom)
        if _is_numeric(quotient):
            return fractions.fraction_words(_fraction(quotient), self._scan)
        over = self._language.word("over")
        head, tail = self._of(top), self._of(bottom)
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

    def _derivative(self, top: Node, bottom: Node) -> str:
        above, below = parts_of(top), parts_of(bottom)
        d = Letter("d")
        heads = {part.base if isinstance(part, Scripts) else part for part in (above[0], below[0])}
        if heads == {d} and len(below) >= 2:
            return f"{self._of(top)} {self._word('by')} {self._of(bottom)}"
        return ""

    def _part_of_mixed(self, part: Quotient) -> str:
        fraction = _fraction(part)
        mixed = fractions.Fraction(0, 0, fraction.top, fraction.bottom)
        return fractions.fraction_words(mixed, self._scan).partition(
            f" {self._language.word('and')} "
        )[2]

    def _root(self, node: Root) -> str:
        inside = self._of(node.inside)
        if not _is_term(node.inside):
            inside = self._grouped(inside)
        if node.degree is None:
            return f"{self._language.word('square_root')} {inside}"
        degree = node.degree
        if isinstance(degree, Number) and degree.text in {"3", "4"}:
            name = "cube_root" if degree.text == "3" else "fourth_root"
            return f"{self._language.word(name)} {inside}"
        return f"{self._word('root').format(degree=self._ordinal(degree))} {inside}"

    def _ordinal(self, node: Node) -> str:
        if isinstance(node, Number) and node.text.isdigit():
            return numbers.ordinal_words(int(node.text), self._language)
        return f"{self._of(node)}th"

    # ---- powers and indices

    def _scripts(self, node: Scripts) -> str:
        base = node.base
        if isinstance(base, Sign) and base.sign in {"∑", "∏", "∫"}:
            return self._limits(node, self._sign(base.sign))
        if isinstance(base, Name) and base.text in {"lim", "max", "min"} and node.below is not None:
            return f"{self._of(base)} {self._word('as')} {self._of(node.below)}, {self._word('of')}"
        words = self._of(base)
        if isinstance(base, Row | Quotient) and not _is_term(base):
            words = f"{words},"
        if node.below is not None:
            words += self._below(base, node.below)
        return words + (self._above(base, node.above) if node.above is not None else "")

    def _limits(self, node: Scripts, name: str) -> str:
        words = name.removesuffix(f" {self._word('of')}")
        if node.below is not None:
            words += f" {self._word('from')} {self._of(node.below)}"
        if node.above is not None:
            words += f" {self._language.word('to')} {self._of(node.above)}"
        return words + f" {self._word('of')}"

    def _below(self, base: Node, below: Node) -> str:
        if isinstance(base, Name) and base.text == "log":
            return f" {self._word('base')} {self._of(below)} {self._language.word('of')}"
        return f" {self._language.word('sub')} {self._of(below)}"

    def _above(self, base: Node, above: Node) -> str:
        if isinstance(above, Sign):
            signs = self._table["above"]
            if above.sign in signs:
                one = isinstance(base, Number) and base.text == "1"
                name = signs[above.sign]
                return f" {name if isinstance(name, str) else name[0 if one else 1]}"
        parts = parts_of(above)
        if parts and all(part == Sign("′") for part in parts):
            prime = str(self._table["signs"]["′"])
            return f" {self._word('double')} {prime}" if len(parts) == 2 else f" {prime}"
        if isinstance(base, Name) and parts == (Sign("−"), Number("1")):
            return f" {self._word('inverse')}"
        if isinstance(base, Letter) and base.name in "fgh" and parts == (Sign("−"), Number("1")):
            return f" {self._word('inverse')}"
        if isinstance(above, Number) and above.text in {"2", "3"}:
            return f" {self._language.word('squared' if above.text == '2' else 'cubed')}"
        return f" {self._language.word('power')} {self._exponent(above)}"

    def _exponent(self, above: Node) -> str:
        words = self._of(above)
        if _is_term(above):
            return words
        opening, closing = (self._language.word(name) for name in ("open_bracket", "close_bracket"))
        return f"{opening} {words} {closing}"

    def _marked(self, base: Node, mark: str) -> str:
        words = self._of(base)
        letters = parts_of(base)
        capitals = all(isinstance(one, Letter) and one.name.isupper() for one in letters)
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

    def _grid(self, grid: Grid) -> str:
        if all(len(line) == 1 for line in grid.rows):
            return ", ".join(self._of(line[0]) for line in grid.rows)
        lines = (" ".join(f"{self._of(cell)}," for cell in line) for line in grid.rows)
        return f"{self._word('matrix')} " + "; ".join(
            f"{self._word('row')} {numbers.whole_words(n, self._language)}: {line.rstrip(',')}"
            for n, line in enumerate(lines, 1)
        )


def _is_start(before: Node | None) -> bool:
    return before is None or (isinstance(before, Sign) and before.sign not in {"°", "!", "′", "%"})


def _is_numeric(node: Quotient) -> bool:
    return all(
        isinstance(one, Number) and one.text.isdigit() and len(one.text) < 10
        for one in (node.top, node.bottom)
    )


def _fraction(node: Quotient) -> fractions.Fraction:
    top, bottom = node.top, node.bottom
    if not (isinstance(top, Number) and isinstance(bottom, Number)):
        raise NoWordsError("/")
    return fractions.Fraction(0, None, int(top.text), int(bottom.text))


def _is_term(node: Node) -> bool:
    """Say whether a part needs no brackets in speech: no sign between its terms."""
    parts = parts_of(node)
    return not any(isinstance(p, Sign) and p.sign in "+−±=<>≤≥" for p in parts[1:]) and not (
        len(parts) > 1 and isinstance(parts[0], Quotient)
    )
