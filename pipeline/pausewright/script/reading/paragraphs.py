"""Spoken paragraphs, at the margin and inside blocks."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.script.attributes.scope import ANSWER_TIME, CAPTIONS, pause_s, silence_s
from pausewright.script.inline.paragraph_content import read_inline
from pausewright.script.model import Prose, Sound, Text
from pausewright.script.reading.block_attributes import (
    VOICED,
    own_value,
    read_attributes,
    scope_below,
)
from pausewright.script.reading.divs import refuse

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.script.attributes.scope import Scope
    from pausewright.script.inline.paragraph_content import Content
    from pausewright.script.model import Inline
    from pausewright.script.reading.context import Context
    from pausewright.script.source.tree import Node


def read_prose(
    ctx: Context, content: Content, scope: Scope, kind: str, *, origin: str = "this paragraph"
) -> Prose | None:
    """Return one spoken paragraph; None if nothing is in it."""
    attrs = read_attributes(ctx, content, kind)
    if not content.inlines:
        return None
    inner = scope_below(ctx, scope, attrs.only(VOICED), origin)
    look = own_value(ctx, attrs, "look-time", silence_s, origin)
    answer = own_value(ctx, attrs, "answer-time", ANSWER_TIME.read, origin)
    after = own_value(ctx, attrs, "pause-after", pause_s, origin)
    both = [name for name in ("look-time", "answer-time", "pause-after") if name in attrs.items]
    last = content.inlines[-1]
    if both and isinstance(last, Sound) and last.pause_after_s is not None:
        message = f"‘{both[0]}’ stands beside the sound's own pause"
        hint = "two silences side by side cannot be told apart: keep one"
        ctx.problems.error(attrs.places[both[0]], message, hint, code="silences-adjacent")
    if len(both) > 1:
        message = f"‘{both[0]}’ and ‘{both[1]}’ stand on one paragraph"
        hint = "two silences side by side cannot be told apart: keep one"
        ctx.problems.error(attrs.places[both[1]], message, hint, code="silences-adjacent")
    return Prose(
        content.inlines,
        inner.speech(),
        inner.get(CAPTIONS).value,
        content.place,
        look_time_s=look,
        answer_time=answer,
        pause_after_s=after,
    )


def read_paragraphs(
    ctx: Context, nodes: Sequence[Node], scope: Scope, kind: str
) -> tuple[Prose, ...]:
    """Return the paragraphs of a block; anything else in it is a problem."""
    found: list[Prose] = []
    for node in nodes:
        if node.token.type != "paragraph_open":
            refuse(ctx, node)
            continue
        content = read_content(ctx, node, kind)
        prose = read_prose(ctx, content, scope, kind) if content else None
        if prose is not None:
            found.append(prose)
    return tuple(found)


def read_content(ctx: Context, node: Node, kind: str) -> Content | None:
    """Return the inlines of a paragraph; None, and a problem, for an include."""
    content = read_inline(node.children[0].token, ctx.source, ctx.problems, kind)
    if content.include is not None:
        message = "an include cannot stand inside a block or question"
        hint = "put it at the margin, in a paragraph of its own"
        ctx.problems.error(content.place, message, hint, code="include-form")
        return None
    return content


def stripped(inlines: tuple[Inline, ...]) -> tuple[Inline, ...]:
    """Return inlines without blanks and line breaks at both ends, places kept right."""
    out = list(inlines)
    while out and isinstance(out[0], Text) and not out[0].text.strip():
        out.pop(0)
    while out and isinstance(out[-1], Text) and not out[-1].text.strip():
        out.pop()
    if out and isinstance(out[0], Text) and out[0].text[:1].isspace():
        text = out[0].text
        lead = len(text) - len(text.lstrip())
        place = out[0].place
        out[0] = Text(
            text.lstrip(),
            replace(place, column=place.column + lead, length=max(1, place.length - lead)),
        )
    return tuple(out)
