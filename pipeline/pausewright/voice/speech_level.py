"""How loud speech is: active speech level, true peak, and the level that takes are brought to.

Levels are in dB relative to full scale: 0 dB is a constant signal of ±1.0 (a full-scale sine
is −3 dB).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import soxr

from pausewright.frozen import frozen
from pausewright.sound.filters import filtered

if TYPE_CHECKING:
    from numpy.typing import NDArray

TIME_CONSTANT_S = 0.03
HANGOVER_S = 0.2
RING_S = 1.5
"""How long the envelope is followed into silence: it falls by 400 dB in that time."""
MARGIN_DB = 15.9
LOOKS_PER_S = 1000
"""How often the envelope is looked at; it moves so slowly that every sample would tell no more."""
_THRESHOLDS = tuple(2.0**-power for power in range(15, 0, -1))
"""Those of a 16-bit system, rising; ITU-T P.56 method B."""

EDGE_BELOW_SPEECH_DB = 40.0
"""A silence is what stays this far below the active speech level."""

SOFT_BELOW_SPEECH_DB = 33.0
"""From so far below the active speech level on, the ends of a take are soft: hiss and breath."""


@frozen
class Level:
    """The level that every take of one voice is brought to."""

    active_db: float
    """Active speech level."""
    ceiling_dbtp: float = -2.0
    """True peak that no take may pass before it is encoded."""
    aim_lufs: float | None = None
    """Loudness that no take strays far from; None where nobody asks."""

    @property
    def edge_amplitude(self) -> float:
        """Sample magnitude above which something counts as heard."""
        return float(10 ** ((self.active_db - EDGE_BELOW_SPEECH_DB) / 20))

    @property
    def soft_amplitude(self) -> float:
        """RMS below which the beginning and the end of a take are faded."""
        return float(10 ** ((self.active_db - SOFT_BELOW_SPEECH_DB) / 20))


def active_speech_level_db(samples: NDArray[np.float32], rate_hz: int) -> float | None:
    """Return the active speech level of a mono signal, or None if nothing is in it.

    ITU-T P.56 method B as coded in ITU-T G.191 STL, sv-p56.c (check value LU-20): rectified
    signal smoothed twice with T = 0.03 s, activity counted with a hangover of H = 0.2 s over 15
    thresholds, the active level read off where it lies M = 15.9 dB above the threshold. Between
    two thresholds the reading is interpolated exactly, where the code halves the interval until
    it is within 0.5 dB.

    Parameters
    ----------
    samples : shape (n_samples,), any float dtype, full scale ±1.0
    """
    power = float(np.square(samples, dtype=np.float64).sum())
    if power <= 0.0:
        return None
    step = max(1, rate_hz // LOOKS_PER_S)
    envelope = _envelope(samples, rate_hz, step)
    hangover = math.floor(HANGOVER_S * rate_hz / step + 0.5)
    before: tuple[float, float] | None = None
    held = _held(envelope, hangover + 1)
    for threshold in _THRESHOLDS:
        n_active = step * np.count_nonzero(held >= threshold)
        if n_active == 0:
            break
        level_db = 10 * math.log10(power / n_active)
        margin_db = level_db - 20 * math.log10(threshold)
        if margin_db <= MARGIN_DB:
            if before is None:
                return level_db
            share = (before[1] - MARGIN_DB) / (before[1] - margin_db)
            return before[0] + share * (level_db - before[0])
        before = (level_db, margin_db)
    return before[0] if before else None


def _envelope(samples: NDArray[np.float32], rate_hz: int, step: int) -> NDArray[np.float64]:
    """Smooth the rectified signal, its mean over every `step` samples, by two equal filters."""
    g = math.exp(-step / (rate_hz * TIME_CONSTANT_S))
    rectified = np.abs(samples)
    means = np.add.reduceat(rectified, np.arange(0, len(samples), step), dtype=np.float64) / step
    n_ring = math.ceil(RING_S * rate_hz / step)
    return filtered(means, [((1.0 - g,), (1.0, -g))] * 2, n_ring)


def _held(envelope: NDArray[np.float64], n_held: int) -> NDArray[np.float64]:
    """Return the largest of each value and of the `n_held` - 1 before it.

    From the largest of a row so far, and of what is left of the row before.
    """
    n_rows = -(-len(envelope) // n_held) + 1
    rows = np.zeros((n_rows, n_held))
    rows.reshape(-1)[n_held : n_held + len(envelope)] = envelope
    so_far = np.maximum.accumulate(rows, axis=1).reshape(-1)
    left = np.maximum.accumulate(rows[:, ::-1], axis=1)[:, ::-1].reshape(-1)
    last = slice(n_held, n_held + len(envelope))
    return np.maximum(so_far[last], left[1 : 1 + len(envelope)])


def true_peak_dbtp(samples: NDArray[np.float32], rate_hz: int) -> float:
    """Return the true peak of a mono signal in dBTP: the largest magnitude at four times the rate.

    ITU-R BS.1770 asks for at least fourfold oversampling at 44.1 or 48 kHz. −inf for silence.
    """
    if len(samples) == 0:
        return -math.inf
    fine = soxr.resample(samples, rate_hz, 4 * rate_hz, quality="HQ")
    peak = float(max(np.abs(fine).max(initial=0.0), np.abs(samples).max(initial=0.0)))
    return 20 * math.log10(peak) if peak > 0 else -math.inf
