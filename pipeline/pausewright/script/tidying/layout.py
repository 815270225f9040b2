"""Where each line of a script begins in its one form, and where a blank line stands.

The walk goes over the same tree as the script's reader and over scripts without problems only.
It decides three things for each line: how many blanks it begins with, how many blank lines stand
above it, and how its mark (`#`, number, hyphen, `:::`) is written.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.script.attributes.braces import read_braces
from pausewright.script.reading.printed_options import LETTER
from pausewright.script.tidying.attribute_form import braces as tidy_braces
from pausewright.script.tidying.comment_form import is_comment
from pausewright.script.tidying.inline_form import Edits

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.script.source.source_text import Source
    from pausewright.script.source.tree import Node

NOTES: Final = frozenset({"sheet", "key", "staff-note"})
INDENT: Final = 4
"""Blanks before what belongs to a question."""

_HEADING: Final = re.compile(r"#{1,2} +")
_HEADING_END: Final = re.compile(r"\s+#+\s*")
_Mark: TypeAlias = tuple[re.Pattern[str], str]
"""What a line's text begins with, and what is written for it."""
_NUMBER: Final[_Mark] = (re.compile(r"(\d{1,9}\.)[ \u00a0]+"), r"\1 ")
_BULLET: Final[_Mark] = (re.compile(r"- +"), "- ")
_LETTERED: Final[_Mark] = (re.compile(r"- ([A-Za-z]\.)\s+(?=\S)"), r"- \1 ")
_COLONS: Final[_Mark] = (re.compile(r":{3,}"), ":::")
_MARK: Final = re.compile(
    r"[-+*](\s|$)|\d{1,9}[.)]|#{1,6}(\s|$)|>|:::|```|~~~|([-_*=]\s*){2,}$|[-|:\s]+$"
)
"""The start of a line that would mean something else if it were indented less."""


@dataclass(slots=True)
class Layout:
    """What was decided for the lines of one file; lines count from 1."""

    edits: Edits
    leads: dict[int, int] = field(default_factory=dict)
    """Blanks at the start of a line; a line that is not in it keeps its own."""
    blanks: dict[int, int] = field(default_factory=dict)
    """Blank lines above a line, 0 or 1; a line that is not in it keeps one if it has any."""
    marks: dict[int, tuple[_Mark, ...]] = field(default_factory=dict)
    """How the mark at the start of a line's text is written."""
    heads: dict[int, str] = field(default_factory=dict)
    """Lines that are written anew: those that open or close a block."""
    opens: set[int] = field(default_factory=set)
    """Lines that open a block."""
    closes: set[int] = field(default_factory=set)
    """Lines that close a block."""
    notes: set[int] = field(default_factory=set)
    """Lines inside sheets, keys and staff notes, whose text stays as it is."""


def layout(source: Source, nodes: Sequence[Node], inner: set[int]) -> Layout:
    """Return the layout of a prepared file whose top-level blocks are `nodes`.

    `inner` are the lines that begin inside a comment.
    """
    walk = _Walk(source, inner)
    walk.margin(nodes)
    return walk.layout


class _Walk:
    def __init__(self, source: Source, inner: set[int]) -> None:
        self._source = source
        self._inner = inner
        self._edits = Edits(source)
        self.layout = Layout(self._edits)

    def margin(self, nodes: Sequence[Node]) -> None:
        """Walk the blocks at the margin; notes right after a question are indented below it."""
        owned = False
        for node in nodes:
            kind, name = node.token.type, node.token.meta.get("name")
            if kind == "ordered_list_open":
                self._questions(node.children)
                owned = True
            elif kind == "div_open" and name in NOTES:
                self._div(node, INDENT if owned else 0, blanks=1)
            else:
                self._block(node, 0, "paragraph", blanks=1)
                owned = False

    # ---- blocks

    def _block(self, node: Node, lead: int, kind: str, *, blanks: int) -> None:
        if node.token.type == "div_open":
            self._div(node, lead, blanks=blanks)
        elif node.token.type == "heading_open":
            self._heading(node)
        elif node.token.type == "bullet_list_open":
            self._answers(node, lead)
        else:
            self._paragraph(node, lead, lead, kind, blanks=blanks)

    def _heading(self, node: Node) -> None:
        kind = "part" if node.token.tag == "h1" else "group"
        self._line(node.line, 0, blanks=1)
        self.layout.marks[node.line] = ((_HEADING, "# " if kind == "part" else "## "),)
        inline = node.children[0].token
        self._edits.paragraph(inline, kind)
        row = self._source.lines[node.line - 1]
        end = self._source.column(node.line, inline.content) - 1 + len(inline.content)
        if _HEADING_END.fullmatch(row, end):
            self._edits.cut(node.line, end, len(row))

    def _paragraph(self, node: Node, lead: int, continued: int, kind: str, *, blanks: int) -> None:
        first = self._lead(node.line)
        self._line(node.line, lead, blanks=blanks)
        self._edits.paragraph(node.children[0].token, kind)
        for line in range(node.line + 1, node.end_line):
            text = self._source.lines[line - 1].strip()
            if not text:
                continue
            moved = lead + self._lead(line) - first
            self._line(line, max(continued, moved) if _MARK.match(text) else continued, blanks=0)

    def _questions(self, items: Sequence[Node]) -> None:
        tight = False
        for item in items:
            blanks = 0 if tight else 1
            self._paragraph(item.children[0], 0, INDENT, "question", blanks=blanks)
            self.layout.marks[item.line] = (_NUMBER,)
            for child in item.children[1:]:
                self._block(child, INDENT, "indented paragraph", blanks=1)
            tight = self._is_one_line(item)

    def _answers(self, node: Node, lead: int) -> None:
        tight = False
        for item in node.children:
            blanks = 0 if tight else 1
            letter = LETTER.match(item.children[0].children[0].token.content)
            is_option = letter is not None and letter[1].isupper()
            kind, inside = ("option", lead + 2) if is_option else ("sub-question", lead + INDENT)
            self._item(item, lead, inside, kind, blanks=blanks)
            self.layout.marks[item.line] = (_BULLET, _LETTERED)
            for child in item.children[1:]:
                self._block(child, lead + INDENT, "indented paragraph", blanks=1)
            tight = is_option or self._is_one_line(item)

    def _phrases(self, node: Node, lead: int) -> None:
        for item in node.children:
            above = self._source.lines[item.line - 2]
            self._item(item, lead, lead + 2, "phrase", blanks=0 if above.strip() else 1)
            self.layout.marks[item.line] = (_BULLET,)

    def _item(self, item: Node, lead: int, continued: int, kind: str, *, blanks: int) -> None:
        """Lay out a bullet; its words begin on the line of its hyphen, wherever they began."""
        stem = item.children[0]
        self._paragraph(stem, lead, continued, kind, blanks=blanks)
        if stem.line > item.line:
            self._line(item.line, lead, blanks=blanks)
            self._edits.join(item.line, stem.line)

    # ---- `:::`

    def _div(self, node: Node, lead: int, *, blanks: int) -> None:
        name = str(node.token.meta.get("name"))
        first, last = node.token.meta["body"]
        self._line(node.line, lead, blanks=blanks)
        self.layout.opens.add(node.line)
        self._open(node, name)
        if name in NOTES:
            self._note(range(first + 1, last + 1), lead)
        else:
            kind = "turn" if name == "passage" else "indented paragraph"
            for index, child in enumerate(node.children):
                if name == "dictation":
                    self._phrases(child, lead)
                    continue
                self._block(child, lead, kind, blanks=1 if index else 0)
        self._line(last + 1, lead, blanks=0)
        self.layout.closes.add(last + 1)
        self.layout.marks[last + 1] = (_COLONS,)

    def _open(self, node: Node, name: str) -> None:
        row = self._source.lines[node.line - 1]
        if "<!--" in row or "-->" in row:
            return
        opening = row.find("{")
        items = read_braces(row, opening).items if opening >= 0 else ()
        items = tuple(i for i in items if i.value is not None or i.name != name)
        self.layout.heads[node.line] = f"::: {name}" + (
            f" {tidy_braces(items, name)}" if items else ""
        )

    def _note(self, lines: range, lead: int) -> None:
        """Move a note's lines together, so that its text stays as it is."""
        written = [n for n in lines if self._source.lines[n - 1].strip()]
        worded = [n for n in written if not is_comment(self._source, n)]
        moved = lead - min(self._lead(line) for line in worded)
        self.layout.notes.update(lines)
        for line in written:
            alone = line not in worded and line not in self._inner
            self.layout.leads[line] = lead if alone else max(0, self._lead(line) + moved)

    # ---- lines

    def _line(self, line: int, lead: int, *, blanks: int) -> None:
        self.layout.leads[line] = lead
        self.layout.blanks[line] = blanks

    def _lead(self, line: int) -> int:
        row = self._source.lines[line - 1]
        return len(row) - len(row.lstrip(" "))

    def _is_one_line(self, item: Node) -> bool:
        """Say whether a question is written on one line, with nothing below it."""
        rows = range(item.line + 1, item.end_line)
        joined = self._edits.joined
        return all(n in joined or not self._source.prepared[n - 1].strip() for n in rows)
