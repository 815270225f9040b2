"""What is said of a script, and what is in force for its questions, as the cards show it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.desk.messages import Given, Said
from pausewright.script.attributes.values import plain_duration
from pausewright.script.model import ByHand, Question
from pausewright.shown_text import one_line
from pausewright.wording.line_elements import Utterance
from pausewright.wording.table import Row

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.script.model import InForce, Script
    from pausewright.wording.worded import Worded


def sentences(worded: Worded, script: Path) -> tuple[Said, ...]:
    """Return the sentences of the script's own file that are said otherwise than they stand."""
    found: dict[Said, None] = {}
    for one in worded.all_elements():
        if not isinstance(one, Utterance) or one.place.file != script:
            continue
        row = Row(one, 1)
        if row.is_changed:
            shown = "" if one.shown == one.written else one_line(one.shown)
            said = Said(one.place.line, one_line(one.written), one_line(row.spoken), shown)
            found[said] = None
    return tuple(found)


def in_force(script: Script) -> tuple[Given, ...]:
    """Return for each question of the script's own file what is in force."""
    by_part = script.settings.numbering == "by-part"
    return tuple(
        Given(one.place.line, _what(one, by_part=by_part), _values(one))
        for one in script.questions()
        if one.place.file == script.path
    )


def _what(question: Question, *, by_part: bool) -> str:
    if by_part:
        return f"line:{question.place.line}"
    return f"practice:{question.number}" if question.practice else str(question.number)


def _values(question: Question) -> dict[str, str]:
    own = question.delivery
    found = {"readings": _told(str(own.readings.value), own.readings)}
    if own.readings.value > 1:
        times = ", ".join(plain_duration(one) for one in own.between_readings_s.value)
        found["between-readings"] = _told(times, own.between_readings_s)
    if own.answer_time is not None:
        value = own.answer_time.value
        time = (
            "by hand" if isinstance(value, ByHand) else plain_duration(value) if value else "none"
        )
        found["answer-time"] = _told(time, own.answer_time)
    for name, given in (("announce", own.announce), ("again", own.again)):
        if given.value:
            found[name] = _told(str(given.value), given)
    return {name: one_line(value) for name, value in found.items()}


def _told(value: str, given: InForce[object]) -> str:
    origins = {"default": "usual", "settings": "whole test"}
    return f"{value} ({origins.get(given.origin, given.origin)})"
