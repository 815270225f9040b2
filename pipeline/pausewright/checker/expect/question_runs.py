"""Questions as runs: read, by pattern, in sub-questions, withdrawn, said again, answered aloud."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.checker.expect.expected import Row
from pausewright.checker.expect.line_runs import shows_instructions
from pausewright.checker.expect.runs import Belongs, Run, ask, joined
from pausewright.checker.result.items import Asked
from pausewright.script.model import SubQuestion

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from pausewright.checker.expect.contents import Contents
    from pausewright.checker.expect.line_runs import Lines
    from pausewright.checker.result.items import Item
    from pausewright.problems import Place
    from pausewright.script.model import Again, Delivery, Part, Question, QuestionContent
    from pausewright.wording.line_elements import Line


class Questions:
    """The questions of one script; what is said of each gets a row for the report."""

    def __init__(self, lines: Lines, contents: Contents) -> None:
        """Keep what makes lines and readings."""
        self._lines = lines
        self._contents = contents
        self._worded = lines.worded
        self.rows: list[Row] = []

    def question(self, question: Question, at: int) -> Run:
        """Rule 4: a question with everything that belongs to it; a printed one is silent."""
        if question.printed:
            return Run()
        if question.withdrawn:
            return self._withdrawn(question, at)
        if any(isinstance(item, SubQuestion) for item in question.content):
            return self._with_sub_questions(question, at)
        delivery = question.delivery
        if delivery.pattern.value is not None:
            belongs = _belongs(delivery, at, Asked(question.ref))
            run = self._lines.line(self._worded.pattern(question), belongs)
            return self._closed(run, delivery, belongs, question.place)
        return self._readings(
            question.content,
            delivery,
            _belongs(delivery, at, Asked(question.ref)),
            question.place,
            lambda reading: self._worded.announcement(question, reading),
            self._look(question, _belongs(delivery, at, Asked(question.ref))),
        )

    def _readings(
        self,
        content: Sequence[QuestionContent],
        delivery: Delivery,
        first: Belongs,
        place: Place,
        announcement: Callable[[int], Line],
        look: Run | None = None,
    ) -> Run:
        """Return all readings of a question or sub-question and its answer time, with its row."""
        n_readings = delivery.readings.value
        has_answer_time = delivery.answer_time is not None and (
            delivery.answer_time.value is not None
        )
        runs: list[Run] = []
        belongs = first
        for reading in range(1, n_readings + 1):
            belongs = replace(first, reading=reading)
            line = announcement(reading)
            runs.append(self._contents.announcement(line, delivery.captions, belongs))
            if reading == 1 and look is not None:
                runs.append(look)
            is_last = reading == n_readings
            runs.append(
                self._contents.reading(
                    content,
                    delivery,
                    belongs,
                    is_answer_of_row=is_last and not has_answer_time,
                )
            )
            if not is_last:
                wait_s = delivery.between_s(reading)
                between = delivery.between_readings_s.place or place
                runs.append(ask(belongs.silence("between-readings", wait_s, between)))
        return self._closed(joined(runs), delivery, belongs, place)

    def _closed(self, run: Run, delivery: Delivery, last: Belongs, place: Place) -> Run:
        """Return a question's readings with its answer time, else the default; adds its row."""
        is_cued = delivery.time_cue.value is not None and last.role == "question"
        answer = self._lines.answer(
            delivery.answer_time, last, place, is_of_row=True, is_cued=is_cued
        )
        whole = joined([run, answer, self._lines.default(last)])
        self.rows.append(row_of(whole, last, place, last.reading))
        return whole

    def _with_sub_questions(self, question: Question, at: int) -> Run:
        """Rule 4: announcement and stem once, then each sub-question as a question of its own."""
        delivery = question.delivery
        belongs = _belongs(delivery, at, Asked(question.ref))
        line = self._worded.announcement(question, 1)
        runs = [
            self._contents.announcement(line, delivery.captions, belongs),
            self._look(question, belongs),
        ]
        for items in _stretches(question.content):
            if not isinstance(items, SubQuestion):
                runs.append(self._contents.reading(items, delivery, belongs))
                runs.append(self._lines.default(belongs))
                continue
            if not self.rows or self.rows[-1].block != at:
                self.rows.append(row_of(joined(runs), belongs, question.place, 1))
            runs.append(self._sub_question(question, items, at))
        return joined(runs)

    @staticmethod
    def _look(question: Question, belongs: Belongs) -> Run:
        """Return the look time that an arrangement gives before the words of a question."""
        if question.arranged_look_time_s is None:
            return Run()
        look_s = question.arranged_look_time_s.value
        return ask(belongs.silence("look-time", look_s, question.arranged_look_time_s.place))

    def _sub_question(self, question: Question, sub: SubQuestion, at: int) -> Run:
        return self._readings(
            sub.content,
            sub.delivery,
            _belongs(sub.delivery, at, Asked(question.ref.sub(sub.letter))),
            sub.place,
            lambda reading: self._worded.sub_announcement(question, sub, reading),
        )

    def _withdrawn(self, question: Question, at: int) -> Run:
        """Rule 4: its line once, then its answer time as in force, without a time cue."""
        shown = shows_instructions(question.delivery.captions)
        belongs = Belongs("instruction", shown, at, Asked(question.ref), 1)
        run = self._lines.line(self._worded.withdrawn(question), belongs)
        return self._closed(run, question.delivery, belongs, question.place)

    def again(self, again: Again, at: int, part: Part) -> Run:
        """Return the lead-in, then each named question once more, withdrawn ones left out."""
        belongs = Belongs("instruction", may_be_shown=True, block=at)
        runs = [self._lines.paragraphs(again.lead_in, belongs), self._lines.default(belongs)]
        said = self._worded.script.said_again(again, part)
        runs += [self._once_more(again, question, at) for question in said]
        return joined(runs)

    def _once_more(self, again: Again, question: Question, at: int) -> Run:
        delivery = question.delivery
        belongs = _belongs(delivery, at, Asked(question.ref, "again"))
        run = self._lines.line(self._worded.again_line(again, question), belongs)
        if not run.sounds:
            line = self._worded.announcement(question, 1)
            runs = [self._contents.announcement(line, delivery.captions, belongs)]
            for items in _stretches(question.content):
                if isinstance(items, SubQuestion):
                    line = self._worded.sub_announcement(question, items, 1)
                    policy = items.delivery.captions
                    runs.append(self._contents.announcement(line, policy, belongs))
                    runs.append(self._contents.reading(items.content, items.delivery, belongs))
                else:
                    runs.append(self._contents.reading(items, delivery, belongs))
                runs.append(self._lines.default(belongs))
            run = joined(runs)
        answer = self._lines.answer(
            again.delivery.answer_time, belongs, again.place, is_of_row=True
        )
        whole = joined([run, answer, self._lines.default(belongs)])
        self.rows.append(row_of(whole, belongs, again.place, 1))
        return whole

    def answers(self, at: int) -> Run:
        """Return number and answer of every test question that has a key, in order; never shown."""
        runs: list[Run] = []
        for question in self._worded.script.questions():
            if question.practice or question.key is None:
                continue
            belongs = Belongs("answer", block=at, question=Asked(question.ref, "answer"))
            runs.append(self._lines.line(self._worded.answer(question), belongs))
            runs.append(self._lines.default(belongs))
        return joined(runs)


def row_of(run: Run, belongs: Belongs, place: Place, n_readings: int) -> Row:
    """Return the row of a finished question, passage or dictation: what its run asks for."""
    item = belongs.question
    if item is None:
        raise ValueError("a row is that of a question, passage or dictation")
    silences = [*run.silences, *([run.after] if run.after else [])]
    unit = (belongs.block, item)
    own = [s for s in silences if s.is_answer_of_row and s.unit == unit]
    times_s = [s.wait_s for s in own if s.kind == "answer-time"]
    return Row(
        belongs.block,
        item,
        place,
        n_readings,
        sum(times_s[1:], times_s[0]) if times_s else None,
        is_by_hand=any(s.kind == "hold" for s in own),
    )


def _belongs(delivery: Delivery, at: int, item: Item) -> Belongs:
    shown = delivery.captions == "everything"
    return Belongs("question", shown, at, item, 1)


def _stretches(content: Iterable[QuestionContent]) -> list[SubQuestion | list[QuestionContent]]:
    """Return a content with what stands between sub-questions kept together."""
    found: list[SubQuestion | list[QuestionContent]] = []
    for item in content:
        if isinstance(item, SubQuestion):
            found.append(item)
        elif found and isinstance(found[-1], list):
            found[-1].append(item)
        else:
            found.append([item])
    return found
