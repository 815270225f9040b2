"""Formulas of the sciences: numbers with units, nuclides, chemical symbols, mappings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.formulas import tree
from pausewright.formulas.linear import linear
from pausewright.wording import chemistry, numbers, recurring

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.wording.scan import Scan


class NoWordsError(ValueError):
    """A sign of a formula has no words in this language."""


class ScienceWords(tree.Writer):
    """What `FormulaWords` reads before anything else; `_of` is its way to the words of a part."""

    def __init__(self, scan: Scan, at: int, read_words: Callable[[str], str]) -> None:
        """Take the scan of the text around and where in it the formula stands.

        `read_words` words plain text inside a formula.
        """
        self._scan = scan
        self._language = scan.language
        self._read_words = read_words
        self._table = scan.language.table("formula")
        self._at = at
        self._is_last = True
        """Whether nothing that might be taken into a fraction follows it."""

    def _word(self, name: str) -> str:
        return str(self._table[name])

    def number(self, text: str) -> str:
        """Return figures in words."""
        found = recurring.recurring_words(text, self._scan)
        if found is not None:
            return found
        number = numbers.number_at(text, 0, self._language)
        if number is None or number.end != len(text) or len(number.whole) > numbers.MOST_DIGITS:
            raise NoWordsError(text)
        return self._scan.words_of(number)

    def _measured(self, parts: Sequence[tree.Node], at: int) -> tuple[str, int] | None:
        """Return a number with a unit (25 cm², 20 °C) in words, and where to go on."""
        part, following = parts[at], parts[at + 1] if at + 1 < len(parts) else None
        letters = following.text.strip() if isinstance(following, tree.Words) else ""
        if isinstance(following, tree.Letter) and following.name in "CF":
            letters = following.name
        if (
            isinstance(part, tree.Scripts)
            and part.above == tree.Sign("°")
            and letters in {"C", "F"}
        ):
            base = part.base
            if isinstance(base, tree.Number):
                return self._read_words(f"{base.text} °{letters}"), at + 2
        if not isinstance(part, tree.Number):
            return None
        if (written := self._unit_text(parts, at + 1)) is not None:
            return self._read_words(f"{part.text} {written[0]}"), written[1]
        if isinstance(following, tree.Words) and following.text.strip() in self._language.units:
            unit = self._language.units[following.text.strip()]
            return (
                f"{self.number(part.text)} {unit.one if part.text == '1' else unit.many}",
                at + 2,
            )
        if isinstance(following, tree.Words) and following.text.strip():
            return self._read_words(f"{part.text} {following.text.strip()}"), at + 2
        if (
            isinstance(following, tree.Scripts)
            and isinstance(following.base, tree.Words)
            and isinstance(following.above, tree.Number)
            and following.below is None
            and not chemistry.is_formula_text(following.base.text.strip(), self._language)
        ):
            symbol = following.base.text.strip()
            return self._read_words(f"{part.text} {symbol}^{following.above.text}"), at + 2
        return None

    def _unit_text(self, parts: Sequence[tree.Node], at: int) -> tuple[str, int] | None:
        """Return a unit of several parts as plain text (`m s^-1`), and where to go on."""
        written: list[str] = []
        while at < len(parts):
            part = parts[at]
            base = part.base if isinstance(part, tree.Scripts) and part.below is None else part
            if isinstance(part, tree.Sign) and part.sign in {"/", "⋅", "·"} and written:
                written.append("/" if part.sign == "/" else "·")
            elif isinstance(base, tree.Words) and base.text.strip() in self._language.units:
                above = part.above if isinstance(part, tree.Scripts) else None
                power = "" if above is None else f"^{linear(above).replace('−', '-')}"
                gap = " " if written and written[-1] not in {"/", "·"} else ""
                written.append(f"{gap}{base.text.strip()}{power}")
            else:
                break
            at += 1
        return ("".join(written), at) if len(written) > 1 else None

    def _mapping(self, parts: Sequence[tree.Node], at: int) -> str | None:
        """Return the words of `g: x ↦`: "g maps x to"."""
        four = parts[at : at + 4]
        if len(four) < 4 or not (isinstance(four[0], tree.Letter) and four[1] == tree.Sign(":")):
            return None
        if four[3] not in {tree.Sign("↦"), tree.Sign("→")}:
            return None
        maps, to = self._word("maps_to").split(" ")
        return f"{self.of(four[0])} {maps} {self.of(four[2])} {to}"

    def _nuclide(self, parts: Sequence[tree.Node], at: int, out: list[str]) -> int:
        """Say the numbers before a symbol with it: "radium two hundred and twenty-six"."""
        scripts, following = parts[at], parts[at + 1] if at + 1 < len(parts) else None
        if not isinstance(scripts, tree.Scripts) or following is None:
            raise NoWordsError("^")
        symbol = following.base if isinstance(following, tree.Scripts) else following
        letters = (
            symbol.text
            if isinstance(symbol, tree.Words)
            else symbol.name
            if isinstance(symbol, tree.Letter)
            else ""
        )
        name = self._language.table("elements").get(letters)
        said = self._language.spelled(name) if name else " ".join(letters.upper())
        if not said:
            raise NoWordsError("^")
        counts = [self.of(one) for one in (scripts.above, scripts.below) if one is not None]
        out.append(f"{said} {', '.join(counts)}")
        return at + 2

    def _is_chemistry(self, parts: Sequence[tree.Node]) -> bool:
        symbols = [one.base if isinstance(one, tree.Scripts) else one for one in parts]
        words = [one.text for one in symbols if isinstance(one, tree.Words) and one.text.strip()]
        if words and any(chemistry.is_formula_text(one.strip(), self._language) for one in words):
            return True
        capitals = [
            one.name for one in symbols if isinstance(one, tree.Letter) and one.name.isupper()
        ]
        counted = [
            one
            for one in parts
            if isinstance(one, tree.Scripts)
            and isinstance(one.base, tree.Letter)
            and one.base.name.isupper()
            and isinstance(one.below, tree.Number)
        ]
        return (
            bool(counted)
            and len(capitals) > 1
            and all(one in chemistry.elements(self._language) for one in capitals)
            and not any(isinstance(one, tree.Letter) and one.name.islower() for one in symbols)
        )

    def _chemical(self, parts: Sequence[tree.Node], at: int) -> str | None:
        """Return the words of a chemical symbol with its count and charge: "O two"."""
        part = parts[at]
        base = part.base if isinstance(part, tree.Scripts) else part
        text = (
            base.text.strip()
            if isinstance(base, tree.Words)
            else base.name
            if isinstance(base, tree.Letter)
            else ""
        )
        if (
            not text
            or not chemistry.is_formula_text(text, self._language)
            or not self._is_chemistry(parts)
        ):
            return None
        words = " ".join(text.upper())
        if isinstance(part, tree.Scripts):
            for one in (part.below, part.above):
                if one is not None:
                    words += f" {self.of(one) if not _is_charge(one) else self._charge(one)}"
        return words

    def _charge(self, node: tree.Node) -> str:
        return " ".join(
            str(self._language.table("signs")[one.sign])
            if isinstance(one, tree.Sign)
            else self.of(one)
            for one in tree.parts_of(node)
        )


def _is_charge(node: tree.Node) -> bool:
    last = tree.parts_of(node)[-1]
    return isinstance(last, tree.Sign) and last.sign in {"+", "−"}
