"""Blocks that stand at the margin: passages, dictations, stops, page turns, `again`."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.script.attributes import values
from pausewright.script.attributes.scope import silence_s
from pausewright.script.model import Again, InForce, PageTurn, Stop
from pausewright.script.reading.block_attributes import own_value, scope_below
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
        ctx.problems.error(
            opened.place,
            f"this {opened.name} says nothing",
            "write what is said at it",
            code="block-empty",
        )
    for prose in cue[-1:]:
        place = prose.own_pause()
        if place is not None and opened.name != "again":
            ctx.problems.error(
                place,
                f"a pause stands beside the silence of the {opened.name}",
                'use for="…" on the block',
                code="silences-adjacent",
            )
    default_s = _DEFAULT_HOLD_S if opened.name == "stop" else _DEFAULT_PAGE_TURN_S
    time_s = own_value(ctx, opened.attrs, "for", silence_s, f"this {opened.name}")
    time_s = time_s or InForce(default_s, None, "default")
    if opened.name == "stop":
        return Stop(cue, time_s, opened.attrs.yes("rest"), opened.place)
    return PageTurn(cue, time_s, opened.place)


def _again(ctx: Context, opened: Opened, scope: Scope) -> Again:
    lead_in = read_paragraphs(ctx, opened.node.children, scope, "indented paragraph")
    questions = own_value(ctx, opened.attrs, "questions", values.question_numbers, "this block")
    if questions is None and "questions" not in opened.attrs.items:
        ctx.problems.error(
            opened.place,
            "‘again’ does not say which questions",
            'write {questions="1-5"}',
            code="again-questions",
        )
    inner = scope_below(ctx, scope, opened.attrs, "this block")
    numbers = questions.value if questions else ()
    own = inner.values.get("answer-time") if "answer-time" in opened.attrs.items else None
    delivery = replace(inner.delivery(), answer_time=own)
    return Again(lead_in, numbers, delivery, opened.place)
