"""Loudness and true peak of a finished sound, for the builder.

The check has a meter of its own. The tests compare both with pyloudnorm, which needs scipy.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np
import soxr

from pausewright.sound.filters import filtered

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from pausewright.sound.filters import Section

SHORTEST_GATED_S: Final = 0.4
"""BS.1770 measures blocks of this length; a shorter sound has no loudness, only a level."""

BLOCKS_A_LENGTH: Final = 4
"""A block begins at each quarter of the one before it."""
ABSOLUTE_GATE_LUFS: Final = -70.0
RELATIVE_GATE_LU: Final = 10.0

PIECE_S: Final = 60
"""A longer sound is measured in pieces, so that memory stays flat."""

_RING_S: Final = 0.1
"""How long the weighting rings: its slowest pole (38 Hz, Q ½) falls by e every 4.2 ms."""
_OVERLAP: Final = 1024
_OVERSAMPLING: Final = 4


def loudness_lufs(samples: NDArray[np.float32], rate_hz: int) -> float:
    """Return the BS.1770 integrated loudness in LUFS, -inf for silence.

    A sound under 0.4 s has its RMS level instead, on the same scale but without weighting. Of
    a sound over a minute the loudest minute counts.

    Parameters
    ----------
    samples : shape (n_frames, 1 or 2), full scale ±1; mono is one channel, so it reads 3 dB
        below the same sound in both channels
    rate_hz : samples a second
    """
    n_piece = PIECE_S * rate_hz
    pieces = [samples[at : at + n_piece] for at in range(0, max(1, len(samples)), n_piece)]
    if len(pieces) > 1 and len(pieces[-1]) < n_piece:
        pieces[-1] = samples[-n_piece:]
    return max(_piece_lufs(piece, rate_hz) for piece in pieces)


def _piece_lufs(samples: NDArray[np.float32], rate_hz: int) -> float:
    if not samples.any():
        return -math.inf
    wide = samples.astype(np.float64)
    if len(wide) < SHORTEST_GATED_S * rate_hz:
        return _lufs(float(np.sum(np.mean(wide * wide, axis=0))))
    return integrated_lufs(wide, rate_hz)


def integrated_lufs(samples: NDArray[np.float64], rate_hz: int) -> float:
    """Return the gated loudness of all of a sound (ITU-R BS.1770-4, annex 1), -inf for silence.

    Blocks begin and end as pyloudnorm has them.

    Parameters
    ----------
    samples : shape (n_frames, n_channels), at least 0.4 s; each channel counts alike
    rate_hz : samples a second
    """
    sections, n_ring = _weighting(rate_hz), math.ceil(_RING_S * rate_hz)
    squares = np.zeros(len(samples) + 1)
    for channel in samples.T:
        squares[1:] += np.square(filtered(channel, sections, n_ring))
    sums = np.cumsum(squares)
    n_beyond_first = (len(samples) / rate_hz - SHORTEST_GATED_S) / (
        SHORTEST_GATED_S / BLOCKS_A_LENGTH
    )
    steps = np.arange(int(np.round(n_beyond_first) + 1)) / BLOCKS_A_LENGTH
    starts = (SHORTEST_GATED_S * steps * rate_hz).astype(np.int64)
    ends = np.minimum((SHORTEST_GATED_S * (steps + 1) * rate_hz).astype(np.int64), len(samples))
    powers = (sums[ends] - sums[starts]) / (SHORTEST_GATED_S * rate_hz)
    powers = powers[powers >= _power(ABSOLUTE_GATE_LUFS)]
    if not len(powers):
        return -math.inf
    powers = powers[powers > powers.mean() * 10 ** (-RELATIVE_GATE_LU / 10)]
    return _lufs(float(powers.mean()))


def _lufs(power: float) -> float:
    return -0.691 + 10 * math.log10(power)


def _power(lufs: float) -> float:
    return float(10 ** ((lufs + 0.691) / 10))


def _weighting(rate_hz: int) -> tuple[Section, Section]:
    """Return the K weighting: a shelf (4 dB, 1,500 Hz, Q √½) and a high pass (38 Hz, Q ½).

    Both by the formulas of the Audio EQ Cookbook (R. Bristow-Johnson), as pyloudnorm has them.
    """
    a = 10 ** (4.0 / 40)
    turn = 2 * math.pi * 1500.0 / rate_hz
    c, slope = math.cos(turn), 2 * math.sqrt(a) * math.sin(turn) / (2 * math.sqrt(0.5))
    up, down = (a + 1) + (a - 1) * c, (a + 1) - (a - 1) * c
    shelf = _normed(
        (a * (up + slope), -2 * a * ((a - 1) + (a + 1) * c), a * (up - slope)),
        (down + slope, 2 * ((a - 1) - (a + 1) * c), down - slope),
    )
    turn = 2 * math.pi * 38.0 / rate_hz
    c, slope = math.cos(turn), math.sin(turn)
    high_pass = _normed(((1 + c) / 2, -(1 + c), (1 + c) / 2), (1 + slope, -2 * c, 1 - slope))
    return shelf, high_pass


def _normed(given: tuple[float, ...], came: tuple[float, ...]) -> Section:
    return tuple(one / came[0] for one in given), tuple(one / came[0] for one in came)


def true_peak_dbtp(samples: NDArray[np.float32], rate_hz: int) -> float:
    """Return the true peak in dBTP by fourfold oversampling, -inf for silence.

    Parameters
    ----------
    samples : shape (n_frames, n_channels), full scale ±1
    rate_hz : samples a second
    """
    peak = float(np.max(np.abs(samples), initial=0.0))
    n_piece = PIECE_S * rate_hz
    for at in range(0, len(samples), n_piece):
        piece = samples[max(0, at - _OVERLAP) : at + n_piece + _OVERLAP]
        if piece.any():
            finer = soxr.resample(piece, rate_hz, _OVERSAMPLING * rate_hz, quality="VHQ")
            peak = max(peak, float(np.max(np.abs(finer), initial=0.0)))
    return 20 * math.log10(peak) if peak > 0 else -math.inf
