"""What a sheet or a staff note says, line by line in plain words, for papers of the staff."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.script.inlines import plain
from pausewright.script.model import AnswerPlace, Emphasis, Sound, Span
from pausewright.script.sheet_content import PaperHeading, PaperList, PaperParagraph, PaperTable

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.script.model import Inline, Note

_PLACE: Final = "____"
"""A place to write, in a line of words."""


def note_lines(note: Note) -> list[str]:
    """Return the paragraphs, items and rows of a note, each in one line."""
    if not note.content:  # an attribute's value
        return [" ".join(note.text.split())]
    return [line for line in _lines(note.content) if line]


def _lines(blocks: Sequence[object]) -> Iterator[str]:
    for block in blocks:
        if isinstance(block, PaperTable):
            for row in (block.head, *block.rows):
                yield " · ".join(_words(cell) for cell in row)
        elif isinstance(block, PaperList):
            for number, item in enumerate(block.items, block.start or 1):
                first, *rest = [*_lines(item), ""]
                yield f"{number}. {first}" if block.start is not None else f"– {first}"
                yield from rest
        elif isinstance(block, PaperParagraph | PaperHeading):
            yield _words(block.inlines)


def _words(inlines: Sequence[Inline]) -> str:
    return " ".join("".join(_word(one) for one in inlines).split())


def _word(one: Inline) -> str:
    if isinstance(one, AnswerPlace):
        return _PLACE
    if isinstance(one, Sound):
        return f"(picture: {' '.join(one.description.split())})"
    if isinstance(one, Emphasis | Span):
        return "".join(_word(inner) for inner in one.children)
    return plain((one,))
