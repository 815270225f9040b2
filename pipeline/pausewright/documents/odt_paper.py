"""Papers of word processors in .odt: all their text in order, with automatic numbers.

Read by odfdo; its own text of a list has no numbers, so the walk through the tree is ours.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Final

import odfdo

from pausewright.documents.lines import Lines
from pausewright.documents.model import Paper
from pausewright.documents.odt_numbers import Counter, OdtNumbers, levels_of, whole
from pausewright.documents.packed import broken, refuse_strange
from pausewright.documents.raised import lowered, raised

if TYPE_CHECKING:
    from pathlib import Path

    from odfdo import Element

    from pausewright.documents.model import LineKind

_LEFT_OUT: Final = frozenset(
    {
        "text:tracked-changes",
        "office:annotation",
        "office:annotation-end",
        "text:sequence-decls",
        "office:forms",
        "text:note-citation",
        "table:covered-table-cell",
        "svg:title",
        "svg:desc",
        "text:ruby-text",
    }
)
_ASIDE: Final = frozenset({"draw:text-box", "text:note"})
"""What stands in a paragraph and has paragraphs of its own."""


def odt_paper(path: Path, body: bytes) -> Paper:
    """Return the lines of an .odt file: head, text with tables and boxes, notes, foot.

    Raises
    ------
    FileError
        If it is broken, encrypted or too large.
    """
    refuse_strange(path, body, ".odt file")
    try:
        document = odfdo.Document(io.BytesIO(body))
        walk = _Walk(document)
        pages = _part(document, "styles.xml").get_elements("//style:master-page")
        walk.margins(pages, "style:header")
        walk.blocks(document.body, "paragraph", -1)
        for note in walk.notes:
            walk.blocks(note, "note", -1)
        walk.margins(pages, "style:footer")
    except (KeyError, ValueError, TypeError, AttributeError, SyntaxError, RecursionError) as why:
        raise broken(path, ".odt file") from why
    return Paper(tuple(walk.lines.found), walk.lines.cautions())


class _Walk:
    """A walk through the blocks of a document."""

    def __init__(self, document: odfdo.Document) -> None:
        self.lines = Lines()
        self.notes: list[Element] = []
        parts = [_part(document, name) for name in ("content.xml", "styles.xml")]
        styles = [one for part in parts for one in part.get_elements("//style:style")]
        lists = [one for part in parts for one in part.get_elements("//text:list-style")]
        outlines = [one for part in parts for one in part.get_elements("//text:outline-style")]
        self._numbers = OdtNumbers(styles, lists)
        self._outline = Counter({at: one for row in outlines for at, one in levels_of(row).items()})
        self._places = {
            str(one.get_attribute("style:name")): place
            for one in styles
            if (place := _place_of(one))
        }
        self._margins: set[str] = set()

    def margins(self, pages: list[Element], tag: str) -> None:
        """Add the heads or feet of pages; the same text once."""
        for page in pages:
            for child in page.children:
                if child.tag.startswith(tag):
                    text = str(child.inner_text)
                    if text not in self._margins:
                        self._margins.add(text)
                        self.blocks(child, "margin", -1)

    def blocks(self, parent: Element, kind: LineKind, row: int) -> None:
        """Add the paragraphs, lists and tables of an element, in order."""
        for child in parent.children:
            tag = child.tag
            if tag in _LEFT_OUT:
                continue
            if tag == "text:p":
                self._paragraph(child, kind, row)
            elif tag == "text:h":
                self._heading(child, kind, row)
            elif tag == "text:list":
                counter, style = self._numbers.counter(child, self._style_within(child))
                self._list(child, counter, style, kind, row, 0)
            elif tag == "table:table":
                self._table(child)
            else:
                self.blocks(child, kind, row)

    def _style_within(self, element: Element) -> str:
        first = element.get_element("descendant::text:p")
        style = "" if first is None else str(first.get_attribute("text:style-name") or "")
        return self._numbers.style_of(style)

    def _table(self, table: Element, row: int = -1) -> int:
        """Add the rows of a table or of a part of one; return the last row's place."""
        for child in table.children:
            if child.tag == "table:table-row":
                row += 1
                for cell in child.children:
                    if cell.tag == "table:table-cell":
                        self.blocks(cell, "cell", row)
            elif child.tag.startswith("table:table-"):
                row = self._table(child, row)
        return row

    def _list(
        self,
        element: Element,
        counter: Counter,
        style: str,
        kind: LineKind,
        row: int,
        level: int,
    ) -> None:
        for item in element.children:
            if item.tag not in {"text:list-item", "text:list-header"}:
                continue
            is_first = item.tag == "text:list-item"
            for child in item.children:
                if child.tag == "text:list":
                    inner = counter
                    other = str(child.get_attribute("text:style-name") or "")
                    if other and other != style:
                        inner, other = self._numbers.counter(child, style)
                    self._list(child, inner, other or style, kind, row, level + 1)
                    continue
                number = ""
                if is_first and child.tag in {"text:p", "text:h"}:
                    number = counter.next(level, whole(item.get_attribute("text:start-value")))
                    is_first = False
                if child.tag in {"text:p", "text:h"}:
                    listed: LineKind = "item" if kind == "paragraph" else kind
                    self._paragraph(child, listed, row, number, level)
                else:
                    self.blocks(child, kind, row)

    def _heading(self, element: Element, kind: LineKind, row: int) -> None:
        rank = max(0, (whole(element.get_attribute("text:outline-level"), 1) or 1) - 1)
        number = self._outline.next(rank) if rank in self._outline.levels else ""
        self._paragraph(element, "heading" if kind == "paragraph" else kind, row, number, rank)

    def _paragraph(
        self, element: Element, kind: LineKind, row: int, number: str = "", level: int = 0
    ) -> None:
        aside: list[Element] = []
        self.lines.add(self._text(element, aside), kind, number, level, row)
        for one in aside:
            if one.tag == "text:note":
                self.notes.append(one)
            else:
                self.blocks(one, kind, row)

    def _text(self, element: Element, aside: list[Element]) -> str:
        parts = [_joined(element.text)]
        for child in element.children:
            tag = child.tag
            if tag in _ASIDE:
                aside.append(child)
            elif tag in {"text:s", "text:tab"}:
                parts.append(" ")
            elif tag == "text:line-break":
                parts.append("\n")
            elif tag == "draw:image":
                self.lines.n_pictures += 1
            elif tag not in _LEFT_OUT:
                inner = self._text(child, aside)
                place = self._places.get(str(child.get_attribute("text:style-name") or ""), "")
                parts.append(
                    raised(inner) if place == "high" else lowered(inner) if place else inner
                )
            parts.append(_joined(child.tail))
        return "".join(parts)


def _part(document: odfdo.Document, name: str) -> odfdo.XmlPart:
    part = document.get_part(name)
    if not isinstance(part, odfdo.XmlPart):
        raise TypeError(name)
    return part


def _joined(text: str | None) -> str:
    return " ".join(f"|{text or ''}|".split())[1:-1]


def _place_of(style: Element) -> str:
    """Return `high` or `low` for a style of raised or lowered text, "" for others."""
    for child in style.children:
        place = str(child.get_attribute("style:text-position") or "")
        if place.startswith(("super", "sub")):
            return "high" if place.startswith("super") else "low"
        share = place.partition("%")[0]
        if share.lstrip("-").isdigit() and int(share) != 0:
            return "low" if share.startswith("-") else "high"
    return ""
