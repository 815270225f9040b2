"""Active speech level of a stream: how loud the speech is, pauses left out (ITU-T P.56, method B).

Constants as coded in the ITU-T G.191 tools (check value LU-20): the envelope is the rectified
wave smoothed twice with a time constant of 0.03 s; a threshold counts as passed while the
envelope is above it and for 0.20 s after; the level sought lies 15.9 dB above its threshold.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from pausewright.checker.files.columns import means, mixed
from pausewright.checker.listen.filters import StreamFilter, held_peaks
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Samples: TypeAlias = NDArray[np.float32]
    Floats: TypeAlias = NDArray[np.float64]

SMOOTHING_S = 0.03
HANGOVER_S = 0.20
MARGIN_DB = 15.9
N_THRESHOLDS = 20
"""Halvings of full scale that are tried; the ITU's tool has 15 for 16-bit samples."""
LOOKS_PER_S = 1000
"""How often the envelope is taken and compared with the thresholds. The ITU's tool does so at every
sample; the envelope moves so slowly that the mean of each thousandth of a second, smoothed, is as
good (tests)."""
RING_S = 0.7
"""How long the envelope is run into silence: it falls by 170 dB in that time."""


@frozen
class SpeechLevel:
    """What the meter found."""

    active_dbfs: float
    """RMS level of the active part, in decibels to a full-scale square wave (RMS of 1)."""
    activity: float
    """Share of the time that is active, 0 to 1."""


class SpeechLevelMeter:
    """Active speech level of a stream; two channels are joined by their mean power."""

    def __init__(self, rate_hz: int) -> None:
        """Start before the first sample."""
        self._rate_hz = rate_hz
        self._step = max(1, rate_hz // LOOKS_PER_S)
        keep = math.exp(-self._step / (SMOOTHING_S * rate_hz))
        twice_smoothed = np.array([[(1 - keep) ** 2, 0, 0, 1.0, -2 * keep, keep * keep]])
        self._envelope = StreamFilter(twice_smoothed, 1)
        self._is_at_rest = True
        self._begun = np.zeros(0, dtype=np.float32)
        """Frames of a look that is not whole yet."""
        self._thresholds = 2.0 ** -np.arange(N_THRESHOLDS, 0, -1)
        self._looks_above = np.zeros(N_THRESHOLDS + 1, dtype=np.int64)
        self._hangover = round(HANGOVER_S * rate_hz / self._step)
        self._recent = np.zeros(self._hangover)
        self._n_frames = 0
        self._quiet_frames = math.ceil(RING_S * rate_hz)
        self._squares = 0.0

    def add(self, block: Samples) -> None:
        """Take the next frames, shape (n_frames, n_channels)."""
        self._quiet_frames = 0
        size = np.abs(block[:, 0]) if block.shape[1] == 1 else np.sqrt(mixed(block * block))
        self._squares += float(np.dot(size, size))
        self._follow(size)

    def add_silence(self, n_frames: int) -> None:
        """Take `n_frames` frames of digital silence."""
        ring = min(n_frames, math.ceil(RING_S * self._rate_hz) - self._quiet_frames)
        if ring > 0:
            self._follow(np.zeros(ring, dtype=np.float32))
            self._quiet_frames += ring
            n_frames -= ring
        if n_frames > 0:
            if self._is_at_rest:
                self._n_frames += n_frames
                return
            self._is_at_rest = True
            self._finish()
            self._begun = self._begun[:0]
            self._recent = np.zeros(self._hangover)
            self._n_frames += n_frames

    def _follow(self, size: NDArray[np.float32]) -> None:
        self._is_at_rest = False
        self._n_frames += len(size)
        size = np.concatenate([self._begun, size])
        n_whole = len(size) // self._step * self._step
        self._begun = size[n_whole:].copy()
        for envelope in self._envelope.add(means(size[:n_whole], self._step)[None, :]):
            self._count(envelope[0])

    def _finish(self) -> None:
        for envelope in self._envelope.finish():
            self._count(envelope[0])

    def _count(self, envelope: Floats) -> None:
        """Count which thresholds the envelope passes, shape (n_looks,)."""
        looks = np.concatenate([self._recent, envelope])
        # the largest of each look and of those less than a hangover before it
        held = held_peaks(looks, self._hangover)[1:]
        self._looks_above += np.bincount(
            np.searchsorted(self._thresholds, held, side="right"),
            minlength=N_THRESHOLDS + 1,
        )
        self._recent = looks[len(looks) - self._hangover :]

    def level(self) -> SpeechLevel | None:
        """Return the active speech level; None if there is none above −104 dB."""
        self._finish()
        # active frames for each threshold, lowest threshold first
        active = np.cumsum(self._looks_above[::-1])[::-1][1:] * self._step
        best: SpeechLevel | None = None
        above: tuple[float, float] | None = None
        for threshold, n_active in zip(self._thresholds, active, strict=True):
            if n_active == 0 or self._squares <= 0:
                break
            level_db = 10 * math.log10(self._squares / n_active)
            excess_db = level_db - 20 * math.log10(threshold) - MARGIN_DB
            if excess_db <= 0:
                if above is None:
                    best = self._found(level_db)
                else:
                    share = above[1] / (above[1] - excess_db)
                    best = self._found(above[0] + share * (level_db - above[0]))
                break
            above = (level_db, excess_db)
        return best

    def _found(self, level_db: float) -> SpeechLevel:
        mean_power = self._squares / max(1, self._n_frames)
        return SpeechLevel(level_db, min(1.0, mean_power / 10 ** (level_db / 10)))
