"""Papers of word processors in .docx: all their text in order, with automatic numbers.

Read by python-docx; the walk through its tree is ours, because neither it nor two others that were
tried (docx2python, mammoth) gave numbers that come with a style, text boxes once, formulas and the
head and foot of pages.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Final

import docx
from docx.opc.exceptions import OpcError
from docx.oxml.exceptions import InvalidXmlError
from docx.oxml.ns import qn
from docx.oxml.parser import parse_xml

from pausewright.documents.docx_numbers import DocxNumbers
from pausewright.documents.docx_text import pictures, text_and_boxes
from pausewright.documents.lines import Lines, plain
from pausewright.documents.model import Paper
from pausewright.documents.packed import broken, refuse_strange

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from docx.document import Document
    from docx.oxml.xmlchemy import BaseOxmlElement

    from pausewright.documents.model import LineKind

_THROUGH: Final = frozenset(
    qn(f"w:{name}") for name in ("sdt", "sdtContent", "ins", "moveTo", "customXml", "smartTag")
)
_NOTES: Final = ("/word/footnotes.xml", "/word/endnotes.xml")
_MARGINS: Final = ("/word/header", "/word/footer")


def docx_paper(path: Path, body: bytes) -> Paper:
    """Return the lines of a .docx file: head, text with tables and boxes, notes, foot.

    Raises
    ------
    FileError
        If it is broken, encrypted or too large.
    """
    refuse_strange(path, body, ".docx file")
    try:
        document = docx.Document(io.BytesIO(body))
        walk = _Walk(document)
        heads = list(_parts(document, _MARGINS[:1]))
        feet = list(_parts(document, _MARGINS[1:]))
        walk.margins(heads)
        walk.blocks(document.element.body, "paragraph")
        for note in _parts(document, _NOTES):
            for one in note:
                if not one.get(qn("w:type")):  # others draw the line above the notes
                    walk.blocks(one, "note")
        walk.margins(feet)
    except (OpcError, InvalidXmlError, KeyError, ValueError, AttributeError, SyntaxError) as why:
        raise broken(path, ".docx file") from why
    except RecursionError as why:
        raise broken(path, ".docx file") from why
    return Paper(tuple(walk.lines.found), walk.lines.cautions())


def _parts(document: Document, names: tuple[str, ...]) -> Iterator[BaseOxmlElement]:
    """Give the trees of parts of a document whose names begin so, each once."""
    seen = set()
    for one in document.part.rels.values():
        if one.is_external or not str(one.target_part.partname).startswith(names):
            continue
        part = one.target_part
        if part.partname not in seen:
            seen.add(part.partname)
            yield part.element if hasattr(part, "element") else parse_xml(part.blob)


class _Walk:
    """A walk through the blocks of a document."""

    def __init__(self, document: Document) -> None:
        self.lines = Lines()
        self._numbers = DocxNumbers(document)
        self._margins: set[str] = set()

    def margins(self, parts: list[BaseOxmlElement]) -> None:
        """Add the heads or feet of pages; the same text once."""
        for part in parts:
            text = plain(" ".join("".join(p.itertext()) for p in part.iter(qn("w:p"))))
            if text not in self._margins:
                self._margins.add(text)
                self.blocks(part, "margin")

    def blocks(self, parent: BaseOxmlElement, kind: LineKind, row: int = -1) -> None:
        """Add the paragraphs and tables of an element, in order."""
        for child in parent:
            if child.tag == qn("w:p"):
                self._paragraph(child, kind, row)
            elif child.tag == qn("w:tbl"):
                for i, table_row in enumerate(child.iter(qn("w:tr"))):
                    if _table_of(table_row) is child:
                        self._row(table_row, i)
            elif child.tag in _THROUGH:
                self.blocks(child, kind, row)

    def _row(self, table_row: BaseOxmlElement, row: int) -> None:
        for cell in table_row.iter(qn("w:tc")):
            if _table_of(cell) is _table_of(table_row):
                self.blocks(cell, "cell", row)

    def _paragraph(self, paragraph: BaseOxmlElement, kind: LineKind, row: int) -> None:
        text, boxes = text_and_boxes(paragraph)
        self.lines.n_pictures += pictures(paragraph)
        numbered = self._numbers.number(paragraph)
        rank = _rank(paragraph)
        if numbered is not None:
            listed: LineKind = "item" if kind == "paragraph" else kind
            self.lines.add(text, listed, numbered[0], numbered[1], row)
        elif rank is not None and kind == "paragraph":
            self.lines.add(text, "heading", "", rank)
        else:
            self.lines.add(text, kind, "", 0, row)
        for box in boxes:
            self.blocks(box, kind, row)


def _table_of(element: BaseOxmlElement) -> BaseOxmlElement | None:
    """Return the table that an element stands in most closely."""
    at: BaseOxmlElement | None = element.getparent()
    while at is not None and at.tag != qn("w:tbl"):
        at = at.getparent()
    return at


def _rank(paragraph: BaseOxmlElement) -> int | None:
    """Return the rank of a heading less one; None for other paragraphs."""
    style = paragraph.find(f"{qn('w:pPr')}/{qn('w:pStyle')}")
    name = "" if style is None else str(style.get(qn("w:val"), ""))
    if name == "Title":
        return 0
    rank = name.removeprefix("Heading")
    return int(rank) - 1 if rank != name and rank.isdigit() and len(rank) == 1 else None
