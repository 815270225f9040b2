"""The pitch of speech, by the regularity of its wave."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from pausewright.checker.match.measured import Frames
    from pausewright.checker.original.exact_samples import Samples

LOWEST_HZ: Final = 60
HIGHEST_HZ: Final = 450
VOICED: Final = 0.7
"""From this likeness of a wave with itself a period later it is voiced."""
_WINDOW_S: Final = 0.04
_STEP_S: Final = 0.01
_LONGEST_S: Final = 20
_LEAST: Final = 10
_OCTAVE: Final = 1.5
_MOVED: Final = range(-20, 21)
"""Steps of 10 ms by which the places of words are tried."""


def pitch_share(
    recording: Samples, own: Frames, track: Samples, there: Frames, ratio: float | None = None
) -> float | None:
    """Return how many times higher the same speech is on a track; None where little is voiced.

    Pitches are compared at the same places of the words. Where those are is known to a fraction of
    a second only, and speech falls: a tenth of a second beside its place it is 4 % higher. So the
    places are moved to where the ratios differ least from each other, whatever they are, and their
    median there is the answer. What is an octave apart is an error of the measurement.

    `ratio` is how many times as long the words should last, which their soft ends do not tell as
    closely; as long as they are without it.
    """
    one, other = pitches_hz(recording, *own), pitches_hz(track, *there)
    n = min(len(one), round(len(other) * (own[1] - own[0]) / max(1, there[1] - there[0])))
    if n < _LEAST or not len(other):
        return None
    found = []
    for scale in {len(other) / n, ratio or len(other) / n}:
        at = np.round(np.arange(n) * scale).astype(int)
        found += [_logs_of_ratios(one[:n], other, at + moved) for moved in _MOVED]
    least = max(_LEAST, max(map(len, found)) / 2)
    middles = [
        (float(np.median(np.abs(logs - np.median(logs)))), float(np.median(logs)))
        for logs in found
        if len(logs) >= least
    ]
    return float(np.exp(min(middles)[1])) if middles else None


def _logs_of_ratios(
    one: NDArray[np.float64], other: NDArray[np.float64], at: NDArray[np.int_]
) -> NDArray[np.float64]:
    """Return the logarithms of the ratios of pitches, where both sides are voiced."""
    inside = (at >= 0) & (at < len(other))
    mine, theirs = one[inside], other[at[inside]]
    both = (mine > 0) & (theirs > 0)
    logs = np.log(theirs[both] / mine[both])
    kept: NDArray[np.float64] = logs[np.abs(logs) < np.log(_OCTAVE)]
    return kept


def pitches_hz(samples: Samples, start: int, end: int) -> NDArray[np.float64]:
    """Return the pitch of [start, end) each 10 ms in Hz, 0 where it is not voiced.

    Autocorrelation of windows of 40 ms, divided by that of the window (Boersma 1993).
    """
    rate_hz = samples.rate_hz
    wave = samples.read(start, min(end, start + _LONGEST_S * rate_hz))
    n, step = round(_WINDOW_S * rate_hz), round(_STEP_S * rate_hz)
    if len(wave) < n:
        return np.zeros(0)
    line = wave[:, int(np.argmax((wave**2).sum(axis=0)))]
    window = np.hanning(n)
    n_fft = 1 << int(np.ceil(np.log2(2 * n)))
    own = np.fft.irfft(np.abs(np.fft.rfft(window, n_fft)) ** 2, n_fft)
    least, most = rate_hz // HIGHEST_HZ, min(rate_hz // LOWEST_HZ, n // 2)
    loud = float((line**2).mean())
    found = np.zeros((len(line) - n) // step + 1)
    for frame in range(len(found)):
        part = line[frame * step : frame * step + n]
        if float((part**2).mean()) < loud / 10:
            continue
        again = np.fft.irfft(np.abs(np.fft.rfft((part - part.mean()) * window, n_fft)) ** 2, n_fft)
        likeness = again[: most + 2] / again[0] / (own[: most + 2] / own[0])
        k = least + int(np.argmax(likeness[least:most]))
        if likeness[k] < VOICED or not least < k < most:
            continue
        a, b, c = likeness[k - 1 : k + 2]
        bend = a - 2 * b + c
        found[frame] = rate_hz / (k + (0.5 * (a - c) / bend if bend else 0.0))
    return found
