"""Blocks that stand at the margin: passages, dictations, stops, page turns, `again`."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.script.attributes import values
from pausewright.script.attributes.scope import silence_s
from pausewright.script.model import Again, InForce, PageTurn, Stop
from pausewright.script.reading.block_attributes import own_value, scope_below, value_or
from pausewright.script.reading.dictations import read_dictation
from pausewright.script.reading.paragraphs import read_paragraphs
from pausewright.script.reading.passages import read_passage

if TYPE_CHECKING:
    from pausewright.script.attributes.scope import Scope
    from pausewright.script.model import Block
    from pausewright.script.reading.context import Context
    from pausewright.script.reading.divs import Opened

_DEFAULT_HOLD_S: Final = Fraction(20)
_DEFAULT_PAGE_TURN_S: Final = Fraction(5)


def read_margin_block(ctx: Context, opened: Opened, scope: Scope) -> Block | None:
    """Return a block that stands at the margin."""
    if opened.name == "passage":
        return read_passage(ctx, opened, scope)
    if opened.name == "dictation":
        return read_dictation(ctx, opened, scope)
    if opened.name == "again":
        return _again(ctx, opened, scope)
    cue = read_paragraphs(ctx, opened.node.children, scope, "indented paragraph")
    if not cue:
        message = f"this {opened.name} says nothing"
        ctx.problems.error(opened.place, message, "write what is said at it", code="block-empty")
    for prose in cue[-1:]:
        place = prose.own_pause()
        if place is not None and opened.name != "again":
            message = f"a pause stands beside the silence of the {opened.name}"
            ctx.problems.error(place, message, 'use for="…" on the block', code="silences-adjacent")
    default_s = _DEFAULT_HOLD_S if opened.name == "stop" else _DEFAULT_PAGE_TURN_S
    time_s = own_value(ctx, opened.attrs, "for", silence_s, f"this {opened.name}")
    time_s = time_s or InForce(default_s, None, "default")
    if opened.name == "stop":
        return Stop(cue, time_s, opened.attrs.yes("rest"), opened.place)
    return PageTurn(cue, time_s, opened.place)


def _again(ctx: Context, opened: Opened, scope: Scope) -> Again:
    lead_in = read_paragraphs(ctx, opened.node.children, scope, "indented paragraph")
    numbers: tuple[int, ...] = value_or(ctx, opened.attrs, "questions", values.question_numbers, ())
    if "questions" not in opened.attrs.items:
        message = "‘again’ does not say which questions"
        ctx.problems.error(opened.place, message, 'write {questions="1-5"}', code="again-questions")
    inner = scope_below(ctx, scope, opened.attrs, "this block")
    delivery = inner.delivery()
    if "answer-time" not in opened.attrs.items:
        delivery = replace(delivery, answer_time=None)
    return Again(lead_in, numbers, delivery, opened.place)
