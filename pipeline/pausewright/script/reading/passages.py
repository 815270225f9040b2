"""Passages: material that is heard, with its turns."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from pausewright.problems import name_hint
from pausewright.script.attributes import values
from pausewright.script.attributes.scope import CAPTIONS, pause_s, silence_s
from pausewright.script.inlines import is_blank, plain
from pausewright.script.model import Emphasis, InForce, Passage, Pause, Prose, Text
from pausewright.script.reading.block_attributes import (
    VOICED,
    own_value,
    read_attributes,
    scope_below,
    value_or,
)
from pausewright.script.reading.divs import Opened, refuse
from pausewright.script.reading.paragraphs import read_content, stripped

if TYPE_CHECKING:
    from pausewright.script.attributes.scope import Scope
    from pausewright.script.inline.paragraph_content import Content
    from pausewright.script.model import Inline
    from pausewright.script.reading.context import Context


def read_passage(ctx: Context, opened: Opened, scope: Scope) -> Passage:
    """Return a passage; turns may follow each other on lines of one paragraph."""
    inner = scope_below(ctx, scope.for_passage(), opened.attrs, "this passage")
    content: list[Prose] = []
    for node in opened.node.children:
        if node.token.type != "paragraph_open":
            refuse(ctx, node)
            continue
        found = read_content(ctx, node, "turn")
        if found is not None:
            content += _turns(ctx, found, inner)
    if not opened.node.children:
        hint = "write what is heard in it"
        ctx.problems.error(opened.place, "this passage is empty", hint, code="block-empty")
    delivery = inner.delivery()
    if delivery.pattern.value is not None:
        delivery = replace(delivery, pattern=InForce(None, None, "default"))
    return Passage(
        tuple(content),
        delivery,
        opened.place,
        look_time_s=own_value(ctx, opened.attrs, "look-time", silence_s, "this passage"),
        pause_after_s=own_value(ctx, opened.attrs, "pause-after", pause_s, "this passage"),
        for_questions=value_or(ctx, opened.attrs, "for-questions", values.question_numbers, ()),
        order=value_or(ctx, opened.attrs, "order", _order, ()),
    )


def _order(text: str) -> tuple[Literal["whole", "pieces"], ...]:
    return values.word_list(text, ("whole", "pieces"), "a reading plan")


def _turns(ctx: Context, content: Content, scope: Scope) -> list[Prose]:
    attrs = read_attributes(ctx, content, "turn")
    starts = [
        index
        for index, node in enumerate(content.inlines)
        if _speaker(node) and (index == 0 or _is_break(content.inlines[index - 1]))
    ]
    bounds = sorted({0, *starts, len(content.inlines)})
    found: list[Prose] = []
    for start, end in pairwise(bounds):
        inlines = content.inlines[start:end]
        name = _speaker(inlines[0]) if inlines else None
        place = inlines[0].place if inlines else content.place
        speech_scope = scope_below(ctx, scope, attrs.only(VOICED), "this turn")
        speech = speech_scope.speech()
        if name is not None:
            inlines = inlines[1:]
            speaker = ctx.settings.speakers.get(name)
            if speaker is None:
                message = f"the speaker ‘{name}’ is not declared"
                hint = f"add to the settings: speakers: {{{name}: {{}}}}"
                hint = name_hint(name, ctx.settings.speakers, hint)
                ctx.problems.error(place, message, hint, code="speaker-unknown")
            else:
                speech = speech_scope.speech(
                    voice=speaker.voice or None, language=speaker.language or None
                )
        if not any(plain((n,)).strip() or not isinstance(n, Text) for n in inlines):
            hint = "write its words on the same line"
            ctx.problems.error(place, "this turn says nothing", hint, code="turn-empty")
            continue
        words = [node for node in inlines if not is_blank(node)]
        for edge in (words[0], words[-1]):
            if isinstance(edge, Pause):
                message = "a pause cannot begin or end a turn"
                hint = "put it between two sentences, or make turn-pause longer"
                ctx.problems.error(edge.place, message, hint, code="pause-misplaced")
        after = own_value(ctx, attrs, "pause-after", pause_s, "this turn")
        captions = speech_scope.get(CAPTIONS).value
        own = after if end == len(content.inlines) else None
        found.append(Prose(stripped(inlines), speech, captions, place, name, pause_after_s=own))
    return found


def _speaker(node: Inline) -> str | None:
    if isinstance(node, Emphasis) and node.strong:
        words = plain(node.children).strip()
        if words.endswith(":") and len(words) > 1:
            return words[:-1].strip()
    return None


def _is_break(node: Inline) -> bool:
    return isinstance(node, Text) and node.text == "\n"
