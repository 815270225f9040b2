"""Tones: a named tone from the settings as finished sound."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.plan.clock import Clock
from pausewright.problems import SoundError
from pausewright.sound.take import Take, rise

if TYPE_CHECKING:
    from pausewright.script.declared import ToneSpec

RAMP_S: Final = 0.010
"""Length of each raised-cosine ramp; a tone of less than two ramps is all ramp."""

CEILING_DBFS: Final = -2.0
"""A tone's amplitude stays below this, even where the ear needs more."""

_FULL_SCALE: Final = 32767

_WEIGHTING: Final = (
    (
        (1.53512485958697, -2.69169618940638, 1.19839281085285),
        (-1.69065929318241, 0.73248077421585),
    ),
    ((1.0, -2.0, 1.0), (-1.99004745483398, 0.99007225036621)),
)
"""ITU-R BS.1770, tables 1 and 2: the two stages of the K weighting at 48 kHz (from memory;
checked in the tests against an independent meter)."""

_WEIGHTING_RATE_HZ: Final = 48_000


def tone_take(spec: ToneSpec, *, rate_hz: int, channels: int, level_lufs: float) -> Take:
    """Return a tone as loud as speech at `level_lufs`, with 10 ms raised-cosine ramps.

    A steady sine at the returned amplitude has the BS.1770 loudness `level_lufs` (ramps lower
    it a little), so the tone is never louder than speech levelled to the same figure. It is
    softer where its amplitude would pass -2 dBFS: very low tones. The whole tone counts as
    sound; it lasts the least number of samples that is not shorter than declared.

    Parameters
    ----------
    spec : frequency and length
    rate_hz : the track's rate
    channels : 1 or 2; the same in each, and both together have the level
    level_lufs : loudness of the steady tone

    Raises
    ------
    SoundError
        If the frequency cannot be written at `rate_hz`, or the tone has no length.
    """
    if not 20 <= spec.frequency_hz < rate_hz / 2:
        raise SoundError(
            f"a tone of {float(spec.frequency_hz):g} Hz cannot be heard on this track",
            "write a frequency that people hear well, for example: 520 Hz",
        )
    n_samples = Clock(rate_hz).samples(spec.tone_s)
    if n_samples == 0:
        raise SoundError("a tone of 0 s is no tone", "write a length, for example: 0.4 s")
    phase = np.arange(n_samples) * (2 * math.pi * float(spec.frequency_hz) / rate_hz)
    wave = np.sin(phase) * _envelope(n_samples, rate_hz)
    wave *= amplitude(float(spec.frequency_hz), channels=channels, level_lufs=level_lufs)
    column = np.rint(wave * _FULL_SCALE).astype(np.int16)
    samples = np.repeat(column[:, np.newaxis], channels, axis=1)
    samples.flags.writeable = False
    return Take(samples, 0, n_samples)


def amplitude(frequency_hz: float, *, channels: int, level_lufs: float) -> float:
    """Return the amplitude (full scale 1) of a sine with the BS.1770 loudness `level_lufs`.

    Loudness is -0.691 + 10 lg (sum over channels of weighted mean squares).
    """
    gain_power = math.prod(_power(stage, frequency_hz) for stage in _WEIGHTING)
    mean_square = 10 ** ((level_lufs + 0.691) / 10) / channels / gain_power
    return min(math.sqrt(2 * mean_square), 10 ** (CEILING_DBFS / 20))


def _power(
    stage: tuple[tuple[float, float, float], tuple[float, float]], frequency_hz: float
) -> float:
    """Return the squared gain of one filter stage at `frequency_hz`."""
    (b0, b1, b2), (a1, a2) = stage
    angle = 2 * math.pi * min(frequency_hz, _WEIGHTING_RATE_HZ / 2.01) / _WEIGHTING_RATE_HZ
    z = complex(math.cos(angle), -math.sin(angle))
    return abs((b0 + b1 * z + b2 * z * z) / (1 + a1 * z + a2 * z * z)) ** 2


def _envelope(n_samples: int, rate_hz: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    n_ramp = min(math.ceil(RAMP_S * rate_hz), n_samples // 2)
    shape = np.ones(n_samples)
    if n_ramp:
        shape[:n_ramp] = rise(n_ramp)
        shape[n_samples - n_ramp :] = rise(n_ramp)[::-1]
    return shape
