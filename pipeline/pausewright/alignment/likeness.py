"""How alike two stretches of a recording sound, whatever their speed: the same words read twice."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.alignment.spectrum import HOP_MS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from pausewright.alignment.spectrum import Spectrum

    Floats = NDArray[np.float32]

FRAME_MS: Final = 30
_STEP: Final = FRAME_MS // HOP_MS
_BELOW_DB: Final = 45.0
"""What lies so far below the speech is all the same."""
_MOST_FRAMES: Final = 1200
"""30 s: of a longer stretch the beginning is compared."""
_SKIP_COST: Final = 0.35
"""Of a frame of one that the other does not have, against the usual distance of two frames."""


def shape_of(spectrum: Spectrum, start_ms: int, end_ms: int, active: float) -> Floats:
    """Return what a stretch sounds like, of shape (n_frames, n_features), by frames of 25 ms.

    The bands' levels against their mean over the stretch's sound, and how they change.
    """
    rows = spectrum.bands[start_ms // HOP_MS : end_ms // HOP_MS]
    n = len(rows) // _STEP
    if n < 3:
        return np.zeros((0, 2 * spectrum.bands.shape[1]), np.float32)
    mean = rows[: n * _STEP].reshape(n, _STEP, -1).mean(axis=1)[:_MOST_FRAMES]
    level = np.maximum(10 * np.log10(mean / active + 1e-12), -_BELOW_DB)
    sounding = level.max(axis=1) > 10 - _BELOW_DB
    level -= level[sounding].mean(axis=0) if sounding.any() else level.mean(axis=0)
    change = np.gradient(level, axis=0)
    return np.concatenate([level, 2 * change], axis=1).astype(np.float32)


def distance(shorter: Floats, longer: Floats) -> float:
    """Return how unlike two shapes are, where the shorter may be any part of the longer.

    The mean over the shorter one's frames along the cheapest way through both; both are walked at
    half to twice the other's speed. Infinite for an empty one.
    """
    if len(shorter) > len(longer):
        shorter, longer = longer, shorter
    n, m = len(shorter), len(longer)
    if n == 0 or m == 0:
        return float("inf")
    cost = _distances(shorter, longer)
    # diagonals hold cells that do not wait for one another; d = i + j
    infinite = np.float32(np.inf)
    before = np.full(n + 1, infinite, np.float32)
    last = np.full(n + 1, infinite, np.float32)
    best = infinite
    rows = np.arange(n)
    for d in range(n + m - 1):
        low, high = max(0, d - m + 1), min(n, d + 1)
        i = rows[low:high]
        here = np.full(n + 1, infinite, np.float32)
        step = cost[i, d - i]
        # entry i + 1 of a diagonal is row i; entry 0 stands for "not begun", which is free
        came = np.minimum(before[i], np.minimum(last[i], last[i + 1]) + np.float32(_SKIP_COST))
        came[i == 0] = np.minimum(came[i == 0], 0)
        here[i + 1] = came + step
        if high == n:
            best = min(best, here[n])
        before, last = last, here
    return float(best) / n


def _distances(a: Floats, b: Floats) -> Floats:
    """Return the distance of each frame of one to each of the other."""
    squares = (a**2).sum(axis=1)[:, np.newaxis] + (b**2).sum(axis=1)[np.newaxis] - 2 * a @ b.T
    found: Floats = np.sqrt(np.maximum(squares, 0) / a.shape[1]).astype(np.float32)
    return found
