"""Automatic numbers of lists in .odt files, after OpenDocument 1.3, part 3 (16.30 to 16.32)."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from pausewright.documents.number_forms import letters, letters_in_turn, roman
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable

    from odfdo import Element

_LEVELS: Final = (
    "text:list-level-style-number",
    "text:list-level-style-bullet",
    "text:list-level-style-image",
    "text:outline-level-style",
)


@frozen
class Level:
    """How one level of a list is numbered."""

    form: str = ""
    """`1`, `a`, `A`, `i`, `I`, "•", or "" for no number."""
    before: str = ""
    after: str = ""
    start: int = 1
    shown: int = 1
    """How many levels its number shows."""
    runs_through: bool = False
    """Whether letters go on with aa, bb, cc."""


@dataclass
class Counter:
    """The numbers of one list as far as it has come."""

    levels: dict[int, Level]
    counts: dict[int, int] = field(default_factory=dict)

    def next(self, at: int, start: int | None = None) -> str:
        """Return the number of the next item on a level (0: the outermost), as it is printed.

        `start` is what the item itself declares.
        """
        level = self.levels.get(at, Level())
        if start is not None:
            self.counts[at] = start
        else:
            self.counts[at] = self.counts[at] + 1 if at in self.counts else level.start
        for deeper in [other for other in self.counts if other > at]:
            del self.counts[deeper]
        if level.form in {"", "•"}:
            return level.form
        first = max(0, at - level.shown + 1)
        rows = [(i, self.levels.get(i, Level())) for i in range(first, at + 1)]
        shown = ".".join(
            _formed(self.counts.get(i, one.start), one)
            for i, one in rows
            if one.form not in {"", "•"}
        )
        return f"{level.before}{shown}{level.after}".strip()


def _formed(n: int, level: Level) -> str:
    if level.form in {"a", "A"}:
        found = letters(n) if level.runs_through else letters_in_turn(n)
        return found.upper() if level.form == "A" else found
    if level.form in {"i", "I"}:
        return roman(n).upper() if level.form == "I" else roman(n)
    return str(n)


def whole(value: object, otherwise: int | None = None) -> int | None:
    """Return a whole number that an attribute holds."""
    text = str(value)
    return int(text) if text.isascii() and text.isdigit() and len(text) < 7 else otherwise


def levels_of(style: Element) -> dict[int, Level]:
    """Return the levels of a list style, 0 for the outermost."""
    found = {}
    for element in style.children:
        if element.tag not in _LEVELS:
            continue
        at = whole(element.get_attribute("text:level"), 1) or 1
        form = str(element.get_attribute("style:num-format") or "")
        if element.tag.endswith(("bullet", "image")):
            form = "•"
        found[at - 1] = Level(
            form,
            str(element.get_attribute("style:num-prefix") or ""),
            str(element.get_attribute("style:num-suffix") or ""),
            whole(element.get_attribute("text:start-value"), 1) or 0,
            whole(element.get_attribute("text:display-levels"), 1) or 1,
            element.get_attribute("style:num-letter-sync") in {True, "true"},
        )
    return found


class OdtNumbers:
    """The lists of one document, by their styles."""

    def __init__(self, styles: Iterable[Element], list_styles: Iterable[Element]) -> None:
        """Take the styles of paragraphs and those of lists."""
        self._levels = {str(one.get_attribute("style:name")): levels_of(one) for one in list_styles}
        self._of_paragraphs = {
            str(one.get_attribute("style:name")): str(
                one.get_attribute("style:list-style-name") or ""
            )
            for one in styles
        }
        self._by_name: dict[str, Counter] = {}
        self._by_id: dict[str, Counter] = {}

    def counter(self, element: Element, inherited: str) -> tuple[Counter, str]:
        """Return the counter of an outermost list and its style's name."""
        name = str(element.get_attribute("text:style-name") or "") or inherited
        going_on = element.get_attribute("text:continue-numbering") in {True, "true"}
        other = str(element.get_attribute("text:continue-list") or "")
        found = self._by_id.get(other)
        if found is None and going_on:
            found = self._by_name.get(name)
        if found is None:
            found = Counter(self._levels.get(name, {}))
        self._by_name[name] = found
        own = str(element.get_attribute("xml:id") or "")
        if own:
            self._by_id[own] = found
        return found, name

    def style_of(self, paragraph_style: str) -> str:
        """Return the list style that a paragraph's style names, "" for none."""
        return self._of_paragraphs.get(paragraph_style, "")
