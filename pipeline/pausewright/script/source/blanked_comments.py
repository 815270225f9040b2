"""Comments, blanked out of the text so that lines and columns stay."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from pausewright.problems import Problems
    from pausewright.script.source.source_text import Source

_COMMENT: Final = re.compile(r"(?<!\\)<!--")


def blank_comments(source: Source, working: list[str], problems: Problems) -> None:
    """Put blanks in place of comments; unclosed ones and those across blank lines are problems."""
    text = "\n".join(working)
    pieces: list[str] = []
    at = 0
    line, counted = 1, 0
    for found in _COMMENT.finditer(text):
        if found.start() < at:
            continue
        line += text.count("\n", counted, found.start())
        counted = found.start()
        column = found.start() - text.rfind("\n", 0, found.start())
        place = source.place(line, column, 4)
        end = text.find("-->", found.end())
        if end < 0:
            hint = "close it with -->"
            problems.error(place, "this comment is never closed", hint, code="comment-open")
            pieces += [text[at : found.start()], _blanked(text[found.start() :])]
            at = len(text)
            break
        inside = text[found.start() : end + 3]
        if re.search(r"\n[ \u00a0]*\n", inside):
            message = "this comment goes over a blank line"
            hint = "close it with --> before the blank line, and open another after it"
            problems.error(place, message, hint, code="comment-blank-line")
        elif inside.count("\n") > 1 and _words_around(text, found.start(), end + 3):
            message = "this comment of several lines has words before and after it"
            problems.error(place, message, "put it on lines of its own", code="comment-inside")
        pieces += [text[at : found.start()], _blanked(inside)]
        at = end + 3
    pieces.append(text[at:])
    working[:] = "".join(pieces).split("\n")


def _words_around(text: str, start: int, end: int) -> bool:
    before = text[text.rfind("\n", 0, start) + 1 : start]
    after = text[end:].split("\n", maxsplit=1)[0]
    return bool(before.strip() and after.strip())


def _blanked(text: str) -> str:
    return re.sub(r"[^\n]", " ", text)
