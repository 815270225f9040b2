"""Writes the steps: says, waits and marks in order, default pauses put or dropped.

It knows how silences stand beside each other; which ones a script asks for is `plan.steps`.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.plan.timeline import Mark, Origin, Say, Step, Wait
from pausewright.wording.line_elements import AuthorPause, Excerpt

if TYPE_CHECKING:
    from pausewright.plan.timeline import MarkKind, Questions, Role
    from pausewright.problems import Place
    from pausewright.script.model import InForce
    from pausewright.script.silences import SilenceKind
    from pausewright.wording.line_elements import Element, Line

LEAD_IN_S: Final = Fraction(1, 2)
"""Silence before the first word: 0.5 s to 1 s is usual (common practice, no source)."""
RUN_OUT_S: Final = Fraction(1)
"""Silence after the last word: 1 s to 5 s is usual (common practice, no source)."""


class StepWriter:
    """Writes steps; a default pause waits until it is known what follows it."""

    def __init__(self, sentence_pause_s: Fraction) -> None:
        """Begin with the lead-in."""
        self._steps: list[Step] = [Wait("lead-in", LEAD_IN_S)]
        self._marks: list[Mark] = []
        self._default_s: Fraction | None = None
        self._stays = False
        self._sentence_pause_s = sentence_pause_s
        self.question: Questions | None = None
        """The question that what comes next belongs to."""
        self.reading = 0
        self.part = -1
        """Index of the part that what comes next belongs to."""
        self.is_practice = False
        self._n_gaps = 0
        self.block = -1
        """The block that what comes next belongs to."""
        self._default_block = -1

    def finished(self) -> tuple[Step, ...]:
        """Return all steps, with the run-out."""
        self._default_s = None
        self._steps.append(Wait("run-out", RUN_OUT_S))
        return tuple(self._steps)

    def mark(self, kind: MarkKind, title: str) -> None:
        """Put a mark before the next sound or declared silence."""
        self._marks.append(Mark(kind, title, -1 if kind == "part" else self.block))

    def say(self, element: Element, role: Role, *, captioned: bool, speaker: str = "") -> None:
        """Write a sound, with the default pause that was waiting, if nothing silent is before."""
        last = next((s for s in reversed(self._steps) if not isinstance(s, Mark)), None)
        if self._default_s is not None and not isinstance(last, Wait):
            self._steps.append(
                Wait(
                    "default-pause",
                    self._default_s,
                    None,
                    self.question,
                    self.reading,
                    block=self._default_block if self._default_block == self.block else -1,
                )
            )
        self._default_s = None
        self._flush_marks()
        if isinstance(element, AuthorPause):
            raise TypeError("a pause is no sound")
        if isinstance(element, Excerpt):
            element = element.of_reading(self.reading)
        self._steps.append(
            Say(element, role, captioned, self.question, self.reading, speaker, self.block)
        )

    def wait(
        self,
        kind: SilenceKind,
        wait_s: Fraction,
        place: Place | None,
        *,
        owner: Place | None = None,
        ends_question: bool = False,
        goes_on: bool = False,
    ) -> None:
        """Write a declared silence; a default pause before it is dropped.

        `goes_on` tells that it is the second half of the one before.
        """
        self._default_s = None
        self._flush_marks()
        self._n_gaps += not goes_on
        origin = Origin(self.part, self._n_gaps, owner, self.is_practice, ends_question)
        self._steps.append(
            Wait(kind, wait_s, place, self.question, self.reading, origin, self.block)
        )

    def drop_last_wait(self) -> None:
        """Take back the silence that was written last, if that is what was written last."""
        if isinstance(self._steps[-1], Wait):
            self._steps.pop()

    def pause_by_default(self, pause_s: Fraction, *, stays: bool = False) -> None:
        """Put a pause before the next sound, unless a declared silence comes first.

        A later pause takes the place of an earlier one, but not of one that `stays`: the end of a
        stop is the same wherever it stands.
        """
        if not self._stays or self._default_s is None:
            self._default_s = pause_s
            self._default_block = self.block
            self._stays = stays

    def declared(self, kind: SilenceKind, value: InForce[object] | None, place: Place) -> bool:
        """Write a declared silence; say whether there was one."""
        if value is None or not isinstance(value.value, Fraction):
            return False
        self.wait(kind, value.value, value.place or place, owner=place)
        return True

    def line(self, line: Line, role: Role, *, captioned: bool, speaker: str = "") -> None:
        """Write the elements of a line: sentences apart, the author's pauses as they stand."""
        for index, element in enumerate(line):
            if isinstance(element, AuthorPause):
                self.wait("pause", element.pause_s, element.place)
                continue
            if index and not isinstance(line[index - 1], AuthorPause):
                self.pause_by_default(self._sentence_pause_s)
            self.say(element, role, captioned=captioned, speaker=speaker)

    def _flush_marks(self) -> None:
        self._steps += self._marks
        self._marks.clear()


def ends_in_pause(line: Line) -> bool:
    """Say whether a line ends with the author's pause (after a recorded sound)."""
    return bool(line) and isinstance(line[-1], AuthorPause)
