"""What a track must sound like, as plain values: sounds, silences and rows of the report."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Literal, TypeAlias

from pausewright.checker.limits.times import PROMISED_FROM_S
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from pausewright.checker.result.items import Item
    from pausewright.problems import Place
    from pausewright.script.silences import SilenceKind
    from pausewright.wording.line_elements import SoundElement

Role: TypeAlias = Literal[
    "instruction",
    "announcement",
    "question",
    "passage",
    "dictation",
    "answer",
    "cue",
    "continues",
]
Unit: TypeAlias = "tuple[int, Item | None]"
"""Block and item: an earlier question said again is another unit."""
CONTENT: frozenset[Role] = frozenset({"question", "passage", "dictation"})
"""Roles of what is read in readings."""


@frozen
class ExpectedSound:
    """A sound that the track must have."""

    element: SoundElement
    role: Role
    may_be_shown: bool
    """Whether its words may stand in captions for candidates."""
    block: int
    """Which block of the script it belongs to, counted from 0."""
    question: Item | None = None
    """The question, or the passage or dictation; None for what belongs to none."""
    reading: int = 0
    """Which reading, from 1; 0 outside readings."""
    speaker: str = ""

    @property
    def place(self) -> Place:
        """Where it stands in the script."""
        return self.element.place

    @property
    def unit(self) -> Unit:
        """What it belongs to."""
        return self.block, self.question


@frozen
class ExpectedSilence:
    """A silence that the track must have."""

    kind: SilenceKind
    wait_s: Fraction
    place: Place | None = None
    question: Item | None = None
    reading: int = 0
    block: int = -1
    """Which block of the script it belongs to, counted from 0; −1 at the ends of the track."""
    is_answer_of_row: bool = False
    """Whether it is the answer time in its question's row, or half of it, or the hold for it."""
    lead_s: Fraction = Fraction(0)
    """How much of it is the silence that every track begins with, and so not declared."""

    @property
    def declared_s(self) -> Fraction:
        """How long it is by what is declared."""
        return self.wait_s - self.lead_s

    @property
    def is_promised(self) -> bool:
        """Whether its length on the file is promised, and so judged."""
        return self.wait_s >= PROMISED_FROM_S and self.kind != "run-out"

    @property
    def unit(self) -> Unit:
        """What it belongs to."""
        return self.block, self.question


@frozen
class Row:
    """One question, sub-question, passage or dictation, as the report lists it."""

    block: int
    item: Item
    place: Place
    readings: int
    answer_time_s: Fraction | None
    """None where no answer time is declared, or where the invigilator ends it."""
    is_by_hand: bool = False
    """Whether the invigilator ends the answer time."""

    @property
    def unit(self) -> Unit:
        """What it stands for."""
        return self.block, self.item


@frozen
class Expectation:
    """What a track must sound like: `silences[i]` lies before `sounds[i]`, the last one at the end.

    So there is one more silence than sounds.
    """

    sounds: tuple[ExpectedSound, ...]
    silences: tuple[ExpectedSilence, ...]
    rows: tuple[Row, ...]

    def totals(self) -> dict[SilenceKind, tuple[int, Fraction]]:
        """Return for each kind of silence how many there are and their sum in seconds."""
        found: dict[SilenceKind, tuple[int, Fraction]] = {}
        for silence in self.silences:
            n, total_s = found.get(silence.kind, (0, Fraction(0)))
            found[silence.kind] = (n + 1, total_s + silence.wait_s)
        return found
