"""Questions and sub-questions, with everything that is indented below them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.script.attributes import values
from pausewright.script.attributes.scope import CAPTIONS
from pausewright.script.model import InForce, Note, Option, Options, Prose, Question, SubQuestion
from pausewright.script.reading.block_attributes import (
    Attributes,
    read_attributes,
    scope_below,
    value_or,
)
from pausewright.script.reading.dictations import read_dictation
from pausewright.script.reading.divs import check_bullet, open_div, refuse
from pausewright.script.reading.notes import read_note, read_value_note, with_note
from pausewright.script.reading.paragraphs import read_content, read_prose
from pausewright.script.reading.passages import read_passage
from pausewright.script.reading.printed_options import (
    LETTER,
    expect_letter,
    read_option,
    without_letter,
)
from pausewright.script.source.block_lines import NOTHING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.problems import Place
    from pausewright.script.attributes.scope import Scope
    from pausewright.script.model import Delivery, QuestionContent
    from pausewright.script.reading.context import Context
    from pausewright.script.source.tree import Node

PRACTICE: Final = "Practice question {number}."
"""Announces a practice question in English; other languages have words of their own."""
_MARGIN_ONLY: Final = frozenset({"stop", "page-turn", "again"})


def read_question(
    ctx: Context, item: Node, scope: Scope, number: int, label: str, part: str, place: Place
) -> Question | None:
    """Return one question with its contents."""
    first = item.children[0] if item.children else None
    if first is None or first.token.type != "paragraph_open":
        message = "a question begins with text on the line of its number"
        hint = "write it there, with a letter or digit first"
        ctx.problems.error(place, message, hint, code="question-empty")
        return None
    content = read_content(ctx, first, "question")
    if content is None:
        return None
    attrs = read_attributes(ctx, content, "question")
    origin = f"question {label}"
    inner = scope_below(ctx, scope, attrs, origin)
    _check_lines(ctx, first, label)
    if not content.inlines and first.children[0].token.content.strip() != NOTHING:
        hint = "write it after the number"
        ctx.problems.error(place, "this question has no text", hint, code="question-empty")
    stem = Prose(content.inlines, inner.speech(), inner.get(CAPTIONS).value, content.place)
    rest, notes = _contents(ctx, item.children[1:], inner, origin, indent=4)
    _check_last_pause(ctx, rest, inner)
    delivery = _delivery(inner)
    question = Question(
        number,
        label,
        (stem, *rest),
        delivery,
        place,
        part,
        practice=inner.practice,
        printed=inner.printed,
        withdrawn=attrs.yes("withdrawn"),
        marks=_count(ctx, attrs, "marks"),
        lines=_count(ctx, attrs, "lines"),
        sheet=read_value_note(ctx, attrs, "sheet"),
        key=read_value_note(ctx, attrs, "key"),
    )
    for note in notes:
        question = with_note(ctx, question, note)
    return question


def _count(ctx: Context, attrs: Attributes, name: str) -> int:
    return value_or(ctx, attrs, name, lambda text: values.count(text, least=0, most=200), 1)


def _check_last_pause(ctx: Context, content: tuple[QuestionContent, ...], scope: Scope) -> None:
    """Refuse a pause at the end of a question: the silence after the reading follows it."""
    last = content[-1] if content else None
    if not isinstance(last, Prose) or scope.printed:
        return
    place = last.own_pause()
    if place is not None:
        message = "this pause stands beside the silence after the reading"
        hint = "take it out, or make the other silence longer"
        ctx.problems.error(place, message, hint, code="silences-adjacent")


def _contents(
    ctx: Context, nodes: Sequence[Node], scope: Scope, origin: str, *, indent: int
) -> tuple[tuple[QuestionContent, ...], list[Note]]:
    content: list[QuestionContent] = []
    notes: list[Note] = []
    for node in nodes:
        kind = node.token.type
        if kind == "paragraph_open":
            _check_indent(ctx, node, indent)
            found = read_content(ctx, node, "indented paragraph")
            prose = read_prose(ctx, found, scope, "indented paragraph") if found else None
            content += [prose] if prose is not None else []
        elif kind == "bullet_list_open":
            content += _bullets(ctx, node, scope, origin)
        elif kind == "div_open":
            _question_div(ctx, node, scope, content, notes)
        else:
            refuse(ctx, node)
    return tuple(content), notes


def _question_div(
    ctx: Context, node: Node, scope: Scope, content: list[QuestionContent], notes: list[Note]
) -> None:
    opened = open_div(ctx, node)
    if opened is None:
        return
    if opened.name in _MARGIN_ONLY:
        message = f"‘::: {opened.name}’ cannot stand inside a question"
        hint = "start it at the margin, between questions"
        ctx.problems.error(opened.place, message, hint, code="block-misplaced")
    elif opened.name == "passage":
        content.append(read_passage(ctx, opened, scope))
    elif opened.name == "dictation":
        content.append(read_dictation(ctx, opened, scope))
    else:
        note = read_note(ctx, opened)
        notes += [note] if note is not None else []


def _check_indent(ctx: Context, node: Node, indent: int) -> None:
    if node.lead != indent:
        message = f"this line is indented by {node.lead} blanks"
        hint = f"indent what belongs to a question by {indent}"
        ctx.problems.error(node.place, message, hint, code="indent")


def _check_lines(ctx: Context, node: Node, label: str) -> None:
    for line in range(node.line + 1, node.end_line):
        row = ctx.source.lines[line - 1]
        if row.strip() and not row.startswith(" "):
            message = f"this line continues question {label} although it starts at the margin"
            hint = "indent it by four, or put a blank line before it"
            ctx.problems.error(ctx.source.whole_line(line), message, hint, code="question-lazy")


def _bullets(ctx: Context, node: Node, scope: Scope, origin: str) -> list[QuestionContent]:
    options: list[Option] = []
    parts: list[QuestionContent] = []
    for item in node.children:
        check_bullet(ctx, item)
        first = item.children[0] if item.children else None
        if first is None or first.token.type != "paragraph_open":
            ctx.problems.error(item.place, "this answer is empty", "write - A. …", code="list-form")
            continue
        row = first.children[0].token.content
        letter = LETTER.match(row.replace("\u00a0", " "))
        if not letter:
            message = "an answer to choose begins with its letter"
            hint = "write - A. … (or - a. … for a sub-question)"
            ctx.problems.error(item.place, message, hint, code="list-form")
            continue
        if letter[1].isupper():
            options += read_option(ctx, item, first, letter[1], len(options), scope)
        else:
            parts += _sub_question(ctx, item, first, letter[1], len(parts), scope, origin)
    if options and parts:
        parts = []
        message = "answers (A.) and sub-questions (a.) stand in one list"
        ctx.problems.error(node.place, message, "make two lists", code="list-form")
    return [Options(tuple(options), node.place), *parts] if options else parts


def _sub_question(
    ctx: Context, item: Node, first: Node, letter: str, index: int, scope: Scope, origin: str
) -> list[QuestionContent]:
    expect_letter(ctx, item, letter, index, "a")
    content = read_content(ctx, first, "sub-question")
    if content is None:
        return []
    attrs = read_attributes(ctx, content, "sub-question")
    label = f"{origin}{letter}"
    inner = scope_below(ctx, scope, attrs, label)
    stem = Prose(
        without_letter(content.inlines),
        inner.speech(),
        inner.get(CAPTIONS).value,
        content.place,
    )
    rest, notes = _contents(ctx, item.children[1:], inner, label, indent=8)
    sub = SubQuestion(
        letter,
        (stem, *rest),
        _delivery(inner),
        content.place,
        _count(ctx, attrs, "marks"),
        read_value_note(ctx, attrs, "sheet"),
        read_value_note(ctx, attrs, "key"),
        (),
        _count(ctx, attrs, "lines"),
    )
    for note in notes:
        sub = with_note(ctx, sub, note)
    return [sub]


def _delivery(scope: Scope) -> Delivery:
    delivery = scope.delivery()
    if not scope.practice:
        return delivery
    return replace(delivery, announce=_practice_announce(delivery.announce))


def _practice_announce(announce: InForce[str | None]) -> InForce[str | None]:
    """Practice questions are announced as such, unless their own part says how."""
    if announce.value is None or announce.origin != "settings":
        return announce
    return replace(announce, value=PRACTICE)
