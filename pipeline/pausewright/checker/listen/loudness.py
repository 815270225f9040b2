"""Integrated loudness and true peak of a stream, after ITU-R BS.1770-4.

Both meters take blocks as they come and keep little: ten numbers a second for the gates, and
one maximum for the peak. Silence is accounted for without touching it.
"""

from __future__ import annotations

import math
from array import array
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from pausewright.checker.listen.filters import StreamFilter

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Samples: TypeAlias = NDArray[np.float32]
    Floats: TypeAlias = NDArray[np.float64]

ABSOLUTE_GATE_LUFS = -70.0
RELATIVE_GATE_LU = 10.0
"""BS.1770-4, Annex 1 (check value LU-13)."""
RING_S = 0.1
"""How long the weighting filter is still run into silence; it has decayed by then to nothing
(its slowest pole, at 38 Hz with Q = 0.5, falls by e every 4.2 ms: by 200 dB)."""


def weighting(rate_hz: int) -> Floats:
    """Return the K-weighting of BS.1770-4 at `rate_hz`, as two second-order sections.

    The standard lists coefficients for 48 kHz only; the analogue prototypes behind them
    (shelf at 1681.97 Hz, +4 dB; high-pass at 38.14 Hz) are transformed here for any rate.
    Shape (2, 6).
    """
    k = math.tan(math.pi * 1681.974450955533 / rate_hz)
    q = 0.7071752369554196
    vh = 10 ** (3.999843853973347 / 20)
    vb = vh**0.4996667741545416
    a0 = 1 + k / q + k * k
    shelf = [
        (vh + vb * k / q + k * k) / a0,
        2 * (k * k - vh) / a0,
        (vh - vb * k / q + k * k) / a0,
        1.0,
        2 * (k * k - 1) / a0,
        (1 - k / q + k * k) / a0,
    ]
    k = math.tan(math.pi * 38.13547087602444 / rate_hz)
    q = 0.5003270373238773
    a0 = 1 + k / q + k * k
    high_pass = [1.0, -2.0, 1.0, 1.0, 2 * (k * k - 1) / a0, (1 - k / q + k * k) / a0]
    return np.array([shelf, high_pass])


class LoudnessMeter:
    """Integrated loudness of one or two channels (weight 1 each)."""

    def __init__(self, rate_hz: int, n_channels: int) -> None:
        """Start before the first sample."""
        self._rate_hz = rate_hz
        self._n_channels = n_channels
        self._filter = StreamFilter(weighting(rate_hz), n_channels)
        self._is_at_rest = True
        self._n_frames = 0
        """Whose squares are counted."""
        self._quiet_frames = math.ceil(RING_S * rate_hz)
        self._tenths = array("d")
        """Sum of weighted squares of each finished tenth of a second."""
        self._open = 0.0

    def _tenth_end(self) -> int:
        """Return the frame at which the open tenth of a second ends."""
        return (len(self._tenths) + 1) * self._rate_hz // 10

    def add(self, block: Samples) -> None:
        """Take the next frames, shape (n_frames, n_channels)."""
        self._quiet_frames = 0
        self._take(block)

    def add_silence(self, n_frames: int) -> None:
        """Take `n_frames` frames of digital silence."""
        ring = min(n_frames, math.ceil(RING_S * self._rate_hz) - self._quiet_frames)
        if ring > 0:
            self._take(np.zeros((ring, self._n_channels), dtype=np.float32))
            self._quiet_frames += ring
            n_frames -= ring
        if n_frames > 0:
            if not self._is_at_rest:
                self._finish()
                self._is_at_rest = True
            self._n_frames += n_frames
            self._close_tenths()

    def _take(self, block: Samples) -> None:
        self._is_at_rest = False
        for weighted in self._filter.add(block.T):
            self._count(weighted)

    def _finish(self) -> None:
        for weighted in self._filter.finish():
            self._count(weighted)

    def _count(self, weighted: Floats) -> None:
        """Take weighted samples, shape (n_channels, n_frames)."""
        at, n_frames = 0, weighted.shape[1]
        while at < n_frames:
            take = min(n_frames - at, self._tenth_end() - self._n_frames)
            for channel in weighted:
                part = channel[at : at + take]
                self._open += float(np.dot(part, part))
            self._n_frames += take
            at += take
            self._close_tenths()

    def _close_tenths(self) -> None:
        while self._tenth_end() <= self._n_frames:
            self._tenths.append(self._open)
            self._open = 0.0

    def integrated_lufs(self) -> float | None:
        """Return the gated loudness; None if no block of 400 ms is above the absolute gate."""
        self._finish()
        tenths = np.frombuffer(self._tenths, dtype=np.float64) if self._tenths else np.zeros(0)
        if len(tenths) < 4:
            return None
        edges = np.arange(len(tenths) + 1, dtype=np.int64) * self._rate_hz // 10
        power = (tenths[:-3] + tenths[1:-2] + tenths[2:-1] + tenths[3:]) / (edges[4:] - edges[:-4])
        power = power[power > 10 ** ((ABSOLUTE_GATE_LUFS + 0.691) / 10)]
        if not len(power):
            return None
        power = power[power > power.mean() * 10 ** (-RELATIVE_GATE_LU / 10)]
        return -0.691 + 10 * math.log10(float(power.mean()))


TAPS = 24
"""Taps of each of the three filters between two samples: 12 before the place and 12 after."""
CHUNK = 64


def _between_samples() -> NDArray[np.float32]:
    """Return the filters for the places ¼, ½ and ¾ after a sample: shape (TAPS, 3)."""
    offsets = np.arange(TAPS) - (TAPS // 2 - 1)
    places = np.array([0.25, 0.5, 0.75])
    distance = places[None, :] - offsets[:, None]
    window = np.i0(8.0 * np.sqrt(np.clip(1 - (distance / (TAPS / 2)) ** 2, 0, 1))) / np.i0(8.0)
    taps = np.sinc(distance) * window
    scaled: NDArray[np.float32] = (taps / taps.sum(axis=0)).astype(np.float32)
    return scaled


class TruePeakMeter:
    """Highest value of the 4 times oversampled wave (BS.1770-4, Annex 2), and of the samples.

    Skip rule: a value between samples is at most `bound` times the largest sample under the
    filter (the sum of the taps' absolute values), so a chunk whose largest sample times `bound`
    does not exceed the peak found so far cannot raise it, and is not oversampled. The result is
    the same as without skipping.
    """

    def __init__(self, n_channels: int) -> None:
        """Start before the first sample."""
        self._taps = _between_samples()
        self._bands = np.zeros((CHUNK + TAPS - 1, 3 * CHUNK), dtype=np.float32)
        """The same for all places of a chunk."""
        for place in range(CHUNK):
            self._bands[place : place + TAPS, 3 * place : 3 * place + 3] = self._taps
        self.bound = float(np.abs(self._taps).sum(axis=0).max())
        self._carry = np.zeros((TAPS - 1, n_channels), dtype=np.float32)
        self._carry_is_silent = True
        self.sample_peak = 0.0
        """Largest absolute sample, full scale 1."""
        self._between_peak = 0.0

    @property
    def true_peak(self) -> float:
        """Highest absolute value found, full scale 1; complete after `finish`."""
        return max(self.sample_peak, self._between_peak)

    def add(self, block: Samples) -> None:
        """Take the next frames, shape (n_frames, n_channels)."""
        joint = np.concatenate([self._carry, block[: TAPS - 1]])
        for wave in (joint, block):
            if len(wave) >= TAPS:
                for channel in range(wave.shape[1]):
                    self._add_channel(np.ascontiguousarray(wave[:, channel]))
        ends = joint if len(block) < TAPS - 1 else block
        self._carry = ends[len(ends) - (TAPS - 1) :].copy()
        self._carry_is_silent = False

    def add_silence(self, n_frames: int) -> None:
        """Take `n_frames` frames of digital silence."""
        if not self._carry_is_silent:
            zeros = np.zeros((min(n_frames, TAPS - 1), self._carry.shape[1]), dtype=np.float32)
            self.add(zeros)
            self._carry_is_silent = n_frames >= TAPS - 1

    def finish(self) -> None:
        """Take it that silence follows the last sample."""
        self.add_silence(TAPS - 1)

    def _add_channel(self, wave: NDArray[np.float32]) -> None:
        highest = max(float(wave.max()), -float(wave.min()))
        self.sample_peak = max(self.sample_peak, highest)
        if highest * self.bound <= self.true_peak:
            return
        n_places = len(wave) - (TAPS - 1)
        starts = np.arange(0, n_places, CHUNK)
        size = np.maximum.reduceat(np.abs(wave), np.append(starts, n_places))
        bounds = np.maximum(size[:-1], size[1:]) * self.bound
        # the likeliest first: it may make all others needless
        likeliest = int(bounds.argmax())
        self._oversample(wave, starts[likeliest : likeliest + 1])
        bounds[likeliest] = 0
        higher = starts[bounds > self.true_peak]
        if len(higher):
            self._oversample(wave, higher)

    def _oversample(self, wave: NDArray[np.float32], starts: NDArray[np.int64]) -> None:
        """Look between the samples of the chunks that begin at `starts`."""
        n_places = len(wave) - (TAPS - 1)
        if n_places < CHUNK:
            between = np.lib.stride_tricks.sliding_window_view(wave, TAPS) @ self._taps
        else:
            windows = np.lib.stride_tricks.sliding_window_view(wave, CHUNK + TAPS - 1)
            between = windows[np.minimum(starts, n_places - CHUNK)] @ self._bands
        self._between_peak = max(self._between_peak, float(np.abs(between).max()))


def decibels(value: float) -> float | None:
    """Return an amplitude in decibels to full scale; None for 0."""
    return 20 * math.log10(value) if value > 0 else None
