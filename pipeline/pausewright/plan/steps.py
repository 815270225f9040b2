"""From a worded script to steps: what follows what, and every silence with its exact length.

The rules of silence are stated in docs/script-language.md, section "Silence". The checker
derives its own expectation from the script and never imports this module.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.plan.passage_steps import PassageSteps
from pausewright.plan.shared_steps import INSTRUCTIONS
from pausewright.plan.step_writer import ends_in_pause
from pausewright.script.model import (
    Again,
    Dictation,
    Options,
    PageTurn,
    Passage,
    Prose,
    Question,
    Stop,
    SubQuestion,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.plan.timeline import Step
    from pausewright.script.model import (
        Block,
        Delivery,
        Part,
        QuestionContent,
    )
    from pausewright.wording.worded import Worded


def steps(worded: Worded) -> tuple[Step, ...]:
    """Return the standard track of a script, step by step."""
    return _Planner(worded).steps()


class _Planner(PassageSteps):
    def steps(self) -> tuple[Step, ...]:
        """Return all steps; blocks are counted as they stand, answers read aloud as one more."""
        for index, part in enumerate(self._worded.script.parts):
            self._writer.part, self._writer.is_practice = index, part.practice
            if part.title:
                self._writer.mark("part", part.title)
            for group in part.groups:
                for block in group.blocks:
                    self._writer.block += 1
                    self._block(block, part)
            if part.answers:
                self._writer.block += 1
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

    # ---- at the margin

    def _margin(self, prose: Prose) -> None:
        line = self._worded.line(prose)
        self._writer.line(line, "instruction", captioned=prose.captions in INSTRUCTIONS)
        silent = (
            self._writer.declared("look-time", prose.look_time_s, prose.place)
            or self._answer_time(prose.answer_time, prose.place, cued=False, at_margin=True)
            or self._writer.declared("pause", prose.pause_after_s, prose.place)
        )
        if not silent and not ends_in_pause(line):
            self._paragraph_pause()

    def _stop(self, stop: Stop) -> None:
        self._mark_stop()
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
            captioned = delivery.captions in INSTRUCTIONS
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
            self._announce(announcement, delivery.captions)
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
        self._announce(self._worded.announcement(question, reading), delivery.captions)
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
