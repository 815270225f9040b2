"""What the steps of every construct share: paragraphs, answer times, stops, announcements."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.plan.step_writer import StepWriter
from pausewright.script.declared import ToneSpec
from pausewright.script.model import ByHand
from pausewright.wording.line_elements import ToneCue

if TYPE_CHECKING:
    from pausewright.problems import Place
    from pausewright.script.declared import CaptionPolicy, Settings
    from pausewright.script.model import AnswerTime, Delivery, InForce, Prose
    from pausewright.wording.line_elements import Line
    from pausewright.wording.worded import Worded

CONTINUATION_TONE: Final = ToneSpec(Fraction(520), Fraction(2, 5))
"""Ends a stop's hold."""
HOLD_S: Final = Fraction(20)
"""Silence of a stop that the script does not give a length for."""
CUED_FROM_S: Final = Fraction(30)
"""Answer times longer than this can have a time cue."""
INSTRUCTIONS: Final = ("instructions", "everything")
"""What captions show where they show instructions."""


class SharedSteps:
    """Writes what every construct may have; see `plan.steps`."""

    def __init__(self, worded: Worded) -> None:
        """Begin a track."""
        self._worded = worded
        self._settings: Settings = worded.script.settings
        self._writer = StepWriter(self._settings.sentence_pause_s)
        self._n_stops = 0
        self._ends_question = True
        """Whether an answer time that comes next is that of its question or passage."""

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
        self._mark_stop()
        self._hold(HOLD_S, place)

    def _mark_stop(self) -> None:
        self._n_stops += 1
        self._writer.mark("stop", f"Stop {self._n_stops}")

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
        return self._settings.captions in INSTRUCTIONS

    def _cue(self, cue: tuple[Prose, ...]) -> None:
        for index, prose in enumerate(cue):
            if index:
                self._paragraph_pause()
            captioned = prose.captions in INSTRUCTIONS
            self._writer.line(self._worded.line(prose), "cue", captioned=captioned)
            self._writer.declared("pause", prose.pause_after_s, prose.place)

    def _announce(self, line: Line, captions: CaptionPolicy) -> None:
        """Say what stands before a reading, if anything does."""
        if line:
            self._writer.line(line, "announcement", captioned=captions in INSTRUCTIONS)
            self._writer.pause_by_default(self._settings.announcement_pause_s)

    def _between(self, delivery: Delivery, reading: int) -> None:
        if reading < delivery.readings.value:
            place = delivery.between_readings_s.place
            self._writer.wait("between-readings", delivery.between_s(reading), place)
