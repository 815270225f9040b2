"""The words of a formula: its notation from left to right, never a method or a result."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.formulas import tree
from pausewright.wording.formula_science import NoWordsError
from pausewright.wording.formula_terms import TermWords, is_numeric, is_term
from pausewright.wording.letters import named

if TYPE_CHECKING:
    from collections.abc import Sequence


_UNARY: Final = frozenset("−+±∓")
_FUNCTION_LETTERS: Final = frozenset("fghFGHPpNnEuv")
_MOD: Final = (tree.Name("mod"), tree.Words("mod"))


class FormulaWords(TermWords):
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
            and is_term(following.inside)
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
        if isinstance(part, tree.Quotient) and whole and is_numeric(part):
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
            is_of_set = base.name == "n" and bool(inside) and _is_set(inside[0])
            return base.name not in "uvnN" or is_of_set
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
            if quantity and not is_term(node.inside):
                inside = f"{quantity} {inside}"
            return f"{name} {inside}{self._closing(node.inside)}"
        is_grid = isinstance(node.inside, tree.Grid | tree.Stacked)
        if is_grid or (parts and parts[0] in {tree.Name("mod"), tree.Words("mod")}):
            return inside
        if node.opening == "{":
            return f"{self._word('set')} {inside}" if self._says_set() else inside
        names = self._table["brackets"]
        return f"{names[node.opening]} {inside} {names[node.closing]}"

    def _says_set(self) -> bool:
        """Say whether "the set" is not written in front of the formula already."""
        return self._scan.word_before(self._at) not in {"set", "sets"}

    def _closing(self, inside: tree.Node) -> str:
        return "" if is_term(inside) else ","


def _flat(parts: Sequence[tree.Node]) -> list[tree.Node]:
    """Return parts, and those inside brackets."""
    inner = (p.inside for p in parts if isinstance(p, tree.Fenced))
    return [*parts, *(one for node in inner for one in tree.parts_of(node))]


def _is_start(before: tree.Node | None) -> bool:
    return before is None or (
        isinstance(before, tree.Sign) and before.sign not in {"°", "!", "′", "%"}
    )


def _is_set(node: tree.Node) -> bool:
    return isinstance(node, tree.Letter) and node.name.isupper()
