"""Questions and passages that cannot be as declared: lists, patterns, keys, references."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.script.model import (
    Again,
    Dictation,
    Options,
    Passage,
    Question,
    Script,
    SubQuestion,
    Tone,
)
from pausewright.script.walk import all_inlines, proses

if TYPE_CHECKING:
    from pausewright.problems import Place, Problems
    from pausewright.script.model import Delivery


def check_questions(script: Script, problems: Problems) -> None:
    """Check how each question and passage is read, and the keys."""
    for question in script.questions():
        _check_delivery(question, script, problems)
        _check_key(question, problems)
        _check_dictation_end(question, problems)
    for _, _, block in script.blocks():
        if isinstance(block, Passage):
            _check_list(block.delivery, block.place, "this passage", problems)
            _check_fields(block.delivery, block.place, problems, in_passage=True)
            _check_inner_pauses(block, problems)


def _check_dictation_end(question: Question, problems: Problems) -> None:
    """Refuse a silence at the end of a dictation beside its question's answer time: one gap."""
    last = question.content[-1]
    answer = question.delivery.answer_time
    if question.printed or not isinstance(last, Dictation) or answer is None:
        return
    own = last.answer_time is not None and last.answer_time.value is not None
    if answer.value is not None and (own or last.order[-1] == "phrases"):
        problems.error(
            last.place, "this dictation ends in a silence beside the question's answer time",
            'write answer-time="none" on the question, and the time on the dictation',
            code="silences-adjacent", also=(answer.place or question.place,),
        )  # fmt: skip


def _check_delivery(question: Question, script: Script, problems: Problems) -> None:
    delivery = question.delivery
    _check_list(delivery, question.place, f"question {question.label}", problems)
    if question.printed:
        return
    _check_pattern(delivery, question.place, script, problems)
    if delivery.answer_time is None and not _has_own_times(question):
        problems.error(
            question.place, f"question {question.label} has no answer time",
            'write {answer-time="10 s"} on it, its group or its part (or "none")',
            code="answer-time-missing",
        )  # fmt: skip


def _check_pattern(delivery: Delivery, place: Place, script: Script, problems: Problems) -> None:
    name = delivery.pattern.value
    if name is not None and name not in script.settings.patterns:
        known = ", ".join(script.settings.patterns)
        hint = f"patterns in the settings: {known}" if known else (
            f"add to the settings: patterns: {{{name}: [{{say: …}}]}}"
        )  # fmt: skip
        problems.error(
            delivery.pattern.place or place, f"the pattern ‘{name}’ is not declared", hint,
            code="pattern-unknown",
        )  # fmt: skip


def _has_own_times(question: Question) -> bool:
    return any(isinstance(c, SubQuestion | Dictation) for c in question.content)


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
        for field in ("{number}", "{part}") if in_passage else ():
            if field in text:
                problems.error(
                    announcement.place or place, f"‘{field}’ in a passage's announcement",
                    "a passage has no number and no part; write words, or use {reading}",
                    code="announce-field",
                )  # fmt: skip


def _check_inner_pauses(passage: Passage, problems: Problems) -> None:
    last = passage.content[-1] if passage.content else None
    after = last.own_pause() if last else None
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


def check_references(script: Script, problems: Problems) -> None:
    """Check the question numbers, patterns and tones that are named."""
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
            _check_pattern(block.delivery, block.place, script, problems)
            for n in wanted:
                if n in numbers and (numbers[n].printed or numbers[n].practice):
                    problems.error(
                        block.place, f"question {n} is printed, so it cannot be read again",
                        "leave it out", code="reference",
                    )  # fmt: skip
                elif n in numbers and any(isinstance(c, SubQuestion) for c in numbers[n].content):
                    problems.error(
                        block.place, f"question {n} has sub-questions, so it cannot be read again",
                        "leave it out", code="reference",
                    )  # fmt: skip
    for _, _, block in script.blocks():
        for prose in proses(block):
            for node in all_inlines(prose.inlines):
                if isinstance(node, Tone) and node.name not in script.settings.tones:
                    _unknown_tone(node, problems)


def _unknown_tone(tone: Tone, problems: Problems) -> None:
    spec = "{frequency: 660 Hz, length: 0.6 s}"
    problems.error(
        tone.place,
        f"the tone ‘{tone.name}’ is not declared",
        f"add to the settings: tones: {{{tone.name}: {spec}}}",
        code="tone-unknown",
    )
