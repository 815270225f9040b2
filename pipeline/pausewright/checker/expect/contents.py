"""What is read in readings: the contents of questions, passages and dictations, as runs."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.expect.line_runs import cannot, shows_instructions
from pausewright.checker.expect.runs import Run, ask, joined
from pausewright.script.model import ByHand, Dictation, Options, Passage, Prose

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pausewright.checker.expect.line_runs import Lines
    from pausewright.checker.expect.runs import Belongs
    from pausewright.script.declared import CaptionPolicy
    from pausewright.script.model import Delivery, QuestionContent
    from pausewright.wording.line_elements import Line


class Contents:
    """One reading of a content, and the passages and dictations that have readings of their own."""

    def __init__(self, lines: Lines) -> None:
        """Keep what makes the lines."""
        self._lines = lines
        self._worded = lines.worded

    def announcement(self, line: Line, policy: CaptionPolicy, belongs: Belongs) -> Run:
        """Return what is said before a reading, with the pause after it; nothing for no line."""
        announcement = replace(
            belongs, role="announcement", may_be_shown=shows_instructions(policy)
        )
        run = self._lines.line(line, announcement)
        if not run.sounds:
            return run
        gap = announcement.silence("announcement-pause", self._lines.settings.announcement_pause_s)
        return run.then(ask(gap))

    def reading(
        self,
        content: Iterable[QuestionContent],
        delivery: Delivery,
        belongs: Belongs,
        *,
        is_passage: bool = False,
        is_answer_of_row: bool = False,
    ) -> Run:
        """Return one reading of a content: paragraphs, turns, options and what is inside it.

        Rules 4 and 5: as declared. `is_answer_of_row` tells that an answer time inside stands for
        that of the whole.
        """
        runs: list[Run] = []
        earlier: QuestionContent | None = None
        for item in content:
            if isinstance(item, Options):
                for option in item.options:
                    if earlier is item or earlier is None or not _closes_itself(earlier):
                        gap = belongs.silence("between-options", delivery.between_options_s.value)
                        runs.append(ask(gap))
                    line = self._worded.option(option)
                    runs.append(self._lines.prose(option.prose, belongs, line))
                    earlier = item
                continue
            if earlier is not None and not _closes_itself(earlier):
                is_turn = is_passage and _speaker(earlier) and _speaker(item)
                gap = (
                    belongs.silence("turn-pause", delivery.turn_pause_s.value)
                    if is_turn
                    else belongs.silence("between-paragraphs", delivery.between_paragraphs_s.value)
                )
                runs.append(ask(gap))
            if isinstance(item, Prose):
                runs.append(self._lines.prose(item, belongs))
            elif isinstance(item, Passage):
                runs.append(
                    self.passage(item, belongs, is_inside=True, is_answer_of_row=is_answer_of_row)
                )
            elif isinstance(item, Dictation):
                runs.append(
                    self.dictation(item, belongs, is_inside=True, is_answer_of_row=is_answer_of_row)
                )
            else:
                raise cannot(item.place, type(item).__name__.lower())
            earlier = item
        return joined(runs)

    def passage(
        self,
        passage: Passage,
        first: Belongs,
        *,
        is_inside: bool = False,
        is_answer_of_row: bool = True,
    ) -> Run:
        """Rule 5: all readings of a passage and what it declares after them.

        Inside a question, sounds count as that question's, in its present reading.
        """
        shown = passage.delivery.captions == "everything"
        first = replace(first, role="passage", may_be_shown=shown)
        plan = passage.order or ("whole",) * passage.delivery.readings.value
        runs: list[Run] = []
        n_whole = 0
        for at, item in enumerate(plan, 1):
            belongs = first if is_inside else replace(first, reading=at)
            line = self._worded.announcement(passage, at)
            runs.append(self.announcement(line, passage.delivery.captions, belongs))
            if at == 1 and passage.look_time_s is not None:
                look_s = passage.look_time_s
                place = look_s.place or passage.place
                runs.append(ask(belongs.silence("look-time", look_s.value, place)))
            if item == "pieces":
                for prose in passage.content:
                    runs.append(self._lines.prose(prose, belongs))
                    runs.append(self._lines.wait_by_hand(belongs, prose.place))
                continue
            n_whole += 1
            runs.append(self.reading(passage.content, passage.delivery, belongs, is_passage=True))
            if at < len(plan):
                wait_s = passage.delivery.between_s(n_whole)
                place = passage.delivery.between_readings_s.place or passage.place
                runs.append(ask(belongs.silence("between-readings", wait_s, place)))
        last = first if is_inside else replace(first, reading=len(plan))
        if passage.pause_after_s is not None:
            pause_s = passage.pause_after_s
            place = pause_s.place or passage.place
            runs.append(ask(last.silence("pause", pause_s.value, place)))
        answer = self._lines.answer(
            passage.delivery.answer_time, last, passage.place, is_of_row=is_answer_of_row
        )
        return joined([*runs, answer])

    def dictation(
        self,
        dictation: Dictation,
        first: Belongs,
        *,
        is_inside: bool = False,
        is_answer_of_row: bool = True,
    ) -> Run:
        """Return the items of the dictation's order, and its own answer time."""
        shown = dictation.captions == "everything"
        first = replace(first, role="dictation", may_be_shown=shown)
        own = dictation.answer_time
        ends_itself = own is None or own.value is None
        between_s = dictation.between_readings_s.value
        runs: list[Run] = []
        n_items = len(dictation.order)
        for at, item in enumerate(dictation.order, 1):
            belongs = first if is_inside else replace(first, reading=at)
            if item == "phrases":
                is_last_timed = at == n_items and ends_itself
                runs.append(self._phrases(dictation, belongs, is_last_timed=is_last_timed))
            else:
                for n, line in enumerate(self._worded.dictation_whole(dictation)):
                    runs += [self._lines.default(belongs)] if n else []
                    runs.append(self._lines.line(line, belongs))
            if at < n_items:
                wait_s = between_s[0] if len(between_s) == 1 else between_s[at - 1]
                place = dictation.between_readings_s.place or dictation.place
                runs.append(ask(belongs.silence("between-readings", wait_s, place)))
        last = first if is_inside else replace(first, reading=n_items)
        answer = self._lines.answer(own, last, dictation.place, is_of_row=is_answer_of_row)
        return joined([*runs, answer])

    def _phrases(self, dictation: Dictation, belongs: Belongs, *, is_last_timed: bool) -> Run:
        """Return every phrase in order, each followed by its time, the last one if it is timed."""
        runs: list[Run] = []
        times_s = phrase_times_s(dictation)
        for n, (phrase, time_s) in enumerate(zip(dictation.phrases, times_s, strict=True), 1):
            said = self._lines.line(self._worded.line(phrase.prose), belongs)
            place = phrase.prose.place
            gap = belongs.silence(
                "between-phrase-readings", dictation.between_phrase_readings_s, place
            )
            for reading in range(dictation.phrase_readings):
                runs += [ask(gap)] if reading else []
                runs.append(said)
            if n < len(dictation.phrases) or is_last_timed:
                runs.append(ask(belongs.silence("phrase-time", time_s, place)))
        return joined(runs)


def phrase_times_s(dictation: Dictation) -> tuple[Fraction, ...]:
    """Return the exact silence after each phrase in seconds: its own, or the grown value.

    Phrases with a value of their own take no part in the growing.
    """
    first_s, last_s = dictation.phrase_time_s
    n_grown = sum(phrase.phrase_time_s is None for phrase in dictation.phrases)
    step_s = (last_s - first_s) / (n_grown - 1) if n_grown > 1 else Fraction(0)
    found: list[Fraction] = []
    n_before = 0
    for phrase in dictation.phrases:
        if phrase.phrase_time_s is not None:
            found.append(phrase.phrase_time_s.value)
        else:
            found.append(first_s + step_s * n_before)
            n_before += 1
    return tuple(found)


def _speaker(item: QuestionContent) -> str:
    return (item.speaker or "") if isinstance(item, Prose) else ""


def _closes_itself(item: QuestionContent) -> bool:
    """Return whether an item ends with a wait by hand, after which its own pause stands."""
    answer = None
    if isinstance(item, Passage):
        answer = item.delivery.answer_time
    elif isinstance(item, Dictation):
        answer = item.answer_time
    if answer is not None and answer.value is not None:
        return isinstance(answer.value, ByHand)
    return isinstance(item, Passage) and item.order[-1:] == ("pieces",)
