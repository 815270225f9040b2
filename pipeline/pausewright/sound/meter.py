"""Loudness and true peak of a finished sound, for the builder.

The only module that calls pyloudnorm. The check has a meter of its own.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

SHORTEST_GATED_S: Final = 0.4
"""BS.1770 measures blocks of this length; a shorter sound has no loudness, only a level."""

PIECE_S: Final = 60
"""A longer sound is measured in pieces, so that memory stays flat."""

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
        return -0.691 + 10 * math.log10(float(np.sum(np.mean(wide * wide, axis=0))))
    from pyloudnorm import Meter  # noqa: PLC0415  heavy, and only excerpts need it

    with np.errstate(divide="ignore", invalid="ignore"):
        return float(Meter(rate_hz).integrated_loudness(wide))


def true_peak_dbtp(samples: NDArray[np.float32], rate_hz: int) -> float:
    """Return the true peak in dBTP by fourfold oversampling, -inf for silence.

    Parameters
    ----------
    samples : shape (n_frames, n_channels), full scale ±1
    rate_hz : samples a second
    """
    import soxr  # noqa: PLC0415

    peak = float(np.max(np.abs(samples), initial=0.0))
    n_piece = PIECE_S * rate_hz
    for at in range(0, len(samples), n_piece):
        piece = samples[max(0, at - _OVERLAP) : at + n_piece + _OVERLAP]
        if piece.any():
            finer = soxr.resample(piece, rate_hz, _OVERSAMPLING * rate_hz, quality="VHQ")
            peak = max(peak, float(np.max(np.abs(finer), initial=0.0)))
    return 20 * math.log10(peak) if peak > 0 else -math.inf
