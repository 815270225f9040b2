"""From a worded script to steps: what follows what, and every silence with its exact length.

The rules of silence are stated in docs/script-language.md, section "Silence". The checker
derives its own expectation from the script and never imports this module.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.plan.step_writer import StepWriter, ends_in_pause
from pausewright.script.declared import ToneSpec
from pausewright.script.model import (
    Again,
    ByHand,
    Dictation,
    InForce,
    Options,
    PageTurn,
    Passage,
    Prose,
    Question,
    Stop,
    SubQuestion,
)
from pausewright.script.references import QuestionRef, QuestionSpan
from pausewright.wording.line_elements import ToneCue

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.plan.timeline import Role, Step
    from pausewright.problems import Place
    from pausewright.script.declared import Settings
    from pausewright.script.model import AnswerTime, Block, Delivery, Part, QuestionContent
    from pausewright.wording.worded import Worded

CONTINUATION_TONE: Final = ToneSpec(Fraction(520), Fraction(2, 5))
"""Ends a stop's hold."""
HOLD_S: Final = Fraction(20)
"""Silence of a stop that the script does not give a length for."""
CUED_FROM_S: Final = Fraction(30)
"""Answer times longer than this can have a time cue."""
_INSTRUCTIONS: Final = ("instructions", "everything")


def steps(worded: Worded) -> tuple[Step, ...]:
    """Return the standard track of a script, step by step."""
    return _Planner(worded).steps()


class _Planner:
    def __init__(self, worded: Worded) -> None:
        self._worded = worded
        self._settings: Settings = worded.script.settings
        self._writer = StepWriter(self._settings.sentence_pause_s)
        self._n_stops = 0
        self._ends_question = True
        """Whether an answer time that comes next is that of its question or passage."""

    def steps(self) -> tuple[Step, ...]:
        for index, part in enumerate(self._worded.script.parts):
            self._writer.part, self._writer.is_practice = index, part.practice
            if part.title:
                self._writer.mark("part", part.title)
            for group in part.groups:
                for block in group.blocks:
                    self._block(block, part)
            if part.answers:
                self._answers()
        return self._writer.finished()

    def _block(self, block: Block, part: Part) -> None:
        self._writer.question, self._writer.reading = None, 0
        if isinstance(block, Prose):
            self._margin(block)
        elif isinstance(block, Question) and not block.printed:
            self._ask(block)
        elif isinstance(block, Passage):
            self._passage(block)
        elif isinstance(block, Dictation):
            self._dictation(block, shown=block.captions == "everything")
        elif isinstance(block, Stop):
            self._stop(block)
        elif isinstance(block, Again):
            self._again(block, part)
        elif isinstance(block, PageTurn):
            self._cue(block.cue)
            time_s = block.page_turn_time_s
            self._writer.wait("page-turn-time", time_s.value, time_s.place or block.place)

    # ---- silences that several constructs share

    def _paragraph_pause(self) -> None:
        self._writer.pause_by_default(self._settings.paragraph_pause_s)

    def _answer_time(
        self,
        answer: InForce[AnswerTime] | None,
        place: Place,
        *,
        cued: bool,
        at_margin: bool = False,
    ) -> bool:
        """Write an answer time, by hand or in two halves; say whether there was one."""
        if answer is None or answer.value is None:
            return False
        at, ends = answer.place or place, self._ends_question and not at_margin
        if isinstance(answer.value, ByHand):
            self._wait_by_hand(at)
        elif cued and answer.value > CUED_FROM_S:
            half_s = answer.value / 2
            self._writer.wait("answer-time", half_s, at, owner=place, ends_question=ends)
            self._writer.line(self._worded.time_cue(), "cue", captioned=self._shows_instructions)
            self._writer.wait(
                "answer-time", half_s, at, owner=place, ends_question=ends, goes_on=True
            )
        else:
            self._writer.wait("answer-time", answer.value, at, owner=place, ends_question=ends)
        return True

    def _wait_by_hand(self, place: Place) -> None:
        self._n_stops += 1
        self._writer.mark("stop", f"Stop {self._n_stops}")
        self._hold(HOLD_S, place)

    def _hold(self, hold_s: Fraction, place: Place) -> None:
        """Hold, then the tone and the words with which the recording goes on."""
        self._writer.wait("hold", hold_s, place)
        tone = ToneCue("continuation", CONTINUATION_TONE, place)
        self._writer.say(tone, "continues", captioned=False)
        self._paragraph_pause()
        self._writer.line(self._worded.continues(), "continues", captioned=self._shows_instructions)
        self._writer.pause_by_default(self._settings.paragraph_pause_s, stays=True)

    @property
    def _shows_instructions(self) -> bool:
        return self._settings.captions in _INSTRUCTIONS

    # ---- at the margin

    def _margin(self, prose: Prose) -> None:
        line = self._worded.line(prose)
        self._writer.line(line, "instruction", captioned=prose.captions in _INSTRUCTIONS)
        silent = (
            self._writer.declared("look-time", prose.look_time_s, prose.place)
            or self._answer_time(prose.answer_time, prose.place, cued=False, at_margin=True)
            or self._writer.declared("pause", prose.pause_after_s, prose.place)
        )
        if not silent and not ends_in_pause(line):
            self._paragraph_pause()

    def _cue(self, cue: tuple[Prose, ...]) -> None:
        for index, prose in enumerate(cue):
            if index:
                self._paragraph_pause()
            captioned = prose.captions in _INSTRUCTIONS
            self._writer.line(self._worded.line(prose), "cue", captioned=captioned)
            self._writer.declared("pause", prose.pause_after_s, prose.place)

    def _stop(self, stop: Stop) -> None:
        self._n_stops += 1
        self._writer.mark("stop", f"Stop {self._n_stops}")
        self._cue(stop.cue)
        self._hold(stop.hold_s.value, stop.hold_s.place or stop.place)

    def _answers(self) -> None:
        for question in self._worded.script.questions():
            if question.practice or question.key is None:
                continue
            self._writer.question, self._writer.reading = question.ref, 0
            # heard, never shown: a key is in no caption
            self._writer.line(self._worded.answer(question), "question", captioned=False)
            self._paragraph_pause()

    def _again(self, again: Again, part: Part) -> None:
        self._cue(again.lead_in)
        if again.lead_in:
            self._paragraph_pause()
        for question in self._worded.script.said_again(again, part):
            self._writer.question, self._writer.reading = question.ref, 1
            self._writer.mark("question", f"Question {question.ref} again")
            shown = question.delivery.captions == "everything"
            line = self._worded.again_line(again, question)
            if line:
                self._writer.line(line, "question", captioned=shown)
            else:
                self._read(question, question.content, 1, shown=shown, again=True)
            if not self._answer_time(again.delivery.answer_time, again.place, cued=False):
                self._paragraph_pause()

    # ---- questions

    def _ask(self, question: Question) -> None:
        delivery = question.delivery
        self._writer.question, self._writer.reading = question.ref, 1
        title = str(question.ref) if question.practice else f"Question {question.ref}"
        self._writer.mark("question", title)
        shown = delivery.captions == "everything"
        subs = [c for c in question.content if isinstance(c, SubQuestion)]
        if question.withdrawn:
            captioned = delivery.captions in _INSTRUCTIONS
            self._writer.line(self._worded.withdrawn(question), "announcement", captioned=captioned)
        elif subs:
            self._ask_in_parts(question, shown=shown)
            return
        elif delivery.pattern.value is not None:
            self._writer.line(self._worded.pattern(question), "question", captioned=shown)
        else:
            for reading in range(1, delivery.readings.value + 1):
                self._writer.reading = reading
                self._read(question, question.content, reading, shown=shown)
                self._between(delivery, reading)
        cued = delivery.time_cue.value is not None and not question.withdrawn
        if not self._answer_time(delivery.answer_time, question.place, cued=cued):
            self._paragraph_pause()

    def _between(self, delivery: Delivery, reading: int) -> None:
        if reading < delivery.readings.value:
            place = delivery.between_readings_s.place
            self._writer.wait("between-readings", delivery.between_s(reading), place)

    def _ask_in_parts(self, question: Question, *, shown: bool) -> None:
        """Read what stands before, between and after sub-questions once, and ask those."""
        between: list[QuestionContent] = []
        for one in (*question.content, None):
            if one is not None and not isinstance(one, SubQuestion):
                between.append(one)
                continue
            if between:
                self._writer.question, self._writer.reading = question.ref, 1
                if between[0] is question.content[0]:
                    self._read(question, between, 1, shown=shown)
                else:
                    self._content(between, question.delivery, shown=shown)
                self._paragraph_pause()
                between = []
            if one is not None:
                self._ask_sub(question, one)

    def _ask_sub(self, question: Question, sub: SubQuestion) -> None:
        delivery = sub.delivery
        ref = question.ref.sub(sub.letter)
        self._writer.question = ref
        self._writer.mark("question", f"Question {ref}")
        shown = delivery.captions == "everything"
        for reading in range(1, delivery.readings.value + 1):
            self._writer.reading = reading
            announcement = self._worded.sub_announcement(question, sub, reading)
            if announcement:
                captioned = delivery.captions in _INSTRUCTIONS
                self._writer.line(announcement, "announcement", captioned=captioned)
                self._writer.pause_by_default(self._settings.announcement_pause_s)
            self._content(sub.content, delivery, shown=shown)
            self._between(delivery, reading)
        cued = delivery.time_cue.value is not None
        if not self._answer_time(delivery.answer_time, sub.place, cued=cued):
            self._paragraph_pause()

    def _read(
        self,
        question: Question,
        content: Sequence[QuestionContent],
        reading: int,
        *,
        shown: bool,
        again: bool = False,
    ) -> None:
        """Write one reading; where a question is said `again`, nobody looks at the sheet first."""
        delivery = question.delivery
        announcement = self._worded.announcement(question, reading)
        if announcement:
            captioned = delivery.captions in _INSTRUCTIONS
            self._writer.line(announcement, "announcement", captioned=captioned)
            self._writer.pause_by_default(self._settings.announcement_pause_s)
        if reading == 1 and not again:
            self._writer.declared("look-time", question.arranged_look_time_s, question.place)
        self._content(content, delivery, shown=shown)

    def _content(
        self, content: Sequence[QuestionContent], delivery: Delivery, *, shown: bool
    ) -> None:
        writer = self._writer
        for index, one in enumerate(content):
            if index and not isinstance(one, Options):
                writer.pause_by_default(delivery.between_paragraphs_s.value)
            if isinstance(one, Prose):
                writer.line(self._worded.line(one), "question", captioned=shown)
                writer.declared("pause", one.pause_after_s, one.place)
            elif isinstance(one, Options):
                for option in one.options:
                    writer.pause_by_default(delivery.between_options_s.value)
                    writer.line(self._worded.option(option), "question", captioned=shown)
            elif isinstance(one, Passage | Dictation):
                reading, ends = writer.reading, self._ends_question
                answer = delivery.answer_time
                has_own = answer is not None and answer.value is not None
                self._ends_question = not has_own and reading >= delivery.readings.value
                if isinstance(one, Passage):
                    self._play(one)
                    writer.reading = reading
                else:
                    self._dictation(one, shown=one.captions == "everything")
                self._ends_question = ends

    # ---- passages

    def _label_of(self, numbers: tuple[int, ...]) -> None:
        if not numbers:
            return
        first, last = numbers[0], numbers[-1]
        if first == last:
            self._writer.question = QuestionRef(first)
            self._writer.mark("question", f"Question {first}")
        else:
            self._writer.question = QuestionSpan(first, last)
            self._writer.mark("question", f"Questions {self._writer.question}")

    def _passage(self, passage: Passage) -> None:
        self._label_of(passage.for_questions)
        if not self._play(passage):
            self._paragraph_pause()

    def _play(self, passage: Passage) -> bool:
        """Play all readings of a passage; say whether a silence of its own ends it."""
        delivery = passage.delivery
        if passage.order:
            return self._play_by_plan(passage)
        for reading in range(1, delivery.readings.value + 1):
            self._writer.reading = reading
            self._announce_passage(passage, reading)
            self._hear(passage)
            self._between(delivery, reading)
        return self._end_passage(passage)

    def _announce_passage(self, passage: Passage, reading: int) -> None:
        announcement = self._worded.announcement(passage, reading)
        if announcement:
            captioned = passage.delivery.captions in _INSTRUCTIONS
            self._writer.line(announcement, "announcement", captioned=captioned)
            self._writer.pause_by_default(self._settings.announcement_pause_s)
        if reading == 1:
            self._writer.declared("look-time", passage.look_time_s, passage.place)

    def _play_by_plan(self, passage: Passage) -> bool:
        """Play whole readings and readings in pieces, each piece ended by the invigilator."""
        n_whole = 0
        for reading, item in enumerate(passage.order, start=1):
            self._writer.reading = reading
            self._announce_passage(passage, reading)
            if item == "pieces":
                for prose in passage.content:
                    self._turn(prose, passage)
                    self._wait_by_hand(prose.place)
                continue
            self._hear(passage)
            n_whole += 1
            if reading < len(passage.order):
                place = passage.delivery.between_readings_s.place
                self._writer.wait("between-readings", passage.delivery.between_s(n_whole), place)
        if passage.order[-1] == "pieces":
            self._end_passage(passage)
            return True
        return self._end_passage(passage)

    def _end_passage(self, passage: Passage) -> bool:
        return (
            self._answer_time(passage.delivery.answer_time, passage.place, cued=False)
            or self._writer.declared("pause", passage.pause_after_s, passage.place)
            or ends_in_pause(self._worded.line(passage.content[-1]))
        )

    def _turn(self, prose: Prose, passage: Passage) -> None:
        shown = passage.delivery.captions == "everything"
        role: Role = "passage"
        self._writer.line(
            self._worded.line(prose), role, captioned=shown, speaker=prose.speaker or ""
        )

    def _hear(self, passage: Passage) -> None:
        delivery = passage.delivery
        before: Prose | None = None
        for prose in passage.content:
            if before is not None and not self._paused(before):
                turns = before.speaker is not None and prose.speaker is not None
                pause_s = delivery.turn_pause_s if turns else delivery.between_paragraphs_s
                self._writer.pause_by_default(pause_s.value)
            self._turn(prose, passage)
            last = prose is passage.content[-1]
            if not last or not ends_in_pause(self._worded.line(prose)):
                self._writer.declared("pause", prose.pause_after_s, prose.place)
            before = prose

    def _paused(self, prose: Prose) -> bool:
        return prose.pause_after_s is not None or ends_in_pause(self._worded.line(prose))

    # ---- dictations

    def _dictation(self, dictation: Dictation, *, shown: bool) -> None:
        writer, between = self._writer, dictation.between_readings_s
        for reading, item in enumerate(dictation.order, start=1):
            writer.reading = reading
            if item == "whole":
                for index, line in enumerate(self._worded.dictation_whole(dictation)):
                    if index:
                        self._paragraph_pause()
                    writer.line(line, "question", captioned=shown)
            else:
                self._phrases(dictation, shown=shown)
            if reading < len(dictation.order):
                values = between.value
                wait_s = values[0] if len(values) == 1 else values[min(reading, len(values)) - 1]
                if item == "phrases":
                    writer.replace_last_wait("between-readings", wait_s, between.place)
                else:
                    writer.wait("between-readings", wait_s, between.place)
        answer = dictation.answer_time
        ends_in_phrases = dictation.order[-1] == "phrases"
        if answer is not None and isinstance(answer.value, Fraction) and ends_in_phrases:
            writer.replace_last_wait(
                "answer-time",
                answer.value,
                answer.place or dictation.place,
                owner=dictation.place,
                ends_question=self._ends_question,
            )
        elif answer is not None and isinstance(answer.value, ByHand) and ends_in_phrases:
            writer.drop_last_wait()
            self._wait_by_hand(answer.place or dictation.place)
        elif not self._answer_time(answer, dictation.place, cued=False) and not ends_in_phrases:
            self._paragraph_pause()

    def _phrases(self, dictation: Dictation, *, shown: bool) -> None:
        writer = self._writer
        times_s = phrase_times_s(dictation)
        for phrase, time_s in zip(dictation.phrases, times_s, strict=True):
            line = self._worded.line(phrase.prose)
            for said in range(1, dictation.phrase_readings + 1):
                writer.line(line, "question", captioned=shown)
                if said < dictation.phrase_readings:
                    between_s = dictation.between_phrase_readings_s
                    writer.wait("between-phrase-readings", between_s, dictation.place)
            own = phrase.phrase_time_s
            place = phrase.prose.place
            writer.wait("phrase-time", time_s, (own.place if own else None) or place, owner=place)


def phrase_times_s(dictation: Dictation) -> tuple[Fraction, ...]:
    """Return the silence after each phrase: its own, or one that grows evenly over the others."""
    first_s, last_s = dictation.phrase_time_s
    growing = [p for p in dictation.phrases if p.phrase_time_s is None]
    steps_between = max(1, len(growing) - 1)
    found: list[Fraction] = []
    k = 0
    for phrase in dictation.phrases:
        if phrase.phrase_time_s is not None:
            found.append(phrase.phrase_time_s.value)
        else:
            found.append(first_s + (last_s - first_s) * Fraction(k, steps_between))
            k += 1
    return tuple(found)
