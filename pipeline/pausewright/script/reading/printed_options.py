"""Answers to choose from: `- A. every week`."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.script.attributes.scope import CAPTIONS
from pausewright.script.attributes.values import is_picture
from pausewright.script.model import Option, Prose, Sound, Text
from pausewright.script.reading.block_attributes import read_attributes
from pausewright.script.reading.divs import refuse
from pausewright.script.reading.paragraphs import read_content, stripped

if TYPE_CHECKING:
    from pausewright.problems import Place
    from pausewright.script.attributes.scope import Scope
    from pausewright.script.model import Inline
    from pausewright.script.reading.context import Context
    from pausewright.script.source.tree import Node

LETTER: Final = re.compile(r"([A-Za-z])\.(?:\s+|$)")


def read_option(
    ctx: Context, item: Node, first: Node, letter: str, index: int, scope: Scope
) -> list[Option]:
    """Return one answer to choose (none, with a problem, if it cannot be read)."""
    expect_letter(ctx, item, letter, index, "A")
    for extra in item.children[1:]:
        refuse(ctx, extra, f"write the whole answer on its line: - {letter}. …")
    content = read_content(ctx, first, "option")
    if content is None:
        return []
    read_attributes(ctx, content, "option")
    inlines = without_letter(content.inlines)
    _check_option(ctx, inlines, content.place)
    prose = Prose(inlines, scope.speech(), scope.get(CAPTIONS).value, content.place)
    return [Option(letter, prose)]


def _check_option(ctx: Context, inlines: tuple[Inline, ...], place: Place) -> None:
    sounds = [node for node in inlines if isinstance(node, Sound)]
    for sound in sounds:
        if not is_picture(sound.path):
            message = "a sound cannot be an answer to choose yet"
            hint = "play it in a passage before the question"
            ctx.problems.error(sound.place, message, hint, code="option-sound")
        elif len(inlines) > 1:
            message = "a picture stands alone in its answer"
            hint = "take out the words, or put the picture into ::: sheet … :::"
            ctx.problems.error(sound.place, message, hint, code="option-picture")
    if not inlines:
        hint = "write its words after the letter"
        ctx.problems.error(place, "this answer is empty", hint, code="list-form")


def expect_letter(ctx: Context, item: Node, letter: str, index: int, first: str) -> None:
    """Refuse a letter that is not the next one after `first`, `index` answers on."""
    expected = chr(ord(first) + index)
    if letter != expected:
        message = f"‘{letter}.’ stands where ‘{expected}.’ is expected"
        ctx.problems.error(item.place, message, f"write - {expected}. …", code="list-letter")


def without_letter(inlines: tuple[Inline, ...]) -> tuple[Inline, ...]:
    """Return the inlines of a list item without its letter."""
    first = inlines[0] if inlines else None
    if not isinstance(first, Text):
        return inlines
    found = LETTER.match(first.text)
    if not found:
        return inlines
    place = replace(
        first.place,
        column=first.place.column + found.end(),
        length=max(1, first.place.length - found.end()),
    )
    return stripped((Text(first.text[found.end() :], place), *inlines[1:]))
