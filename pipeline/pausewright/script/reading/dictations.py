"""Dictations: a text in phrases."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from pausewright.script.attributes import values
from pausewright.script.attributes.scope import SCOPED, SHORTEST_SILENCE_S, silence_s
from pausewright.script.attributes.values import ValueProblem
from pausewright.script.model import Dictation, Phrase, Prose
from pausewright.script.reading.block_attributes import (
    VOICED,
    own_value,
    read_attributes,
    scope_below,
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
        ctx.problems.error(
            opened.place,
            "this dictation has no phrases",
            "write one phrase a line: - …",
            code="block-empty",
        )
    order = own_value(ctx, attrs, "order", _order, "this dictation")
    time_s = own_value(ctx, attrs, "phrase-time", _phrase_times, "this dictation")
    if time_s is None and "phrase-time" not in attrs.items:
        ctx.problems.error(
            opened.place,
            "this dictation gives no phrase time",
            'write {phrase-time="8 s"} or {phrase-time="4 s to 11 s"}',
            code="phrase-time",
        )
    readings = own_value(ctx, attrs, "phrase-readings", values.count, "this dictation")
    between = own_value(ctx, attrs, "between-phrase-readings", silence_s, "this dictation")
    return Dictation(
        tuple(phrases),
        order.value if order else ("whole", "phrases", "whole"),
        inner.get("between-readings"),
        time_s.value if time_s else (Fraction(8), Fraction(8)),
        readings.value if readings else 1,
        between.value if between else Fraction(2),
        own_value(ctx, attrs, "answer-time", SCOPED["answer-time"].read, "this dictation"),
        inner.speech(),
        inner.get("captions").value,
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
        prose = Prose(content.inlines, scope.speech(), scope.get("captions").value, content.place)
        above = ctx.source.lines[item.line - 2] if item.line > 1 else ""
        found.append(Phrase(prose, own, first or not above.strip()))
    return found


def _phrase_times(text: str) -> tuple[Fraction, Fraction]:
    times_s = values.growing_s(text)
    if min(times_s) < SHORTEST_SILENCE_S:
        raise ValueProblem(f"a silence of {text} is under 0.3 s", "write 0.3 s or more")
    return times_s


def _order(text: str) -> tuple[Literal["whole", "phrases"], ...]:
    known: dict[str, Literal["whole", "phrases"]] = {"whole": "whole", "phrases": "phrases"}
    steps = [part.strip() for part in text.split(",")]
    if any(step not in known for step in steps):
        raise ValueProblem(f"‘{text}’ is not an order of readings", "write whole, phrases, whole")
    return tuple(known[step] for step in steps)
