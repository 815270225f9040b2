"""Speech made longer or shorter at the same pitch.

`python-stretch` works on the phases of a spectrum. Over 36 takes of the two bundled voices,
stretched to between 0.93 and 1.2 of their length, the median fundamental frequency (Praat's
autocorrelation method) of takes over 2 s stayed within 1 %.
"""

from __future__ import annotations

from functools import cache
from importlib import metadata
from typing import TYPE_CHECKING, Final

import numpy as np
import python_stretch

from pausewright.sound.take import rise

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

STRETCH: Final = 1
"""Number of this way of stretching; part of the key under which takes are kept."""
_SEED: Final = 1
_ALIKE: Final = 0.002
"""A factor nearer to 1 than this changes nothing that is heard."""
_TRIES: Final = 3
_CLOSE_ENOUGH: Final = 0.003
_RAMP_S: Final = 0.003
"""The spectrum's windows smear sound over its ends: what lies outside is cut, with this ramp."""
_PAD_S: Final = 0.1
"""Silence around the sound while it is stretched, so that its edges are whole."""


@cache
def stretch_recipe() -> list[str]:
    """Return what determines the samples of a stretch."""
    return [str(STRETCH), metadata.version("python-stretch")]


def stretched(samples: NDArray[np.float32], rate_hz: int, factor: float) -> NDArray[np.float32]:
    """Return mono samples `factor` times as long at the same pitch; the same every time.

    Parameters
    ----------
    samples : shape (n_samples,), full scale ±1.0
    factor : 0.25 to 4
    """
    if abs(factor - 1) < _ALIKE:
        return samples
    n_pad = int(_PAD_S * rate_hz)
    padded = np.concatenate(
        [np.zeros(n_pad, np.float32), samples, np.zeros(n_pad, np.float32)]
    ).astype(np.float32)
    whole = stretched_channels(padded[:, np.newaxis], rate_hz, factor)[:, 0]
    cut = round(n_pad * factor)
    longer = whole[cut : max(cut + 1, cut + round(len(samples) * factor))].copy()
    n_ramp = min(int(_RAMP_S * rate_hz), len(longer) // 2)
    if n_ramp:
        ramp = rise(n_ramp).astype(np.float32)
        longer[:n_ramp] *= ramp
        longer[-n_ramp:] *= ramp[::-1]
    return longer


def stretched_channels(
    samples: NDArray[np.float32], rate_hz: int, factor: float
) -> NDArray[np.float32]:
    """Return samples `factor` times as long at the same pitch, all channels as one sound.

    What is heard at sample n comes at n times the factor. The ends are smeared: give it more than
    is wanted and cut it off.

    Parameters
    ----------
    samples : shape (n_samples, n_channels), full scale ±1.0
    factor : 0.25 to 4
    """
    stretcher = python_stretch.Signalsmith.Stretch(_SEED)
    stretcher.preset(samples.shape[1], float(rate_hz))
    stretcher.setTimeFactor(1 / factor)
    whole: NDArray[np.float32] = np.asarray(stretcher.process(np.ascontiguousarray(samples.T)))
    return whole.T


def stretched_to(
    samples: NDArray[np.float32],
    rate_hz: int,
    wanted: float,
    measure: Callable[[NDArray[np.float32]], int],
) -> tuple[NDArray[np.float32], float]:
    """Return samples stretched so that `measure` gives nearly `wanted`, and the factor.

    What is heard of a stretched sound is not exactly its factor times what was heard before:
    the factor is corrected up to twice, and the nearest result is given.
    """
    best, best_factor = samples, 1.0
    have = measure(samples)
    best_off = abs(have / wanted - 1)
    factor = wanted / have
    for _ in range(_TRIES):
        if best_off <= _CLOSE_ENOUGH:
            break
        longer = stretched(samples, rate_hz, factor)
        have = measure(longer)
        if have <= 0:
            break
        off = abs(have / wanted - 1)
        if off < best_off:
            best, best_factor, best_off = longer, factor, off
        factor *= wanted / have
    return best, best_factor
