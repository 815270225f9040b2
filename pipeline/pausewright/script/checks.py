"""What must agree across a script: statements and values, numbers, neighbouring silences.

Each check looks at the whole parsed script and adds problems; none changes it.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.script import stated
from pausewright.script.inline import plain
from pausewright.script.model import (
    Again,
    ByHand,
    Delivery,
    Dictation,
    Emphasis,
    Group,
    Note,
    Options,
    PageTurn,
    Part,
    Passage,
    Prose,
    Question,
    Script,
    Span,
    Stop,
    Text,
)
from pausewright.script.values import decimal, plain_duration

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.problems import Place, Problems
    from pausewright.script.model import Block, Inline


def check(script: Script, problems: Problems) -> None:
    """Run all checks."""
    _check_questions(script, problems)
    _check_references(script, problems)
    _check_statements(script, problems)
    _check_neighbours(script, problems)
    _check_ending(script, problems)
    _check_captions(script, problems)


# ---- questions ------------------------------------------------------------------------------


def _check_questions(script: Script, problems: Problems) -> None:
    for question in script.questions():
        _check_delivery(question, script, problems)
        _check_key(question, problems)
    for _, _, block in script.blocks():
        if isinstance(block, Passage):
            _check_list(block.delivery, block.place, "this passage", problems)
            _check_fields(block.delivery, block.place, problems, in_passage=True)
            _check_inner_pauses(block, problems)


def _check_delivery(question: Question, script: Script, problems: Problems) -> None:
    delivery = question.delivery
    _check_list(delivery, question.place, f"question {question.label}", problems)
    if question.printed:
        return
    name = delivery.pattern.value
    if name is not None and name not in script.settings.patterns:
        known = ", ".join(script.settings.patterns) or "none is declared"
        problems.error(
            delivery.pattern.place or question.place, f"the pattern ‘{name}’ is not declared",
            f"patterns in the settings: {known}", code="pattern-unknown",
        )  # fmt: skip
    if delivery.answer_time is None and not _has_own_times(question):
        problems.error(
            question.place, f"question {question.label} has no answer time",
            'write {answer-time="10 s"} on it, its group or its part (or "none")',
            code="answer-time-missing",
        )  # fmt: skip


def _has_own_times(question: Question) -> bool:
    return any(type(c).__name__ in {"SubQuestion", "Dictation"} for c in question.content)


def _check_list(delivery: Delivery, place: Place, whose: str, problems: Problems) -> None:
    values, readings = delivery.between_readings_s.value, delivery.readings.value
    if len(values) > 1 and len(values) != readings - 1:
        problems.error(
            delivery.between_readings_s.place or place,
            f"{len(values)} silences are given between the {readings} readings of {whose}",
            f"give one value, or exactly {max(1, readings - 1)}", code="between-readings-count",
        )  # fmt: skip


def _check_fields(
    delivery: Delivery, place: Place, problems: Problems, *, in_passage: bool
) -> None:
    for announcement in (delivery.announce, delivery.again):
        text = announcement.value or ""
        if in_passage and "{number}" in text:
            problems.error(
                announcement.place or place, "‘{number}’ in a passage's announcement",
                "a passage has no number; write words, or use {reading}", code="announce-field",
            )  # fmt: skip


def _check_inner_pauses(passage: Passage, problems: Problems) -> None:
    last = passage.content[-1] if passage.content else None
    after = _own_pause(last) if last else None
    if after is not None and (
        passage.delivery.readings.value > 1
        or passage.delivery.answer_time is not None
        or passage.pause_after_s is not None
    ):
        problems.error(
            after, "this pause stands beside the silence after the reading",
            "take it out, or make the other silence longer", code="silences-adjacent",
        )  # fmt: skip
    answer = passage.delivery.answer_time
    if answer is not None and answer.value is not None and passage.pause_after_s is not None:
        problems.error(
            passage.pause_after_s.place or passage.place,
            "‘answer-time’ and ‘pause-after’ stand on one passage", "keep one",
            code="silences-adjacent",
        )  # fmt: skip


def _own_pause(prose: Prose) -> Place | None:
    if prose.pause_after_s is not None:
        return prose.pause_after_s.place or prose.place
    last = prose.inlines[-1] if prose.inlines else None
    if type(last).__name__ == "Sound" and getattr(last, "pause_after_s", None) is not None:
        return last.place if last else None
    return None


def _check_key(question: Question, problems: Problems) -> None:
    options = [o for o in question.content if isinstance(o, Options)]
    if not options or question.key is None:
        return
    letters = {option.letter for one in options for option in one.options}
    keyed = [part.strip() for part in question.key.text.replace("|", ",").split(",")]
    for letter in keyed:
        if letter not in letters:
            problems.error(
                question.key.place, f"the key ‘{letter}’ is none of the answers to choose",
                "write one of: " + ", ".join(sorted(letters)), code="key-letter",
            )  # fmt: skip


# ---- references -----------------------------------------------------------------------------


def _check_references(script: Script, problems: Problems) -> None:
    numbers = {q.number: q for q in script.questions() if not q.practice}
    for _, _, block in script.blocks():
        if isinstance(block, Passage):
            wanted, what = block.for_questions, "for-questions"
        elif isinstance(block, Again):
            wanted, what = block.questions, "questions"
        else:
            continue
        missing = [n for n in wanted if n not in numbers]
        if missing:
            problems.error(
                block.place, f"‘{what}’ names question {missing[0]}, which the test does not have",
                f"the test has questions 1 to {max(numbers, default=0)}", code="reference",
            )  # fmt: skip
        if isinstance(block, Again):
            for n in wanted:
                if n in numbers and (numbers[n].printed or numbers[n].practice):
                    problems.error(
                        block.place, f"question {n} is printed, so it cannot be read again",
                        "leave it out", code="reference",
                    )  # fmt: skip
    for part, group, block in script.blocks():
        for prose in _proses(block):
            for node in _all_inlines(prose.inlines):
                if type(node).__name__ == "Tone" and node.name not in script.settings.tones:  # type: ignore[union-attr]
                    name = node.name  # type: ignore[union-attr]
                    problems.error(
                        node.place, f"the tone ‘{name}’ is not declared",
                        f"add to the settings: tones: {{{name}: {{frequency: 660 Hz, length: 0.6 s}}}}",
                        code="tone-unknown",
                    )  # fmt: skip
        del part, group


def _proses(block: Block) -> Iterator[Prose]:
    if isinstance(block, Prose):
        yield block
    elif isinstance(block, Passage):
        yield from block.content
    elif isinstance(block, Stop | PageTurn):
        yield from block.cue
    elif isinstance(block, Again):
        yield from block.lead_in
    elif isinstance(block, Dictation):
        yield from (p.prose for p in block.phrases)
    elif isinstance(block, Question):
        yield from _content_proses(block.content)


def _content_proses(content: Sequence[object]) -> Iterator[Prose]:
    for one in content:
        if isinstance(one, Options):
            yield from (o.prose for o in one.options)
        elif isinstance(one, Prose | Passage | Dictation):
            yield from _proses(one)
        elif hasattr(one, "content"):
            yield from _content_proses(one.content)


def _all_inlines(nodes: Sequence[Inline]) -> Iterator[Inline]:
    for node in nodes:
        yield node
        if isinstance(node, Emphasis | Span):
            yield from _all_inlines(node.children)


# ---- statements -----------------------------------------------------------------------------


def _check_statements(script: Script, problems: Problems) -> None:
    for part in script.parts:
        for group in part.groups:
            for block in group.blocks:
                for prose in _proses(block):
                    _check_states(script, part, group, prose, problems)
                if not isinstance(block, Question | Passage | Dictation | Note):
                    for prose in _proses(block):
                        _check_unstated(prose, problems)


def _check_states(
    script: Script, part: Part, group: Group, prose: Prose, problems: Problems
) -> None:
    for node in _all_inlines(prose.inlines):
        if isinstance(node, Span) and node.states is not None:
            words = node.say or plain(node.children)
            _compare(script, part, group, prose, node, words, problems)


def _compare(
    script: Script,
    part: Part,
    group: Group,
    prose: Prose,
    span: Span,
    words: str,
    problems: Problems,
) -> None:
    kind = span.states or ""
    value: Fraction | int | None
    if kind in {"answer-time", "look-time", "test-time"}:
        value = stated.duration_s(words)
    elif kind == "last-reading":
        value = stated.ordinal(words)
    else:
        value = stated.times(words)
    if value is None:
        problems.error(
            span.place, f"‘{words}’ does not say a value that can be compared with {kind}",
            f'write for example [{_EXAMPLES[kind]}]{{states="{kind}"}}', code="states-unreadable",
        )  # fmt: skip
        return
    found = _in_force(script, part, group, prose, kind)
    if not found:
        problems.error(
            span.place, f"nothing here has a {kind} that this could state",
            "take out ‘states’, or move the sentence to the part or group that it is about",
            code="states-nothing",
        )  # fmt: skip
    for actual, place, whose in found:
        if actual != value:
            problems.error(
                span.place,
                f"‘{words}’ is stated, but {whose} has {_shown(kind, actual)}",
                f"write {_shown(kind, actual)}, or change the {kind}", code="states-differ",
                also=(place,),
            )  # fmt: skip
            return


_EXAMPLES = {
    "answer-time": "six seconds",
    "look-time": "thirty seconds",
    "test-time": "forty minutes",
    "readings": "twice",
    "last-reading": "second",
    "questions": "twenty",
}


def _shown(kind: str, value: Fraction | int | None) -> str:
    if value is None:
        return "none"
    if kind in {"answer-time", "look-time", "test-time"}:
        return plain_duration(Fraction(value))
    return decimal(Fraction(value))


_Found = list[tuple["Fraction | int | None", "Place", str]]


def _in_force(script: Script, part: Part, group: Group, prose: Prose, kind: str) -> _Found:
    own = {"answer-time": prose.answer_time, "look-time": prose.look_time_s}.get(kind)
    if own is not None and not isinstance(own.value, ByHand):
        return [(own.value, own.place or prose.place, "this paragraph")]
    if kind == "test-time":
        test_s = script.settings.test_time_s
        place = script.settings.places.get("test-time", prose.place)
        return [] if test_s is None else [(test_s, place, "the test")]
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


def _values(blocks: Sequence[Block], kind: str) -> _Found:
    if kind == "questions":
        questions = [b for b in blocks if isinstance(b, Question)]
        return [(len(questions), questions[0].place, "this part of the test")] if questions else []
    found: _Found = []
    for block in blocks:
        if isinstance(block, Question) and not block.printed:
            delivery, whose = block.delivery, f"question {block.label}"
        elif isinstance(block, Passage):
            delivery, whose = block.delivery, "the passage"
            if kind == "look-time" and block.look_time_s is not None:
                found.append((block.look_time_s.value, block.place, whose))
        else:
            continue
        if kind in {"readings", "last-reading"} and delivery.pattern.value is None:
            found.append((delivery.readings.value, block.place, whose))
        answer = delivery.answer_time
        if kind == "answer-time" and answer is not None and not isinstance(answer.value, ByHand):
            found.append((answer.value, answer.place or block.place, whose))
    return found


def _check_unstated(prose: Prose, problems: Problems) -> None:
    for node in prose.inlines:
        nodes = node.children if isinstance(node, Emphasis) else (node,)
        for text in nodes:
            if not isinstance(text, Text):
                continue
            for what, found in (
                ("a time", stated.durations_in(text.text)),
                ("a number of readings", stated.counts_in(text.text)),
            ):
                for start, end in found:
                    words = text.text[start:end]
                    place = replace(
                        text.place, column=text.place.column + start, length=end - start
                    )
                    kind = "answer-time" if what == "a time" else "readings"
                    problems.warn(
                        place, f"‘{words}’ states {what} that nobody compares with the test",
                        f'write [{words}]{{states="{kind}"}}', code="unstated",
                    )  # fmt: skip


# ---- silences beside each other -------------------------------------------------------------


def _check_neighbours(script: Script, problems: Problems) -> None:
    after: Place | None = None
    for _, _, block in script.blocks():
        if isinstance(block, Note) or (isinstance(block, Question) and block.printed):
            continue
        starts = _starts_silent(block)
        if starts is not None and after is not None:
            problems.error(
                starts, "two declared silences stand side by side",
                "say something between them, or keep one: on the recording they are one gap",
                code="silences-adjacent", also=(after,),
            )  # fmt: skip
        after = _ends_silent(block)


def _starts_silent(block: Block) -> Place | None:
    if isinstance(block, Passage) and block.look_time_s and block.delivery.announce.value is None:
        return block.look_time_s.place or block.place
    return None


def _ends_silent(block: Block) -> Place | None:
    if isinstance(block, Prose):
        for own in (block.look_time_s, block.answer_time, block.pause_after_s):
            if own is not None and own.value is not None:
                return own.place or block.place
        return _own_pause(block)
    if isinstance(block, Question):
        answer = block.delivery.answer_time
        silent = answer is not None and answer.value is not None
        return block.place if silent else None
    if isinstance(block, Passage):
        answer = block.delivery.answer_time
        if (answer is not None and answer.value is not None) or block.pause_after_s is not None:
            return block.place
        return _own_pause(block.content[-1]) if block.content else None
    if isinstance(block, PageTurn | Dictation):
        return block.place
    return None


def _check_ending(script: Script, problems: Problems) -> None:
    blocks = [
        block
        for _, _, block in script.blocks()
        if not isinstance(block, Note) and not (isinstance(block, Question) and block.printed)
    ]
    if not blocks:
        problems.error(
            _start(script), "this script says nothing", "write a paragraph", code="script-empty"
        )
        return
    last = blocks[-1]
    if not isinstance(last, Prose) or _ends_silent(last) is not None:
        problems.error(
            last.place, "the script ends in silence",
            "end it with a spoken sentence, for example: The test is over.", code="ending-silent",
        )  # fmt: skip


def _start(script: Script) -> Place:
    from pausewright.problems import Place as _Place  # noqa: PLC0415  only needed here

    return _Place(script.path, 1, 1)


def _check_captions(script: Script, problems: Problems) -> None:
    settings = script.settings
    if settings.captions == "everything" and not settings.captions_reason:
        problems.error(
            settings.places.get("captions", _start(script)),
            "captions that show everything need a reason",
            "add captions-reason: … to the settings: a test by ear that is shown is another test",
            code="captions-reason",
        )  # fmt: skip
