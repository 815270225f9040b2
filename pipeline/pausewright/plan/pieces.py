"""A track in pieces: cut in the hold of each stop, so that somebody starts the next one by hand.

Nothing is taken out or added: the pieces, one after another, are the track.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.plan.clock import Clock
from pausewright.plan.timeline import Wait

if TYPE_CHECKING:
    from pausewright.plan.timeline import Timeline

LEAD_S: Final = Fraction(1, 2)
"""Silence with which a piece begins, before the tone that ends the hold: as long as a track's own
lead-in, because some players swallow the first moment (common practice, no source)."""


@frozen
class Piece:
    """A stretch of a track: the half-open range [start_sample, end_sample)."""

    number: int
    """From 1."""
    n_all: int
    start_sample: int
    end_sample: int

    @property
    def mark(self) -> str:
        """What its file name ends with: "2-of-3", "02-of-12", so that names sort in order."""
        return f"{self.number:0{len(str(self.n_all))}d}-of-{self.n_all}"

    @property
    def n_samples(self) -> int:
        """Its length."""
        return self.end_sample - self.start_sample


def pieces(timeline: Timeline) -> tuple[Piece, ...]:
    """Return the pieces of a track; none if it has no stop.

    Each hold is cut 0.5 s before its end, a hold under 1 s in its middle. Rest breaks and answer
    times by hand are stops too.
    """
    clock = Clock(timeline.rate_hz)
    cuts = [
        placed.end_sample - clock.samples(min(LEAD_S, placed.step.wait_s / 2))
        for placed in timeline.placed
        if isinstance(placed.step, Wait) and placed.step.kind == "hold"
    ]
    if not cuts:
        return ()
    return tuple(
        Piece(number, len(cuts) + 1, start, end)
        for number, (start, end) in enumerate(pairwise([0, *cuts, timeline.n_samples]), 1)
    )
