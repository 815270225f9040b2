"""Declared silences that stand side by side: one gap to the ear, which nobody could measure.

Each kind of block is asked in what silence it ends, and in what silence it begins; whatever stands
next to each other, at the margin or inside a question, is compared by that.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.script.model import (
    Again,
    Dictation,
    Note,
    PageTurn,
    Passage,
    Prose,
    Question,
    SubQuestion,
)
from pausewright.script.walk import nested

if TYPE_CHECKING:
    from pausewright.problems import Place, Problems
    from pausewright.script.model import Block, InForce, Part, QuestionContent, Script


_TAKE_OUT: Final = "take it out, or make the other silence longer"


def check_neighbours(script: Script, problems: Problems) -> None:
    """Refuse two declared silences without a sound between them."""
    _Neighbours(script, problems).check()


def ends_silent(block: Block | QuestionContent) -> Place | None:
    """Return where the silence is declared in which a block other than `again` ends."""
    if isinstance(block, Prose):
        for own in (block.look_time_s, block.answer_time, block.pause_after_s):
            if own is not None and own.value is not None:
                is_timed = isinstance(own.value, Fraction)
                return (own.place or block.place) if is_timed else None
        return block.own_pause()
    if isinstance(block, Passage):
        return _passage_ends(block)
    if isinstance(block, Dictation):
        if _is_given(block.answer_time):
            return _timed(block.answer_time, block.place)
        ends_in_phrase = block.phrases and block.order[-1:] == ("phrases",)
        return block.phrases[-1].prose.place if ends_in_phrase else None
    if isinstance(block, Question | SubQuestion):
        return _question_ends(block)
    return block.place if isinstance(block, PageTurn) else None


def _passage_ends(passage: Passage) -> Place | None:
    answer = passage.delivery.answer_time
    if _is_given(answer):
        return _timed(answer, passage.place)
    if passage.pause_after_s is not None:
        return passage.pause_after_s.place or passage.place
    if passage.order[-1:] == ("pieces",) or not passage.content:
        return None
    return passage.content[-1].own_pause()


def _question_ends(question: Question | SubQuestion) -> Place | None:
    content, answer = question.content, question.delivery.answer_time
    is_said = False  # by a pattern or a line of the settings, in place of the content
    if isinstance(question, Question):
        is_said = question.withdrawn or question.delivery.pattern.value is not None
        if not question.withdrawn and any(isinstance(c, SubQuestion) for c in content):
            return ends_silent(content[-1])
    if _is_given(answer):
        return _timed(answer, question.place)
    return None if is_said or not content else ends_silent(content[-1])


def _starts_silent(block: Block | QuestionContent) -> Place | None:
    if isinstance(block, Passage) and block.look_time_s and block.delivery.announce.value is None:
        return block.look_time_s.place or block.place
    return None


def _is_given(answer: InForce[object] | None) -> bool:
    """Say whether there is an answer time: silence, or a wait by hand, which begins with a hold."""
    return answer is not None and answer.value is not None


def _timed(answer: InForce[object] | None, place: Place) -> Place | None:
    """Return the place of what has an answer time in seconds; by hand it ends with a sentence."""
    return place if answer is not None and isinstance(answer.value, Fraction) else None


@frozen
class _Neighbours:
    script: Script
    problems: Problems

    def check(self) -> None:
        after: Place | None = None
        for part, _, block in self.script.blocks():
            if isinstance(block, Note) or (isinstance(block, Question) and block.printed):
                continue
            self._beside(after, _starts_silent(block))
            after = ends_silent(block)
            if isinstance(block, Again):
                after = self._again(block, part)
            for one in _contents(block):
                if isinstance(one, Passage):
                    self._passage(one)
                elif isinstance(one, Dictation):
                    self._dictation(one)
            if isinstance(block, Question):
                self._question(block)

    def _again(self, again: Again, part: Part) -> Place | None:
        """Check what is said again, and return where the silence is declared in which it ends."""
        answer = again.delivery.answer_time
        last = again.lead_in[-1] if again.lead_in else None
        after = ends_silent(last) if last is not None else None
        for question in self.script.said_again(again, part):
            by_pattern = again.delivery.pattern.value or question.delivery.pattern.value
            after = None if by_pattern else ends_silent(question.content[-1])
            if after is not None and _is_given(answer):
                message = (
                    f"question {question.number} ends in a silence beside the answer time here"
                )
                hint = 'write answer-time="none" here, or leave the question out'
                self._refuse(again.place, message, hint, after)
            after = _timed(answer, again.place) if _is_given(answer) else after
        return after

    # ---- inside blocks

    def _question(self, question: Question) -> None:
        if question.withdrawn or question.delivery.pattern.value is not None:
            return
        for one, other in pairwise(question.content):
            self._beside(ends_silent(one), _starts_silent(other))
        subs = [c for c in question.content if isinstance(c, SubQuestion)]
        for sub in subs:
            for one, other in pairwise(sub.content):
                self._beside(ends_silent(one), _starts_silent(other))
            self._last(sub.content[-1], sub)
        if not subs:
            self._last(question.content[-1], question)

    def _last(self, last: QuestionContent, question: Question | SubQuestion) -> None:
        """Refuse a silence at the end of a question's content beside the one that follows."""
        silent = ends_silent(last)
        delivery = question.delivery
        if silent is None or not (_is_given(delivery.answer_time) or delivery.readings.value > 1):
            return
        if isinstance(last, SubQuestion) or (
            isinstance(last, Prose) and isinstance(question, Question)
        ):
            return  # its own check says so
        if isinstance(last, Dictation):
            answer = delivery.answer_time
            also = answer.place if answer is not None and _is_given(answer) else None
            beside = "that between the question's readings"
            beside = "the question's answer time" if _is_given(answer) else beside
            message = f"this dictation ends in a silence beside {beside}"
            hint = 'write answer-time="none" and readings="1" on the question, and the time on the '
            self._refuse(last.place, message, f"{hint}dictation", also or question.place)
            return
        message = "this pause stands beside the silence after the reading"
        if isinstance(last, Passage):
            message = "this passage ends in a silence beside the one after the reading"
        self._refuse(silent, message, _TAKE_OUT, question.place)

    def _passage(self, passage: Passage) -> None:
        answer = passage.delivery.answer_time
        if _is_given(answer) and passage.pause_after_s is not None:
            message = "‘answer-time’ and ‘pause-after’ stand on one passage"
            self._refuse(passage.pause_after_s.place or passage.place, message, "keep one")
        in_pieces = "pieces" in passage.order
        followed = passage.n_readings > 1 or answer is not None
        followed = followed or passage.pause_after_s is not None
        for prose in passage.content if in_pieces else passage.content[-1:]:
            after = prose.own_pause()
            if after is None or not (followed or in_pieces):
                continue
            what = "wait after the piece" if in_pieces else "silence after the reading"
            self._refuse(after, f"this pause stands beside the {what}", _TAKE_OUT)

    def _dictation(self, dictation: Dictation) -> None:
        for phrase in dictation.phrases:
            after = phrase.prose.own_pause()
            if after is not None:
                message = "this pause stands beside the phrase time"
                self._refuse(after, message, "make the phrase time longer")

    def _beside(self, after: Place | None, starts: Place | None) -> None:
        if starts is not None and after is not None:
            hint = "say something between them, or keep one: on the track they are one silence"
            self._refuse(starts, "two declared silences stand side by side", hint, after)

    def _refuse(self, place: Place, message: str, hint: str, also: Place | None = None) -> None:
        self.problems.error(
            place, message, hint, code="silences-adjacent", also=(also,) if also else ()
        )


def _contents(block: Block) -> list[Block | QuestionContent]:
    is_read = isinstance(block, Question) and not block.withdrawn
    return [block, *(nested(block.content) if is_read and isinstance(block, Question) else ())]
