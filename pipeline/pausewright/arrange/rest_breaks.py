"""Rest breaks: stops that an arrangement puts after questions; they are not test time."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.arrange.arrangement import FixedTime, Share
from pausewright.arrange.new_blocks import with_new_blocks
from pausewright.script.inlines import plain
from pausewright.script.model import (
    Dictation,
    InForce,
    Note,
    Passage,
    Prose,
    Question,
    Speech,
    Stop,
    SubQuestion,
    Text,
)
from pausewright.script.walk import proses

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.problems import Place, Problems
    from pausewright.script.model import Block, Delivery, Script

HOLD_S: Final = Fraction(20)
WORDS: Final = "There is a break now. Leave your sheet as it is."
"""Said before a rest break, in English scripts that do not word it."""
_WITHDRAWN_WORDS: Final = 10
_SURE: Final = Fraction(11, 10)
"""Voices are calibrated to 3 %, and pauses inside speech are not counted: stay on the safe side."""


def insert_breaks(script: Script, arrangement: Arrangement, problems: Problems) -> Script:
    """Return the script with a stop after each question that ends in a rest break."""
    declared = arrangement.rest_breaks
    if declared is None:
        return script
    place = arrangement.place_of("rest-breaks", script.path)
    words = declared.words
    if not words and not script.settings.language.startswith("en"):
        problems.error(
            place,
            "there are no words for the break in the script's language",
            'add them: rest-breaks: {words: "…"}',
            code="arrangement-impossible",
        )
        return script
    asked = {q.number: q for q in script.questions() if not q.practice}
    if declared.every_s is not None:
        after = _last_ends(script, arrangement, declared.every_s)
    else:
        after = {asked[n].place for n in declared.after_questions if n in asked}
        for number in declared.after_questions:
            if number not in asked or asked[number].printed:
                problems.error(
                    place,
                    f"there is no spoken question {number} after which a break could be",
                    "name a question that is read aloud",
                    code="arrangement-impossible",
                )
    if script.settings.numbering == "by-part" and declared.after_questions:
        problems.error(
            place,
            "question numbers begin again in each part, so this is not clear",
            "use rest-breaks: {every: …}",
            code="arrangement-impossible",
        )
    stop = _stop(script, words or WORDS, place)

    def around(block: Block) -> tuple[Block, ...]:
        ends = not isinstance(block, Note) and block.place in after
        return (block, stop) if ends else (block,)

    return with_new_blocks(script, around)


def _stop(script: Script, words: str, place: Place) -> Stop:
    settings = script.settings
    speech = Speech(settings.voice, settings.language, Fraction(1), 1)
    cue = Prose((Text(words, place),), speech, settings.captions, place)
    return Stop((cue,), InForce(HOLD_S, place, "arrangement"), rest=True, place=place)


def _last_ends(script: Script, arrangement: Arrangement, every_s: Fraction) -> set[Place]:
    """Return the questions that end last before each `every_s` is over.

    What a question takes is reckoned from the script alone: its words at the script's pace, its
    silences with the extra time that may be added to them, and a tenth more.
    """
    extra, pace = arrangement.extra_time, arrangement.arranged_pace
    amount = None if extra is None else extra.amount
    share = amount.of_base if isinstance(amount, Share) else Fraction(0)
    found: set[Place] = set()
    since_s = Fraction(0)
    last: Place | None = None
    for block in _blocks(script):
        length_s = _block_s(script, block, share, pace)
        if isinstance(block, Stop):
            since_s, last = Fraction(0), None
            continue
        if since_s + length_s > every_s and last is not None:
            found.add(last)
            since_s, last = Fraction(0), None
        since_s += length_s
        ends = isinstance(block, Passage) or (isinstance(block, Question) and not block.printed)
        if ends and not (isinstance(block, Question) and block.practice):
            last = block.place
    if last is not None and since_s + _piece_s(script, arrangement) > every_s:
        found.add(last)
    return found


def _piece_s(script: Script, arrangement: Arrangement) -> Fraction:
    """Return how long extra time in one piece can be at most; it comes at the end."""
    extra = arrangement.extra_time
    if extra is None or extra.where == "each-gap":
        return Fraction(0)
    if isinstance(extra.amount, FixedTime):
        return extra.amount.time_s
    blocks = list(_blocks(script))
    listed_s = sum((_block_s(script, one, Fraction(0), Fraction(2)) for one in blocks), Fraction(0))
    return extra.amount.of_base * max(script.settings.test_time_s or Fraction(0), listed_s)


def _blocks(script: Script) -> Iterator[Block]:
    for _, _, block in script.blocks():
        yield block


def _block_s(script: Script, block: Block, share: Fraction, pace: Fraction) -> Fraction:
    if isinstance(block, Note) or (isinstance(block, Question) and block.printed):
        return Fraction(0)
    settings = script.settings
    words_s = silent_s = Fraction(0)
    n_readings = 1
    if isinstance(block, Question) and block.withdrawn:  # a sentence, and its time
        time = block.delivery.answer_time
        waited_s = time.value if time is not None and isinstance(time.value, Fraction) else silent_s
        words_s = Fraction(60 * _WITHDRAWN_WORDS) / (settings.pace_wpm * pace)
        return _SURE * (words_s + waited_s * (1 + share))
    for delivery in _deliveries(block):
        answer = delivery.answer_time
        if answer is not None and isinstance(answer.value, Fraction):
            silent_s += answer.value
        between = [delivery.between_s(n) for n in range(1, delivery.readings.value)]
        silent_s += sum(between, Fraction(0))
        n_readings = max(n_readings, delivery.readings.value)
    for prose in proses(block):
        n_words = len(plain(prose.inlines).split()) + 3
        pace_wpm = settings.pace_wpm * prose.speech.pace * pace
        words_s += Fraction(60 * n_words) / pace_wpm + settings.paragraph_pause_s
        for own in (prose.look_time_s, prose.pause_after_s, prose.answer_time):
            if own is not None and isinstance(own.value, Fraction):
                silent_s += own.value
    if isinstance(block, Question) and block.arranged_look_time_s is not None:
        silent_s += block.arranged_look_time_s.value
    if isinstance(block, Dictation):
        n_said = len(block.phrases) * block.phrase_readings
        silent_s += max(block.phrase_time_s) * n_said + sum(block.between_readings_s.value)
        n_readings = len(block.order) + block.phrase_readings
        if block.answer_time is not None and isinstance(block.answer_time.value, Fraction):
            silent_s += block.answer_time.value
    return _SURE * (words_s * n_readings + silent_s * (1 + share))


def _deliveries(block: Block) -> Iterator[Delivery]:
    if isinstance(block, Question | Passage):
        yield block.delivery
    if isinstance(block, Question):
        for item in block.content:
            if isinstance(item, SubQuestion | Passage):
                yield item.delivery
