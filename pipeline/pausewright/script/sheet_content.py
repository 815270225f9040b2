"""What a sheet, key or staff note holds, as blocks: paragraphs, tables, lists, headings."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias, cast

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.problems import Place
    from pausewright.script.model import Inline, Note


@frozen
class PaperParagraph:
    """Words of one paragraph; a line break in it is a text of its own."""

    inlines: tuple[Inline, ...]
    place: Place


@frozen
class PaperHeading:
    """A heading inside a sheet."""

    inlines: tuple[Inline, ...]
    place: Place


@frozen
class PaperTable:
    """A table with one row of headings."""

    head: tuple[tuple[Inline, ...], ...]
    rows: tuple[tuple[tuple[Inline, ...], ...], ...]
    place: Place


@frozen
class PaperList:
    """A list, with bullets or numbered from `start`."""

    items: tuple[tuple[PaperBlock, ...], ...]
    start: int | None
    place: Place


PaperBlock: TypeAlias = PaperParagraph | PaperHeading | PaperTable | PaperList


def blocks_of(note: Note) -> tuple[PaperBlock, ...]:
    """Return what a note holds; () where its text is an attribute's."""
    return cast("tuple[PaperBlock, ...]", note.content)  # `model` cannot import this module


def inline_rows(blocks: tuple[PaperBlock, ...]) -> Iterator[tuple[Inline, ...]]:
    """Walk the inlines of paragraphs, headings and cells, in reading order."""
    for block in blocks:
        if isinstance(block, PaperTable):
            for row in (block.head, *block.rows):
                yield from row
        elif isinstance(block, PaperList):
            for item in block.items:
                yield from inline_rows(item)
        else:
            yield block.inlines
