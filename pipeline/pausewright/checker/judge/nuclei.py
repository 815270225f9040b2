"""How many syllables are heard: peaks of loudness in the voice's middle range.

A word that is said fast keeps its syllables, one that is cut out takes them with it. So the count
tells a quick reading from lost words where the length alone does not.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.checker.limits.words import SYLLABLE_BELOW_SPEECH_DB, SYLLABLE_STANDS_DB

if TYPE_CHECKING:
    from numpy.typing import NDArray

_LOW_HZ: Final = 300.0
_HIGH_HZ: Final = 2500.0
"""Under and over it are hum and hiss."""
_FRAME_S: Final = 0.01
_SMOOTH_FRAMES: Final = 7
_FLOOR_DB: Final = -90.0


def nuclei(wave: NDArray[np.floating], rate_hz: int, speech_dbfs: float) -> int:
    """Return the number of syllables heard in one utterance.

    Parameters
    ----------
    wave : shape (n_frames,), full scale 1
    rate_hz : its rate
    speech_dbfs : active level of the speech
    """
    n = max(1, round(_FRAME_S * rate_hz))
    if len(wave) < n * _SMOOTH_FRAMES:
        return 1
    padded = np.pad(wave.astype(np.float64), n)
    spectrum = np.fft.rfft(padded)
    hz = np.maximum(np.fft.rfftfreq(len(padded), 1 / rate_hz), 1e-3)
    spectrum /= (1 + (_LOW_HZ / hz) ** 4) * (1 + (hz / _HIGH_HZ) ** 4)
    band = np.fft.irfft(spectrum, len(padded))[n : n + len(wave)]
    whole = band[: len(band) // n * n].reshape(-1, n)
    power = np.einsum("fn,fn->f", whole, whole) / n
    window = np.hanning(_SMOOTH_FRAMES + 2)[1:-1]
    smooth = np.convolve(power, window / window.sum(), "same")
    levels = 10 * np.log10(smooth + 10 ** (_FLOOR_DB / 10))
    return _peaks([*levels.tolist(), _FLOOR_DB], speech_dbfs - SYLLABLE_BELOW_SPEECH_DB)


def _peaks(levels: list[float], least_db: float) -> int:
    """Return how many peaks over `least_db` stand out on both sides."""
    n_found = 0
    lowest = highest = _FLOOR_DB
    is_rising = True
    for level in levels:
        if is_rising:
            highest = max(highest, level)
            if level < highest - SYLLABLE_STANDS_DB:
                n_found += highest > least_db
                is_rising, lowest = False, level
        else:
            lowest = min(lowest, level)
            if level > lowest + SYLLABLE_STANDS_DB:
                is_rising, highest = True, level
    return n_found
