"""Words cut out of utterances at their edges or said twice: nothing but the length tells."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np
from pausewright.plan.timeline import Say

from support.spoiling.spoil import Spoiled, UnfitError, cut, plain, put

if TYPE_CHECKING:
    from pausewright.plan.timeline import Placed

    from support.spoiling.spoil import Dice
    from support.spoiling.tracks import GoodTrack

Where: TypeAlias = Literal["first", "last", "any"]
LEAST_S = 0.4
"""Less than this, and at the same time less than `LEAST_SHARE`, is not promised to be found."""
LEAST_SHARE = 0.35
LEAST_MORE_S = 0.75
"""Words that are said twice and last less are not promised to be found."""
LEAST_MORE_SHARE = 0.75
"""Nor are those that make an utterance longer by less than this part of it."""


@dataclass(frozen=True)
class WordCut:
    """A run of words that is cut out of one utterance."""

    placed: Placed
    start: int
    end: int
    """Half-open range of the track's samples."""
    n_words: int
    n_all: int

    @property
    def share(self) -> float:
        """Which part of the utterance's length is cut."""
        whole = self.placed.end_sample - self.placed.start_sample
        return (self.end - self.start) / whole


def word_cuts(track: GoodTrack, placed: Placed, where: Where = "any") -> list[WordCut]:
    """Return every run of words that can be cut out of an utterance; never all of them.

    A run ends where the next word begins; at the end of the utterance it goes to its end.
    """
    step = placed.step
    assert isinstance(step, Say)
    times = track.words.get(step.element, ())
    starts = [placed.start_sample + start for _, start, _ in times]
    starts = [max(placed.start_sample, min(at, placed.end_sample)) for at in starts]
    if len(starts) < 2:
        return []
    starts[0] = placed.start_sample
    edges = [*starts, placed.end_sample]
    n = len(starts)
    runs = {
        "first": [(0, j) for j in range(1, n)],
        "last": [(i, n) for i in range(1, n)],
        "any": [(i, j) for i in range(n) for j in range(i + 1, n + 1) if j - i < n],
    }[where]
    return [WordCut(placed, edges[i], edges[j], j - i, n) for i, j in runs]


def lost_words(
    track: GoodTrack,
    dice: Dice,
    size: float,
    *,
    roles: tuple[str, ...],
    where: Where = "any",
    in_all_readings: bool = False,
) -> Spoiled:
    """Cut the run of words that is nearest to the share `size`, but not less, out of an utterance.

    Never less than `LEAST_S`. With `in_all_readings` out of every place where the same is said.
    """
    fitting = [
        one
        for placed in track.says(*roles)
        for one in word_cuts(track, placed, where)
        if one.share >= size and one.end - one.start >= LEAST_S * track.rate_hz
    ]
    if not fitting:
        raise UnfitError
    least: dict[int, WordCut] = {}
    for one in fitting:
        known = least.get(one.placed.start_sample)
        if known is None or one.share < known.share:
            least[one.placed.start_sample] = one
    chosen = list(least.values())[int(dice.integers(len(least)))]
    wave, at = track.wave, chosen.placed.start_sample
    ranges = [(chosen.start, chosen.end)]
    if in_all_readings:
        ranges = [
            (p.start_sample + chosen.start - at, p.start_sample + chosen.end - at)
            for p in track.says(*roles)
            if isinstance(p.step, Say)
            and isinstance(chosen.placed.step, Say)
            and p.step.element == chosen.placed.step.element
        ]
    for start, end in sorted(ranges, reverse=True):
        wave = cut(wave, start, end)
    return plain(track, np.asarray(wave), ranges[0][0] / track.rate_hz)


def words_twice(
    track: GoodTrack, dice: Dice, size: float, *, roles: tuple[str, ...], in_all: bool = False
) -> Spoiled:
    """Say the last words of an utterance once more, with no silence between: `size` of its length.

    With `in_all` wherever the same is said.
    """
    fitting = [p for p in track.says(*roles) if _more(p, size) >= LEAST_MORE_S * track.rate_hz]
    if not fitting:
        raise UnfitError
    chosen = fitting[int(dice.integers(len(fitting)))]
    assert isinstance(chosen.step, Say)
    element = chosen.step.element
    same = [p for p in track.says(*roles) if isinstance(p.step, Say) and p.step.element == element]
    wave = track.wave
    for placed in sorted(same if in_all else [chosen], key=lambda p: -p.end_sample):
        end = placed.end_sample
        wave = put(wave, end, track.wave[end - _more(placed, size) : end])
    return plain(track, np.asarray(wave), chosen.end_sample / track.rate_hz)


def _more(placed: Placed, share: float) -> int:
    return round(share * (placed.end_sample - placed.start_sample))
