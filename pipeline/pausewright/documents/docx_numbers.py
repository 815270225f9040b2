"""Automatic numbers of lists in .docx files, as a word processor prints them.

After ECMA-376 part 1, 17.9: a paragraph names a list (`numId`) and a level, itself or by its style;
the list names a definition with levels, each with a start, a form and a text such as `%1.%2)`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from docx.oxml.ns import qn

from pausewright.documents.number_forms import letters, roman

if TYPE_CHECKING:
    from docx.document import Document
    from docx.oxml.xmlchemy import BaseOxmlElement

_PLACE: Final = re.compile(r"%([1-9])")
_MOST_STYLES: Final = 50


@dataclass
class _Level:
    start: int = 1
    form: str = "decimal"
    text: str = ""
    restarts_after: int | None = None
    """Which level above starts it anew; None: any."""
    style: str = ""


@dataclass
class _List:
    definition: str
    levels: dict[int, _Level]
    starts: dict[int, int] = field(default_factory=dict)
    """Levels that begin anew with this list, and with what."""


def _value(element: BaseOxmlElement | None, name: str) -> str:
    """Return the value of a child element of `w:`, "" without one."""
    child = None if element is None else element.find(qn(f"w:{name}"))
    return "" if child is None else str(child.get(qn("w:val"), ""))


def _level(element: BaseOxmlElement) -> _Level:
    restart = _value(element, "lvlRestart")
    return _Level(
        _whole(_value(element, "start"), 0 if element.find(qn("w:start")) is None else 1),
        _value(element, "numFmt") or "decimal",
        _value(element, "lvlText"),
        _whole(restart, 0) if restart else None,
        _value(element, "pStyle"),
    )


def _whole(text: str, otherwise: int) -> int:
    digits = text.lstrip("-")
    return int(text) if digits.isascii() and digits.isdigit() and len(digits) < 7 else otherwise


class DocxNumbers:
    """Numbers of the paragraphs of one document, asked for in their order."""

    def __init__(self, document: Document) -> None:
        """Read the document's lists and the lists of its styles."""
        self._lists: dict[str, _List] = {}
        self._counts: dict[str, dict[int, int]] = {}
        self._begun: set[tuple[str, int]] = set()
        self._styles = {
            str(one.get(qn("w:styleId"), "")): one
            for one in document.styles.element.findall(qn("w:style"))
        }
        # a document without lists has no such part
        parts = [one.target_part for one in document.part.rels.values() if not one.is_external]
        for part in parts:
            if str(part.partname) == "/word/numbering.xml" and hasattr(part, "element"):
                self._read(part.element)

    def _read(self, numbering: BaseOxmlElement) -> None:
        definitions = {
            str(one.get(qn("w:abstractNumId"), "")): {
                _whole(str(level.get(qn("w:ilvl"), "")), 0): _level(level)
                for level in one.findall(qn("w:lvl"))
            }
            for one in numbering.findall(qn("w:abstractNum"))
        }
        for one in numbering.findall(qn("w:num")):
            name = _value(one, "abstractNumId")
            levels = dict(definitions.get(name, {}))
            starts = {}
            for override in one.findall(qn("w:lvlOverride")):
                at = _whole(str(override.get(qn("w:ilvl"), "")), 0)
                other = override.find(qn("w:lvl"))
                if other is not None:
                    levels[at] = _level(other)
                start = _value(override, "startOverride")
                if start:
                    starts[at] = _whole(start, 1)
            self._lists[str(one.get(qn("w:numId"), ""))] = _List(name, levels, starts)

    def number(self, paragraph: BaseOxmlElement) -> tuple[str, int] | None:
        """Return what is printed before a paragraph, and how deep its list is; None for no list."""
        found = self._of_paragraph(paragraph)
        if found is None or found[0] not in self._lists:
            return None
        name, at = found
        one = self._lists[name]
        level = one.levels.get(at, _Level())
        counts = self._counts.setdefault(one.definition, {})
        if at in one.starts and (name, at) not in self._begun:
            self._begun.add((name, at))
            counts[at] = one.starts[at]
        else:
            counts[at] = counts[at] + 1 if at in counts else level.start
        for deeper in [other for other in counts if other > at]:
            after = one.levels.get(deeper, _Level()).restarts_after
            if after is None or (after and at < after):
                del counts[deeper]
        if level.form == "bullet":
            return "•", at
        if level.form == "none":
            return "", at
        return self._shown(one, at, level.text, counts), at

    def _shown(self, one: _List, at: int, text: str, counts: dict[int, int]) -> str:
        def count(match: re.Match[str]) -> str:
            other = int(match[1]) - 1
            level = one.levels.get(other, _Level())
            n = counts.get(other, one.starts.get(other, level.start))
            return _formed(n, level.form if other <= at else "decimal")

        return _PLACE.sub(count, text).strip()

    def _of_paragraph(self, paragraph: BaseOxmlElement) -> tuple[str, int] | None:
        """Return the list and level of a paragraph: its own, else those of its style."""
        properties = paragraph.find(qn("w:pPr"))
        own = None if properties is None else properties.find(qn("w:numPr"))
        name = _value(own, "numId")
        if name == "0":  # a paragraph that is taken out of its list
            return None
        level = _value(own, "ilvl")
        style = _value(properties, "pStyle") or self._usual_style()
        for _ in range(_MOST_STYLES):
            element = self._styles.get(style)
            if name or element is None:
                break
            of_style = element.find(qn("w:pPr"))
            listed = None if of_style is None else of_style.find(qn("w:numPr"))
            name = _value(listed, "numId")
            if name and not level:
                level = _value(listed, "ilvl") or self._level_of_style(name, style)
            style = _value(element, "basedOn")
        if not name or name == "0":
            return None
        return name, _whole(level, 0)

    def _usual_style(self) -> str:
        for name, element in self._styles.items():
            is_usual = str(element.get(qn("w:default"), "")) in {"1", "true"}
            if is_usual and str(element.get(qn("w:type"), "")) == "paragraph":
                return name
        return ""

    def _level_of_style(self, name: str, style: str) -> str:
        levels = self._lists[name].levels if name in self._lists else {}
        return next((str(at) for at, one in levels.items() if one.style == style), "0")


def _formed(n: int, form: str) -> str:
    """Return a number in a form of ECMA-376 (17.18.59); in figures where it is written in words."""
    if form in {"lowerLetter", "upperLetter"}:
        return letters(n) if form == "lowerLetter" else letters(n).upper()
    if form in {"lowerRoman", "upperRoman"}:
        return roman(n) if form == "lowerRoman" else roman(n).upper()
    if form == "ordinal":
        ends = {1: "st", 2: "nd", 3: "rd"}
        return f"{n}{'th' if 10 <= n % 100 <= 20 else ends.get(n % 10, 'th')}"
    return f"{n:02}" if form == "decimalZero" else str(n)
