"""Is a dictation's silence long enough for a hand?

Words × 60 ÷ writing rate, against the silence after a phrase, the silences between its readings
and the readings in which candidates go on writing. Writing rates: about 13 words a minute at the
age of 13 and 20 at 15 to 16 (Children & Family Health Devon, NHS; check value CV-17); phrases of
four to six words are usual (CV-18).
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.script.attributes.values import decimal
from pausewright.script.inlines import plain
from pausewright.script.model import Dictation, Question
from pausewright.script.walk import nested

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.problems import Problems
    from pausewright.script.model import Block, QuestionContent, Script


def check_writing_time(script: Script, problems: Problems) -> None:
    """Warn of each dictation phrase that is too long for the time given to write it."""
    settings = script.settings
    for dictation in _dictations(script):
        if "phrases" not in dictation.order:
            continue
        pace_wpm = settings.pace_wpm * dictation.speech.pace
        for phrase, time_s in zip(dictation.phrases, _times_s(dictation), strict=True):
            n_words = len(plain(phrase.prose.inlines).split())
            again = dictation.phrase_readings - 1
            given_s = time_s + again * (
                dictation.between_phrase_readings_s + Fraction(n_words * 60) / pace_wpm
            )
            needed_s = Fraction(n_words * 60) / settings.writing_rate_wpm
            if needed_s > given_s:
                rate = f"{decimal(settings.writing_rate_wpm, 1)} words a minute"
                message = f"{n_words} words take about {decimal(needed_s, 0)} s to write at {rate}"
                message += f"; {decimal(given_s, 1)} s are there"
                hint = "cut the phrase in two, give it more phrase-time, or set writing-rate"
                problems.warn(phrase.prose.place, message, hint, code="phrase-too-long")


def _times_s(dictation: Dictation) -> list[Fraction]:
    """Return the silence after each phrase, near enough for a warning: grown by its place."""
    first_s, last_s = dictation.phrase_time_s
    n_steps = max(1, len(dictation.phrases) - 1)
    return [
        phrase.phrase_time_s.value
        if phrase.phrase_time_s is not None
        else first_s + (last_s - first_s) * Fraction(index, n_steps)
        for index, phrase in enumerate(dictation.phrases)
    ]


def _dictations(script: Script) -> Iterator[Dictation]:
    for _, _, block in script.blocks():
        if not isinstance(block, Question):
            content: Sequence[Block | QuestionContent] = (block,)
        else:
            content = () if block.printed else block.content
        yield from (one for one in nested(content) if isinstance(one, Dictation))
