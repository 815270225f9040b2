"""The timeline: what sounds when, in whole samples.

`Step`s say what follows what; a `Timeline` says at which sample. Steps are made from a script
(`plan.steps`), a timeline from steps and the lengths of their sounds.
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Literal, TypeAlias

from pausewright.frozen import frozen
from pausewright.plan.clock import Clock

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from fractions import Fraction

    from pausewright.problems import Place
    from pausewright.script.references import QuestionRef, QuestionSpan
    from pausewright.script.silences import SilenceKind
    from pausewright.wording.line_elements import SoundElement

Role: TypeAlias = Literal["instruction", "announcement", "question", "passage", "cue", "continues"]
"""What words belong to: margin paragraph; question number; question; passage; stop or page turn."""

Questions: TypeAlias = "QuestionRef | QuestionSpan"
"""A question or sub-question, or those that a passage is for."""


MarkKind: TypeAlias = Literal["part", "question", "stop"]


@frozen
class Say:
    """Sound: an utterance, a tone or an excerpt."""

    element: SoundElement
    role: Role
    captioned: bool
    """Whether its words may be shown to candidates."""
    question: Questions | None = None
    """The question that it belongs to."""
    reading: int = 0
    """Which reading of it, from 1."""
    speaker: str = ""
    block: int = field(default=-1, compare=False)
    """Which block of the script brings it about, counted from 0; -1 for what stands between."""


@frozen
class Origin:
    """What a silence belongs to, for sums over silences."""

    part: int = -1
    """Index of its part."""
    gap: int = 0
    """A number of its own; both halves of an answer time with a cue have the same."""
    owner: Place | None = None
    """The question, sub-question, passage or paragraph that declares it."""
    is_practice: bool = False
    ends_question: bool = False
    """Whether it is the answer time of a question, sub-question, passage or dictation."""


@frozen
class Wait:
    """Silence of an exact length."""

    kind: SilenceKind
    wait_s: Fraction
    place: Place | None = None
    question: Questions | None = None
    reading: int = 0
    origin: Origin = field(default=Origin(), compare=False)
    block: int = field(default=-1, compare=False)
    """Which block of the script brings it about, counted from 0; -1 for what stands between."""


@frozen
class Mark:
    """A place to jump to: a chapter."""

    kind: MarkKind
    title: str
    """As candidates may see it: never a need, never content of a question."""
    block: int = field(default=-1, compare=False)
    """Which block of the script brings it about, counted from 0; -1 for what stands between."""


Step: TypeAlias = Say | Wait | Mark


@frozen
class Placed:
    """A step and where it lies: the half-open range [start_sample, end_sample)."""

    step: Step
    start_sample: int
    end_sample: int
    """Equal to `start_sample` for a mark."""


@frozen
class Timeline:
    """All steps of a track, end to end, without holes or overlaps."""

    rate_hz: int
    placed: tuple[Placed, ...]

    @property
    def n_samples(self) -> int:
        """Length of the track."""
        return self.placed[-1].end_sample if self.placed else 0


def timeline(
    steps: Sequence[Step],
    n_sound_samples: Callable[[SoundElement], int],
    rate_hz: int,
) -> Timeline:
    """Lay steps end to end: sounds by their length, waits rounded up to a whole sample.

    `n_sound_samples` gives the length of a sound from its first audible sample to one past its
    last, at `rate_hz`.
    """
    clock = Clock(rate_hz)
    placed = []
    at_sample = 0
    for step in steps:
        if isinstance(step, Say):
            length = n_sound_samples(step.element)
        elif isinstance(step, Wait):
            length = clock.samples(step.wait_s)
        else:
            length = 0
        placed.append(Placed(step, at_sample, at_sample + length))
        at_sample += length
    return Timeline(rate_hz, tuple(placed))
