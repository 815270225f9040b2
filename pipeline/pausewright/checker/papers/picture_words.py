"""Words that stand in an author's own pictures: a drawing's text is text of the paper too."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.intake.file_kinds import PICTURE
from pausewright.intake.plain_file import file_text
from pausewright.problems import PausewrightError
from pausewright.script.model import Note, Options, Question, Sound, SubQuestion
from pausewright.script.sheet_content import blocks_of, inline_rows

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from pausewright.script.model import Inline, Script

_TEXT: Final = re.compile(r">([^<>]+)<")


def picture_words(script: Script) -> Iterator[str]:
    """Walk the texts of the SVG pictures that a script's sheets and answers to choose name."""
    paths = dict.fromkeys(
        (sound.file, sound.folder)
        for sound in _pictures(script)
        if sound.path.lower().endswith(".svg")
    )
    for file, folder in paths:
        try:
            yield from _TEXT.findall(file_text(file, PICTURE, folder))
        except PausewrightError:  # a missing picture is told when the paper is made
            continue


def _pictures(script: Script) -> Iterator[Sound]:
    for _, _, block in script.blocks():
        if isinstance(block, Note):
            yield from _in_rows(inline_rows(blocks_of(block)))
        elif isinstance(block, Question):
            for one in (block, *block.content):
                if isinstance(one, Question | SubQuestion) and one.sheet is not None:
                    yield from _in_rows(inline_rows(blocks_of(one.sheet)))
                contents = one.content if isinstance(one, SubQuestion) else (one,)
                for inner in contents:
                    if isinstance(inner, Options):
                        yield from _in_rows(option.prose.inlines for option in inner.options)


def _in_rows(rows: Iterable[tuple[Inline, ...]]) -> Iterator[Sound]:
    for row in rows:
        yield from (node for node in row if isinstance(node, Sound))
