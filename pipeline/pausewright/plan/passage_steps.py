"""Steps of passages and dictations: whole readings, readings in pieces, phrases."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.plan.shared_steps import SharedSteps
from pausewright.plan.step_writer import ends_in_pause
from pausewright.script.model import ByHand
from pausewright.script.references import QuestionRef, QuestionSpan

if TYPE_CHECKING:
    from pausewright.script.model import Dictation, Passage, Prose


class PassageSteps(SharedSteps):
    """Writes the readings of passages and dictations; see `plan.steps`."""

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
        self._announce(announcement, passage.delivery.captions)
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
        return self._end_passage(passage) or passage.order[-1] == "pieces"

    def _end_passage(self, passage: Passage) -> bool:
        return (
            self._answer_time(passage.delivery.answer_time, passage.place, cued=False)
            or self._writer.declared("pause", passage.pause_after_s, passage.place)
            or ends_in_pause(self._worded.line(passage.content[-1]))
        )

    def _turn(self, prose: Prose, passage: Passage) -> None:
        shown = passage.delivery.captions == "everything"
        line, speaker = self._worded.line(prose), prose.speaker or ""
        self._writer.line(line, "passage", captioned=shown, speaker=speaker)

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
                    writer.drop_last_wait()
                writer.wait("between-readings", wait_s, between.place)
        answer = dictation.answer_time
        ends_in_phrases = dictation.order[-1] == "phrases"
        if answer is not None and isinstance(answer.value, Fraction) and ends_in_phrases:
            writer.drop_last_wait()
            writer.wait(
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
