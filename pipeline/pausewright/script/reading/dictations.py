"""Dictations: a text in phrases."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from pausewright.script.attributes import values
from pausewright.script.attributes.scope import (
    ANSWER_TIME,
    BETWEEN_READINGS,
    CAPTIONS,
    SHORTEST_SILENCE_S,
    silence_s,
)
from pausewright.script.attributes.values import ValueProblem
from pausewright.script.model import Dictation, Phrase, Prose
from pausewright.script.reading.block_attributes import (
    VOICED,
    own_value,
    read_attributes,
    scope_below,
    value_or,
)
from pausewright.script.reading.divs import Opened, check_bullet, refuse
from pausewright.script.reading.paragraphs import read_content

if TYPE_CHECKING:
    from pausewright.script.attributes.scope import Scope
    from pausewright.script.reading.context import Context
    from pausewright.script.source.tree import Node


def read_dictation(ctx: Context, opened: Opened, scope: Scope) -> Dictation:
    """Return a dictation: bullets only, a blank line between them opens a paragraph."""
    attrs = opened.attrs
    voiced = attrs.only(VOICED | {"between-readings"})
    inner = scope_below(ctx, scope.for_passage(), voiced, "this dictation")
    phrases: list[Phrase] = []
    for node in opened.node.children:
        if node.token.type != "bullet_list_open":
            refuse(ctx, node, "begin each phrase of a dictation with a hyphen: - …")
            continue
        for item in node.children:
            phrases += _phrase(ctx, item, inner, first=not phrases)
    if not opened.node.children:
        hint = "write one phrase a line: - …"
        ctx.problems.error(opened.place, "this dictation has no phrases", hint, code="block-empty")
    if "phrase-time" not in attrs.items:
        message = "this dictation gives no phrase time"
        hint = 'write {phrase-time="8 s"} or {phrase-time="4 s to 11 s"}'
        ctx.problems.error(opened.place, message, hint, code="phrase-time")
    return Dictation(
        tuple(phrases),
        value_or(ctx, attrs, "order", _order, ("whole", "phrases", "whole")),
        inner.get(BETWEEN_READINGS),
        value_or(ctx, attrs, "phrase-time", _phrase_times, (Fraction(8), Fraction(8))),
        value_or(ctx, attrs, "phrase-readings", values.count, 1),
        value_or(ctx, attrs, "between-phrase-readings", silence_s, Fraction(2)),
        own_value(ctx, attrs, "answer-time", ANSWER_TIME.read, "this dictation"),
        inner.speech(),
        inner.get(CAPTIONS).value,
        opened.place,
    )


def _phrase(ctx: Context, item: Node, scope: Scope, *, first: bool) -> list[Phrase]:
    check_bullet(ctx, item)
    found: list[Phrase] = []
    for node in item.children:
        if node.token.type != "paragraph_open" or found:
            refuse(ctx, node, "write one phrase a line: - …")
            continue
        content = read_content(ctx, node, "phrase")
        if content is None or not content.inlines:
            continue
        attrs = read_attributes(ctx, content, "phrase")
        own = own_value(ctx, attrs, "phrase-time", silence_s, "this phrase")
        prose = Prose(content.inlines, scope.speech(), scope.get(CAPTIONS).value, content.place)
        above = ctx.source.lines[item.line - 2] if item.line > 1 else ""
        found.append(Phrase(prose, own, first or not above.strip()))
    return found


def _phrase_times(text: str) -> tuple[Fraction, Fraction]:
    times_s = values.growing_s(text)
    if min(times_s) < SHORTEST_SILENCE_S:
        raise ValueProblem(f"a silence of {text} is under 0.3 s", "write 0.3 s or more")
    return times_s


def _order(text: str) -> tuple[Literal["whole", "phrases"], ...]:
    return values.word_list(text, ("whole", "phrases"), "an order of readings")
