"""A limiter: short peaks turned down, smoothly, before they come.

Speech at −18 LUFS has peaks 4 to 6 dB over the ceiling; at the default target a few takes in a
hundred pass it. Turning whole takes down would make them uneven, so the peaks alone are: the gain
falls within 4 ms before a peak and rises again after it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np
import soxr

if TYPE_CHECKING:
    from numpy.typing import NDArray

AHEAD_S: Final = 0.004
_MARGIN_DB: Final = 0.1
"""Between samples the smoothed gain can let a peak through by less than this."""


def limited(
    samples: NDArray[np.float32], rate_hz: int, ceiling_dbtp: float
) -> tuple[NDArray[np.float32], float]:
    """Return a mono signal whose true peak stays at or below the ceiling, and the most it was cut.

    Parameters
    ----------
    samples : shape (n_samples,), float32
    ceiling_dbtp : true peak allowed, in dB relative to full scale

    Returns
    -------
    samples : same shape
    reduced_db : largest gain reduction in dB, 0 or more
    """
    peaks = _peaks(samples, rate_hz)
    if len(samples) == 0 or float(peaks.max()) <= 10 ** (ceiling_dbtp / 20):
        return samples, 0.0
    ceiling = 10 ** ((ceiling_dbtp - _MARGIN_DB) / 20)
    wanted = np.minimum(1.0, ceiling / np.maximum(peaks, 1e-9))
    n_ahead = max(1, round(AHEAD_S * rate_hz))
    least = _windowed_minimum(wanted, n_ahead)
    window = np.hanning(2 * n_ahead + 1)
    gain = np.convolve(np.pad(least, n_ahead, mode="edge"), window / window.sum(), mode="valid")
    return (samples * gain).astype(np.float32), -20 * math.log10(float(gain.min()))


def _peaks(samples: NDArray[np.float32], rate_hz: int) -> NDArray[np.float64]:
    """Return for each sample the largest magnitude at four times the rate around it."""
    if len(samples) == 0:
        return np.zeros(0)
    fine = np.abs(soxr.resample(samples, rate_hz, 4 * rate_hz, quality="HQ"))
    whole = np.zeros(4 * len(samples))
    whole[: min(len(fine), len(whole))] = fine[: len(whole)]
    around = whole.reshape(-1, 4).max(axis=1)
    ahead = np.append(around[1:], 0.0)
    before = np.insert(around[:-1], 0, 0.0)
    beside = np.maximum(ahead, before)
    peaks: NDArray[np.float64] = np.maximum.reduce([around, np.abs(samples), beside])
    return peaks


def _windowed_minimum(values: NDArray[np.float64], n_ahead: int) -> NDArray[np.float64]:
    """Return the least value within `n_ahead` samples on either side."""
    padded = np.pad(values, n_ahead, constant_values=1.0)
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * n_ahead + 1)
    low = np.flatnonzero(values < 1.0)
    out = np.ones(len(values))
    if len(low) == 0:
        return out
    near = np.zeros(len(values) + 1, np.int64)
    np.add.at(near, np.maximum(low - n_ahead, 0), 1)
    np.add.at(near, np.minimum(low + n_ahead + 1, len(values)), -1)
    touched = np.flatnonzero(np.cumsum(near[:-1]) > 0)
    for start in range(0, len(touched), 65_536):
        at = touched[start : start + 65_536]
        out[at] = windows[at].min(axis=1)
    return out
