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
from pausewright.script.walk import inlines_of, nested

if TYPE_CHECKING:
    from collections.abc import Sequence
    from fractions import Fraction

    from pausewright.problems import Place, Problems
    from pausewright.script.model import Delivery, InForce, Part


def check_questions(script: Script, problems: Problems) -> None:
    """Check how each question and passage is read, and the keys."""
    for question in script.questions():
        _check_delivery(question, script, problems)
        _check_key(question, problems)
    for _, _, block in script.blocks():
        content = block.content if isinstance(block, Question) else (block,)
        for one in nested(content):
            if isinstance(one, Passage):
                between = one.delivery.between_readings_s
                n_readings = one.order[:-1].count("whole") + 1 if one.order else one.n_readings
                _check_list(between, n_readings, one.place, "this passage", problems)
                _check_announcements(one, problems)
            elif isinstance(one, Dictation):
                between, n_readings = one.between_readings_s, len(one.order)
                _check_list(between, n_readings, one.place, "this dictation", problems)


def _check_delivery(question: Question, script: Script, problems: Problems) -> None:
    delivery = question.delivery
    whose = f"question {question.label}"
    between, n_readings = delivery.between_readings_s, delivery.readings.value
    _check_list(between, n_readings, question.place, whose, problems)
    if question.printed:
        return
    _check_pattern(delivery, question.place, script, problems)
    _check_parts(question, problems)
    subs = [c for c in question.content if isinstance(c, SubQuestion)]
    asked = [(s.delivery, s.place, s.content, f"{whose}{s.letter}") for s in subs]
    if not subs or question.withdrawn:
        asked = [(delivery, question.place, question.content, whose)]
    for own, place, content, name in asked:
        if own.answer_time is None and not any(isinstance(c, Dictation) for c in content):
            hint = 'write {answer-time="10 s"} on it, its group or its part (or "none")'
            problems.error(place, f"{name} has no answer time", hint, code="answer-time-missing")


def _check_parts(question: Question, problems: Problems) -> None:
    """Refuse what a question holds that nobody would ever hear."""
    is_patterned = question.delivery.pattern.value is not None and not question.withdrawn
    for one in question.content:
        what = {SubQuestion: "sub-questions", Passage: "a passage", Dictation: "a dictation"}.get(
            type(one)
        )
        if what is not None and is_patterned:
            message = f"a pattern does not say {what}"
            hint = f'write pattern="none" on question {question.label}'
            problems.error(one.place, message, hint, code="pattern-content")
        if isinstance(one, SubQuestion) and any(isinstance(c, SubQuestion) for c in one.content):
            message = f"sub-question {one.letter} holds sub-questions of its own"
            hint = "indent them like the first one"
            problems.error(one.place, message, hint, code="sub-question-nested")


def _check_pattern(delivery: Delivery, place: Place, script: Script, problems: Problems) -> None:
    name = delivery.pattern.value
    if name is not None and name not in script.settings.patterns:
        known = ", ".join(script.settings.patterns)
        hint = f"add to the settings: patterns: {{{name}: [{{say: …}}]}}"
        hint = f"patterns in the settings: {known}" if known else hint
        message = f"the pattern ‘{name}’ is not declared"
        problems.error(delivery.pattern.place or place, message, hint, code="pattern-unknown")


def _check_list(
    between: InForce[tuple[Fraction, ...]],
    n_readings: int,
    place: Place,
    whose: str,
    problems: Problems,
) -> None:
    values = between.value
    if len(values) > 1 and len(values) != n_readings - 1:
        message = f"{len(values)} silences are given between the {n_readings} readings of {whose}"
        hint = f"give one value, or exactly {max(1, n_readings - 1)}"
        problems.error(between.place or place, message, hint, code="between-readings-count")


def _check_announcements(passage: Passage, problems: Problems) -> None:
    for announcement in (passage.delivery.announce, passage.delivery.again):
        for field in ("{number}", "{part}"):
            if field in (announcement.value or ""):
                place = announcement.place or passage.place
                message = f"‘{field}’ in a passage's announcement"
                hint = "a passage has no number and no part; write words, or use {reading}"
                problems.error(place, message, hint, code="announce-field")


def _check_key(question: Question, problems: Problems) -> None:
    options = [o for o in question.content if isinstance(o, Options)]
    if not options or question.key is None:
        return
    letters = {option.letter for one in options for option in one.options}
    keyed = [part.strip() for part in question.key.text.replace("|", ",").split(",")]
    for letter in keyed:
        if letter not in letters:
            message = f"the key ‘{letter}’ is none of the answers to choose"
            hint = "write one of: " + ", ".join(sorted(letters))
            problems.error(question.key.place, message, hint, code="key-letter")


def check_references(script: Script, problems: Problems) -> None:
    """Check the question numbers, patterns and tones that are named."""
    asked: set[int] = set()
    for part, _, block in script.blocks():
        if isinstance(block, Question):
            asked.add(id(block))
        elif isinstance(block, Passage):
            _numbered(script, part, block.for_questions, "for-questions", block.place, problems)
        elif isinstance(block, Again):
            _check_pattern(block.delivery, block.place, script, problems)
            found = _numbered(script, part, block.questions, "questions", block.place, problems)
            for question in found:
                trouble = _unsaid(question, is_asked=id(question) in asked)
                if trouble:
                    message = f"question {question.number} {trouble}"
                    problems.error(block.place, message, "leave it out", code="reference")
    for _, _, block in script.blocks():
        for node in inlines_of(block):
            if isinstance(node, Tone) and node.name not in script.settings.tones:
                message = f"the tone ‘{node.name}’ is not declared"
                hint = f"{{{node.name}: {{frequency: 660 Hz, length: 0.6 s}}}}"
                hint = f"add to the settings: tones: {hint}"
                problems.error(node.place, message, hint, code="tone-unknown")


def _numbered(
    script: Script, part: Part, wanted: Sequence[int], what: str, place: Place, problems: Problems
) -> list[Question]:
    """Return the questions of these numbers; one that is not there is a problem."""
    numbered = script.numbered(part)
    missing = [n for n in wanted if n not in numbered]
    if missing:
        where = "part" if script.settings.numbering == "by-part" else "test"
        message = f"‘{what}’ names question {missing[0]}, which the {where} does not have"
        hint = f"the {where} has questions 1 to {max(numbered, default=0)}"
        problems.error(place, message, hint, code="reference")
    return [numbered[n] for n in wanted if n in numbered]


def _unsaid(question: Question, *, is_asked: bool) -> str:
    """Return why a question cannot be said again; "" if it can."""
    if question.printed:
        return "is printed, so it cannot be read again"
    if question.withdrawn:
        return ""
    if any(isinstance(c, SubQuestion) for c in question.content):
        return "has sub-questions, so it cannot be read again"
    return "" if is_asked else "comes only after this, so it cannot be read again"
