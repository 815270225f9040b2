"""What instructions state, compared with what is in force."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from pausewright.script import numbers_in_words
from pausewright.script.attributes.values import decimal, plain_duration
from pausewright.script.inlines import plain
from pausewright.script.model import (
    ByHand,
    Dictation,
    Emphasis,
    Group,
    Note,
    Part,
    Passage,
    Prose,
    Question,
    Script,
    Span,
    Text,
)
from pausewright.script.times_heard import heard
from pausewright.script.walk import all_inlines, nested, proses

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.problems import Place, Problems
    from pausewright.script.model import Block


TIMES: Final = frozenset({"answer-time", "look-time", "phrase-time", "test-time"})
"""What can be stated that is a time."""


def check_statements(script: Script, problems: Problems) -> None:
    """Compare each `states` span with what is in force; warn of values that nobody compares."""
    for part in script.parts:
        for group in part.groups:
            known: dict[str, list[Stated]] = {}
            for block in group.blocks:
                for prose in proses(block):
                    _check_states(script, part, group, prose, known, problems)
                if not isinstance(block, Question | Passage | Dictation | Note):
                    for prose in proses(block):
                        _check_unstated(prose, problems)


def _check_states(
    script: Script,
    part: Part,
    group: Group,
    prose: Prose,
    known: dict[str, list[Stated]],
    problems: Problems,
) -> None:
    """Check one paragraph; `known` keeps, for its group, what differs of each kind in force."""
    for node in all_inlines(prose.inlines):
        if isinstance(node, Span) and node.states is not None:
            words = node.say or plain(node.children)
            kind = node.states
            found = _own(script, prose, kind)
            if found is None:
                if kind not in known:
                    first: dict[Fraction | int | None, Stated] = {}
                    for one in _around(script, part, group, kind):
                        first.setdefault(one.value, one)
                    known[kind] = list(first.values())
                found = known[kind]
            _compare(found, node, words, problems)


def _compare(found: Sequence[Stated], span: Span, words: str, problems: Problems) -> None:
    kind = span.states or ""
    value: Fraction | int | None
    if kind in TIMES:
        value = numbers_in_words.duration_s(words)
    elif kind == "last-reading":
        value = numbers_in_words.ordinal(words)
    else:
        value = numbers_in_words.times(words)
    if value is None:
        message = f"‘{words}’ does not say a value that can be compared with {kind}"
        hint = f'write for example [{_EXAMPLES[kind]}]{{states="{kind}"}}'
        problems.error(span.place, message, hint, code="states-unreadable")
        return
    if not found:
        message = f"nothing here has a {kind} that this could state"
        hint = "take out ‘states’, or move the sentence to the part or group that it is about"
        problems.error(span.place, message, hint, code="states-nothing")
    for one in found:
        if one.value != value:
            message = f"‘{words}’ is stated, but {one.whose} has {_shown(kind, one.value)}"
            hint = f"write {_shown(kind, one.value)}, or change the {kind}"
            problems.error(span.place, message, hint, code="states-differ", also=(one.place,))
            return


_EXAMPLES = {
    "answer-time": "six seconds",
    "look-time": "thirty seconds",
    "phrase-time": "eight seconds",
    "test-time": "forty minutes",
    "readings": "twice",
    "last-reading": "second",
    "questions": "twenty",
}


def _shown(kind: str, value: Fraction | int | None) -> str:
    if value is None:
        return "none"
    if kind in TIMES:
        return plain_duration(Fraction(value))
    return decimal(Fraction(value))


class Stated(NamedTuple):
    """A value in force that an instruction may state."""

    value: Fraction | int | None
    place: Place
    """Where it is declared."""
    whose: str
    owner: Place
    """The question, passage or paragraph that has it."""


def in_force(script: Script, part: Part, group: Group, prose: Prose, kind: str) -> list[Stated]:
    """Return what a statement of a kind is about: itself, else its group, its part, the test."""
    own = _own(script, prose, kind)
    return _around(script, part, group, kind) if own is None else own


def _own(script: Script, prose: Prose, kind: str) -> list[Stated] | None:
    """Return what is in force for a paragraph itself or the whole test; None: look around it."""
    own = {"answer-time": prose.answer_time, "look-time": prose.look_time_s}.get(kind)
    if own is not None and not isinstance(own.value, ByHand):
        return [Stated(own.value, own.place or prose.place, "this paragraph", prose.place)]
    if kind == "test-time":
        test_s = script.settings.test_time_s
        place = script.settings.places.get("test-time", prose.place)
        return [] if test_s is None else [Stated(test_s, place, "the test", place)]
    return None


def _around(script: Script, part: Part, group: Group, kind: str) -> list[Stated]:
    scopes: list[list[Group]] = [list(part.groups), [g for p in script.parts for g in p.groups]]
    if group.title:
        scopes.insert(0, [group])
    for groups in scopes:
        blocks = [b for g in groups for b in g.blocks]
        if not part.practice:
            blocks = [b for b in blocks if not (isinstance(b, Question) and b.practice)]
        found = _values(blocks, kind)
        if found:
            return found
    return []


def _values(blocks: Sequence[Block], kind: str) -> list[Stated]:
    if kind == "questions":
        questions = [b for b in blocks if isinstance(b, Question)]
        first = questions[0].place if questions else None
        return (
            [] if first is None else [Stated(len(questions), first, "this part of the test", first)]
        )
    if kind in {"readings", "last-reading"}:
        return [
            Stated(one.count, one.place, one.whose, one.place)
            for block in blocks
            for one in heard(block)
        ]
    if kind == "phrase-time":
        return [stated for block in blocks for stated in _phrase_times(block)]
    found: list[Stated] = []
    for block in blocks:
        if isinstance(block, Question) and not block.printed:
            delivery, whose = block.delivery, f"question {block.label}"
        elif isinstance(block, Passage):
            delivery, whose = block.delivery, "the passage"
            if kind == "look-time" and block.look_time_s is not None:
                found.append(Stated(block.look_time_s.value, block.place, whose, block.place))
        else:
            continue
        answer = delivery.answer_time
        if kind == "answer-time" and answer is not None and not isinstance(answer.value, ByHand):
            found.append(Stated(answer.value, answer.place or block.place, whose, block.place))
    return found


def _phrase_times(block: Block) -> list[Stated]:
    """Return the silences after phrases; the last one gives way to what follows the dictation.

    Where they grow, one sentence cannot state them: the first value stands for the first phrase,
    the last one for all others.
    """
    content = nested(block.content) if isinstance(block, Question) else (block,)
    found: list[Stated] = []
    for one in content:
        if not isinstance(one, Dictation) or "phrases" not in one.order:
            continue
        growing = list(one.phrase_time_s)
        for n, phrase in enumerate(one.phrases[:-1] or one.phrases, 1):
            place, own = phrase.prose.place, phrase.phrase_time_s
            time_s = own.value if own is not None else growing.pop(0) if growing[1:] else growing[0]
            found.append(Stated(time_s, place, f"phrase {n} of the dictation", place))
    return found


def _check_unstated(prose: Prose, problems: Problems) -> None:
    for node in prose.inlines:
        for text in node.children if isinstance(node, Emphasis) else (node,):
            if isinstance(text, Text):
                times = numbers_in_words.durations_in(text.text)
                _warn_unstated(text, times, "a time", "answer-time", problems)
                counts = numbers_in_words.counts_in(text.text)
                _warn_unstated(text, counts, "a number of readings", "readings", problems)


def _warn_unstated(
    text: Text, found: list[tuple[int, int]], what: str, kind: str, problems: Problems
) -> None:
    for start, end in found:
        words = text.text[start:end]
        place = replace(text.place, column=text.place.column + start, length=end - start)
        message = f"‘{words}’ states {what} but is not linked to a setting, so it can become wrong"
        problems.warn(place, message, f'write [{words}]{{states="{kind}"}}', code="unstated")
