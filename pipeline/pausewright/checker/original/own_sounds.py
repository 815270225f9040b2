"""Sounds of a version that are no part of the recording, found between its stretches."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.checker.original.exact_samples import FRAME_S, levels_db
from pausewright.checker.original.stretches import runs_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.original.exact_samples import Samples

LEAST_S: Final = 0.03
_NEVER: Final = 1e9


def own_sounds(
    track: Samples, start: int, end: int, threshold_db: float, waits_s: Sequence[float]
) -> list[tuple[int, int]] | None:
    """Return where sounds lie in a stretch of a track, in order, [start, end) in frames.

    `waits_s` are the silences between them, one fewer than sounds. Of all pauses that are heard
    those are taken for them that are most like them. None if there are not so many sounds.
    """
    n = round(FRAME_S * track.rate_hz)
    levels = levels_db(track, start, end)
    runs = [(a, b) for a, b in runs_of(levels > threshold_db)]
    runs = [(a, b) for a, b in runs if (b - a) * FRAME_S >= LEAST_S]
    if len(runs) < len(waits_s) + 1:
        return None
    gaps_s = [(runs[i + 1][0] - runs[i][1]) * FRAME_S for i in range(len(runs) - 1)]
    chosen = _likest(gaps_s, waits_s)
    edges = [-1, *chosen, len(runs) - 1]
    found = []
    for first, last in pairwise(edges):
        a, b = runs[first + 1][0], runs[last][1]
        found.append((start + a * n, start + b * n))
    return found


def _likest(gaps_s: Sequence[float], waits_s: Sequence[float]) -> list[int]:
    """Return which gaps are the expected ones, in order, by the least sum of differences."""
    n, k = len(gaps_s), len(waits_s)
    cost = np.full((k + 1, n + 1), _NEVER)
    cost[0] = 0.0
    for j in range(1, k + 1):
        for i in range(1, n + 1):
            taken = cost[j - 1, i - 1] + abs(gaps_s[i - 1] - waits_s[j - 1])
            cost[j, i] = min(cost[j, i - 1], taken)
    chosen: list[int] = []
    i, j = n, k
    while j:
        if cost[j, i] == cost[j, i - 1]:
            i -= 1
            continue
        chosen.append(i - 1)
        i, j = i - 1, j - 1
    return chosen[::-1]
