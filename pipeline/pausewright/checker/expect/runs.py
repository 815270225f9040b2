"""Runs: sounds with the silences between them, and what is asked for at both ends.

Every piece of a script becomes a run, and runs are joined pair by pair; where two ask for a
silence at the same place, the stronger demand wins. Nothing here knows samples or positions.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import reduce
from typing import TYPE_CHECKING

from pausewright.checker.expect.expected import ExpectedSilence
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pausewright.checker.expect.expected import ExpectedSound, Role
    from pausewright.checker.result.items import Item
    from pausewright.problems import Place
    from pausewright.script.silences import SilenceKind

STRENGTH: dict[SilenceKind, int] = {
    "sentence-pause": 0,
    "paragraph-pause": 0,
    "announcement-pause": 0,
    "between-paragraphs": 1,
    "between-options": 1,
    "turn-pause": 1,
    "pause": 2,
    "look-time": 3,
    "between-readings": 3,
    "answer-time": 3,
    "phrase-time": 3,
    "between-phrase-readings": 3,
    "page-turn-time": 3,
    "hold": 3,
}
"""0: defaults; 1: what parts the paragraphs of a content; 2: the author's pauses; 3: declared."""


@frozen
class Run:
    """Sounds with the silences between them, and what is asked for at both ends."""

    sounds: tuple[ExpectedSound, ...] = ()
    silences: tuple[ExpectedSilence, ...] = ()
    """One fewer than sounds."""
    before: ExpectedSilence | None = None
    after: ExpectedSilence | None = None

    def then(self, other: Run) -> Run:
        """Return this run followed by another."""
        met = _stronger(self.after, other.before)
        if not self.sounds:
            return replace(other, before=_stronger(self.before, met))
        if not other.sounds:
            return replace(self, after=_stronger(met, other.after))
        between = met or ExpectedSilence("sentence-pause", Fraction(0))
        return Run(
            self.sounds + other.sounds,
            (*self.silences, between, *other.silences),
            self.before,
            other.after,
        )


def _stronger(one: ExpectedSilence | None, other: ExpectedSilence | None) -> ExpectedSilence | None:
    """Return the silence that stays when two meet: declared before default, then the longer."""
    if one is None or other is None:
        return one or other
    mine, theirs = STRENGTH[one.kind], STRENGTH[other.kind]
    if mine != theirs:
        return one if mine > theirs else other
    return one if one.wait_s >= other.wait_s else other


def ask(silence: ExpectedSilence | None) -> Run:
    """Return a run without sound that asks for a silence."""
    return Run(before=silence)


def joined(runs: Iterable[Run]) -> Run:
    """Return runs in order as one; built as a balanced tree so that long scripts stay quick."""
    level = list(runs)
    while len(level) > 1:
        level = [reduce(Run.then, level[i : i + 2]) for i in range(0, len(level), 2)]
    return level[0] if level else Run()


@frozen
class Belongs:
    """What the sounds and silences of one line belong to."""

    role: Role
    may_be_shown: bool = False
    block: int = -1
    question: Item | None = None
    reading: int = 0

    def silence(
        self, kind: SilenceKind, wait_s: Fraction | None, place: Place | None = None
    ) -> ExpectedSilence | None:
        """Return a silence here; None if there is no length."""
        if wait_s is None:
            return None
        return ExpectedSilence(kind, wait_s, place, self.question, self.reading, self.block)
