"""From a worded script to steps: what follows what, and every silence with its exact length.

The rules of silence are stated in docs/script-language.md, section "Silence". The checker
derives its own expectation from the script and never imports this module.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from pausewright.plan.timeline import Mark, Say, Step, Wait
from pausewright.script.model import (
    ByHand,
    InForce,
    Options,
    PageTurn,
    Passage,
    Prose,
    Question,
    Stop,
    ToneSpec,
)
from pausewright.wording.pieces import AuthorPause, ToneCue

if TYPE_CHECKING:
    from pausewright.plan.timeline import Role, SilenceKind
    from pausewright.problems import Place
    from pausewright.script.model import Block, Settings
    from pausewright.wording.pieces import Line, Piece
    from pausewright.wording.worded import Worded

LEAD_IN_S: Final = Fraction(1, 2)
"""Silence before the first word: 0.5 s to 1 s is usual (common practice, no source)."""
RUN_OUT_S: Final = Fraction(1)
"""Silence after the last word: 1 s to 5 s is usual (common practice, no source)."""
CONTINUATION_TONE: Final = ToneSpec(Fraction(520), Fraction(2, 5))
"""Ends a stop's hold."""
_INSTRUCTIONS: Final = ("instructions", "everything")


def steps(worded: Worded) -> tuple[Step, ...]:
    """Return the standard track of a script, step by step."""
    planner = _Planner(worded)
    return planner.steps()


class _Planner:
    def __init__(self, worded: Worded) -> None:
        self._worded = worded
        self._settings: Settings = worded.script.settings
        self._steps: list[Step] = []
        self._marks: list[Mark] = []
        self._default_s: Fraction | None = None
        self._question = ""
        self._reading = 0
        self._n_stops = 0

    def steps(self) -> tuple[Step, ...]:
        self._steps.append(Wait("lead-in", LEAD_IN_S))
        part_at: object = None
        for part, _, block in self._worded.script.blocks():
            if part is not part_at and part.title:
                self._marks.append(Mark("part", part.title))
            part_at = part
            self._block(block)
        self._default_s = None
        self._steps.append(Wait("run-out", RUN_OUT_S))
        return tuple(self._steps)

    def _block(self, block: Block) -> None:
        self._question, self._reading = "", 0
        if isinstance(block, Prose):
            self._margin(block)
        elif isinstance(block, Question) and not block.printed:
            self._ask(block)
        elif isinstance(block, Passage):
            self._passage(block)
        elif isinstance(block, Stop):
            self._stop(block)
        elif isinstance(block, PageTurn):
            self._cue(block.cue)
            time_s = block.page_turn_time_s
            self._wait("page-turn-time", time_s.value, time_s.place or block.place)

    # ---- emitting

    def _say(self, piece: Piece, role: Role, *, captioned: bool, speaker: str = "") -> None:
        last = next((s for s in reversed(self._steps) if not isinstance(s, Mark)), None)
        if self._default_s is not None and not isinstance(last, Wait):
            self._steps.append(
                Wait("default-pause", self._default_s, None, self._question, self._reading)
            )
        self._default_s = None
        self._flush_marks()
        if isinstance(piece, AuthorPause):
            raise TypeError("a pause is no sound")
        self._steps.append(Say(piece, role, captioned, self._question, self._reading, speaker))

    def _wait(self, kind: SilenceKind, wait_s: Fraction, place: Place | None) -> None:
        self._default_s = None
        self._flush_marks()
        self._steps.append(Wait(kind, wait_s, place, self._question, self._reading))

    def _pause_by_default(self, pause_s: Fraction) -> None:
        """Put a pause before the next sound, unless a declared silence comes first."""
        self._default_s = pause_s

    def _flush_marks(self) -> None:
        self._steps += self._marks
        self._marks.clear()

    def _line(self, line: Line, role: Role, *, captioned: bool, speaker: str = "") -> None:
        for index, piece in enumerate(line):
            if isinstance(piece, AuthorPause):
                self._wait("pause", piece.pause_s, piece.place)
                continue
            if index and not isinstance(line[index - 1], AuthorPause):
                self._pause_by_default(self._settings.sentence_pause_s)
            self._say(piece, role, captioned=captioned, speaker=speaker)

    # ---- blocks

    def _after(
        self,
        kind: SilenceKind,
        declared: InForce[Any] | None,
        place: Place,
    ) -> bool:
        """Lay a declared silence; say whether there was one."""
        if declared is None or not isinstance(declared.value, Fraction):
            return False
        self._wait(kind, declared.value, declared.place or place)
        return True

    def _margin(self, prose: Prose) -> None:
        self._line(
            self._worded.line(prose), "instruction", captioned=prose.captions in _INSTRUCTIONS
        )
        silent = (
            self._after("look-time", prose.look_time_s, prose.place)
            or self._after("answer-time", prose.answer_time, prose.place)
            or self._after("pause", prose.pause_after_s, prose.place)
        )
        if not silent and not self._ends_in_pause(self._worded.line(prose)):
            self._pause_by_default(self._settings.paragraph_pause_s)

    @staticmethod
    def _ends_in_pause(line: Line) -> bool:
        return bool(line) and isinstance(line[-1], AuthorPause)

    def _ask(self, question: Question) -> None:
        delivery = question.delivery
        self._question = question.label
        practice = question.practice
        self._marks.append(
            Mark("question", question.label if practice else f"Question {question.label}")
        )
        shown = delivery.captions == "everything"
        if delivery.pattern.value is not None:
            self._reading = 1
            self._line(self._worded.pattern(question), "question", captioned=shown)
        else:
            for reading in range(1, delivery.readings.value + 1):
                self._reading = reading
                self._read(question, reading, shown=shown)
                if reading < delivery.readings.value:
                    self._wait(
                        "between-readings",
                        delivery.between_s(reading),
                        delivery.between_readings_s.place,
                    )
        answer = delivery.answer_time
        if isinstance(answer, InForce) and isinstance(answer.value, ByHand):
            raise TypeError("an answer time by hand is not planned here")
        if not self._after("answer-time", answer, question.place):
            self._pause_by_default(self._settings.paragraph_pause_s)

    def _read(self, question: Question, reading: int, *, shown: bool) -> None:
        delivery = question.delivery
        announcement = self._worded.announcement(question, reading)
        if announcement:
            captioned = delivery.captions in _INSTRUCTIONS
            self._line(announcement, "announcement", captioned=captioned)
            self._pause_by_default(self._settings.announcement_pause_s)
        for index, content in enumerate(question.content):
            if isinstance(content, Prose):
                if index:
                    self._pause_by_default(delivery.between_paragraphs_s.value)
                self._line(self._worded.line(content), "question", captioned=shown)
                self._after("pause", content.pause_after_s, content.place)
            elif isinstance(content, Options):
                for option in content.options:
                    self._pause_by_default(delivery.between_options_s.value)
                    self._line(self._worded.option(option), "question", captioned=shown)

    def _passage(self, passage: Passage) -> None:
        delivery = passage.delivery
        if passage.for_questions:
            first, last = passage.for_questions[0], passage.for_questions[-1]
            title = f"Question {first}" if first == last else f"Questions {first}–{last}"
            self._marks.append(Mark("question", title))
            self._question = str(first) if first == last else f"{first}–{last}"
        shown = delivery.captions == "everything"
        for reading in range(1, delivery.readings.value + 1):
            self._reading = reading
            announcement = self._worded.announcement(passage, reading)
            if announcement:
                captioned = delivery.captions in _INSTRUCTIONS
                self._line(announcement, "announcement", captioned=captioned)
                self._pause_by_default(self._settings.announcement_pause_s)
            if reading == 1:
                self._after("look-time", passage.look_time_s, passage.place)
            self._hear(passage, shown=shown)
            if reading < delivery.readings.value:
                place = delivery.between_readings_s.place
                self._wait("between-readings", delivery.between_s(reading), place)
        silent = self._after("answer-time", delivery.answer_time, passage.place) or self._after(
            "pause", passage.pause_after_s, passage.place
        )
        if not silent and not self._ends_in_pause(self._worded.line(passage.content[-1])):
            self._pause_by_default(self._settings.paragraph_pause_s)

    def _hear(self, passage: Passage, *, shown: bool) -> None:
        delivery = passage.delivery
        before: Prose | None = None
        for prose in passage.content:
            if before is not None:
                turns = before.speaker is not None and prose.speaker is not None
                pause_s = delivery.turn_pause_s if turns else delivery.between_paragraphs_s
                if before.pause_after_s is None and not self._ends_in_pause(
                    self._worded.line(before)
                ):
                    self._pause_by_default(pause_s.value)
            line = self._worded.line(prose)
            self._line(line, "passage", captioned=shown, speaker=prose.speaker or "")
            last = prose is passage.content[-1]
            if not last or not self._ends_in_pause(line):
                self._after("pause", prose.pause_after_s, prose.place)
            before = prose

    def _cue(self, cue: tuple[Prose, ...]) -> None:
        for index, prose in enumerate(cue):
            if index:
                self._pause_by_default(self._settings.paragraph_pause_s)
            captioned = prose.captions in _INSTRUCTIONS
            self._line(self._worded.line(prose), "cue", captioned=captioned)
            self._after("pause", prose.pause_after_s, prose.place)

    def _stop(self, stop: Stop) -> None:
        self._n_stops += 1
        self._marks.append(Mark("stop", f"Stop {self._n_stops}"))
        self._cue(stop.cue)
        self._wait("hold", stop.hold_s.value, stop.hold_s.place or stop.place)
        self._say(
            ToneCue("continuation", CONTINUATION_TONE, stop.place), "continues", captioned=False
        )
        self._pause_by_default(self._settings.paragraph_pause_s)
        captioned = self._settings.captions in _INSTRUCTIONS
        self._line(self._worded.continues(), "continues", captioned=captioned)
        self._pause_by_default(self._settings.paragraph_pause_s)
