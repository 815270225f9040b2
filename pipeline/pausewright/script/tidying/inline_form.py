"""Braces inside paragraphs in their one form, as edits of the lines in which they stand."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.script.attributes.values import ValueProblem, duration_s, spaced_duration
from pausewright.script.inline.inline_context import offset_of
from pausewright.script.source.markdown import children
from pausewright.script.source.paragraph_places import Places
from pausewright.script.tidying.attribute_form import braces as tidy_braces

if TYPE_CHECKING:
    from markdown_it.token import Token

    from pausewright.script.attributes.braces import Braces
    from pausewright.script.source.source_text import Source

_BLANKS: Final = " \u00a0"
_COMMENT: Final = re.compile(r"<!--|-->")


@frozen
class Edit:
    """New text for what stands from one spot up to another, both counted from 0."""

    line: int
    start: int
    end_line: int
    end: int
    text: str


@dataclass(slots=True)
class Edits:
    """The edits of one file, and the lines whose leading blanks are part of a value."""

    source: Source
    found: list[Edit] = field(default_factory=list)
    fixed: set[int] = field(default_factory=set)
    """Lines, from 1, that begin inside braces that are left as written."""
    joined: set[int] = field(default_factory=set)
    """Lines, from 1, that are joined on to the line above."""

    def paragraph(self, token: Token, kind: str) -> None:
        """Look at the `inline` token of one paragraph, heading or bullet."""
        places = Places(self.source, token.content, (token.map or [0])[0] + 1)
        for child in children(token):
            found: Braces | None = child.meta.get("braces")
            if child.type == "braces" and found is not None:
                self._replace(places, found.start, found.end, tidy_braces(found.items, kind))
                self._one_blank_before(places, found.start)
            elif child.type in {"span_open", "sound_open", "link_open"}:
                self._bracketed(places, child, found)

    def cut(self, line: int, start: int, end: int) -> None:
        """Take out what stands on a line from one place, counted from 0, up to another."""
        self.found.append(Edit(line - 1, start, line - 1, end, ""))

    def join(self, line: int, last: int) -> None:
        """Put the text of the line `last` behind that of `line`, one blank between them."""
        row, text = self.source.lines[line - 1], self.source.lines[last - 1]
        start, end = len(row.rstrip()), len(text) - len(text.lstrip())
        self.found.append(Edit(line - 1, start, last - 1, end, " "))
        self.joined.update(range(line + 1, last + 1))

    def rows(self) -> list[str | None]:
        """Return the file's lines with all edits made; None for a line that was joined on."""
        rows: list[str | None] = list(self.source.lines)
        for edit in sorted(self.found, key=lambda e: (e.line, e.start), reverse=True):
            head, tail = rows[edit.line] or "", rows[edit.end_line] or ""
            rows[edit.line] = head[: edit.start] + edit.text + tail[edit.end :]
            for joined in range(edit.line + 1, edit.end_line + 1):
                rows[joined] = None
        return rows

    def _bracketed(self, places: Places, token: Token, found: Braces | None) -> None:
        start, label = offset_of(token), str(token.meta.get("label"))
        opening = start + (2 if token.type == "sound_open" else 1)
        if found is None:
            return
        kind = token.type.removesuffix("_open")
        self._replace(places, found.start, found.end, tidy_braces(found.items, kind))
        if any(item.name == "pause" and item.value is None for item in found.items):
            written = _length(label)
            if written is not None:
                self._replace(places, opening, opening + len(label), written)

    def _replace(self, places: Places, start: int, end: int, text: str) -> None:
        (line, column), (last, end_column) = places.spot(start), places.spot(end - 1)
        rows = self.source.lines[line - 1 : last]
        written = "\n".join(rows)[column - 1 :]
        written = written[: len(written) - (len(rows[-1]) - end_column)]
        if _COMMENT.search(written):
            self.fixed.update(range(line + 1, last + 1))
        else:
            self.found.append(Edit(line - 1, column - 1, last - 1, end_column, text))
            self.joined.update(range(line + 1, last + 1))

    def _one_blank_before(self, places: Places, start: int) -> None:
        line, column = places.spot(start)
        before = self.source.lines[line - 1][: column - 1]
        kept = len(before.rstrip(_BLANKS))
        if kept and before[kept:] != " ":
            self.found.append(Edit(line - 1, kept, line - 1, column - 1, " "))


def _length(label: str) -> str | None:
    """Return the length in the brackets of a pause with one blank; None if it is written oddly."""
    if "\n" in label:
        return None
    try:
        duration_s(label)
    except ValueProblem:
        return None
    return spaced_duration(label)
