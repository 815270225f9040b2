"""The builder's meter against published signals."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from pausewright.sound.filters import filtered
from pausewright.sound.meter import integrated_lufs, loudness_lufs, true_peak_dbtp
from pyloudnorm import Meter
from scipy.signal import lfilter

if TYPE_CHECKING:
    from numpy.typing import NDArray


def sine(
    frequency_hz: float, peak_dbfs: float, length_s: float, rate_hz: int = 48_000, channels: int = 2
) -> NDArray[Any]:
    """Return a sine in all channels."""
    at = np.arange(round(length_s * rate_hz)) / rate_hz
    wave = 10 ** (peak_dbfs / 20) * np.sin(2 * np.pi * frequency_hz * at)
    return np.repeat(wave.astype(np.float32)[:, np.newaxis], channels, axis=1)


@pytest.mark.parametrize(("peak_dbfs", "expected_lufs"), [(-23.0, -23.0), (-33.0, -33.0)])
def test_steady_tones(peak_dbfs: float, expected_lufs: float) -> None:
    """1 kHz stereo for 20 s, within 0.1 LU.

    EBU Tech 3341 cases 1 and 2, as transcribed in independent meter suites (check values LU-01
    and LU-02).
    """
    assert loudness_lufs(sine(1_000, peak_dbfs, 20), 48_000) == pytest.approx(
        expected_lufs, abs=0.1
    )


def test_the_loudest_minute_counts() -> None:
    """A soft quarter of an hour does not hide a loud minute at its end."""
    soft = sine(1_000, -43.0, 130, rate_hz=16_000)
    loud = sine(1_000, -23.0, 60, rate_hz=16_000)

    measured = loudness_lufs(np.concatenate([soft, loud]), 16_000)

    assert measured == pytest.approx(-23.0, abs=0.2)


def test_a_short_sound_has_its_rms_level() -> None:
    """Under 0.4 s: -0.691 plus the mean square in dB, summed over channels (our own rule)."""
    measured = loudness_lufs(sine(1_000, -20.0, 0.2, channels=1), 48_000)

    assert measured == pytest.approx(-0.691 - 20.0 - 10 * math.log10(2), abs=0.01)


def test_silence_has_no_level() -> None:
    """Silence is minus infinity on both scales, without any warning."""
    silence = np.zeros((48_000, 1), np.float32)

    assert loudness_lufs(silence, 48_000) == -math.inf
    assert true_peak_dbtp(silence, 48_000) == -math.inf
    assert loudness_lufs(silence[:100], 48_000) == -math.inf


@pytest.mark.parametrize(
    ("per_period", "amplitude", "phase_degrees", "expected_dbtp"),
    [
        (4, 0.5, 0, -6.0),
        (4, 0.5, 45, -6.0),
        (6, 0.5, 60, -6.0),
        (8, 0.5, 67.5, -6.0),
        (4, 1.41, 45, 3.0),
    ],
)
def test_true_peaks(
    per_period: int, amplitude: float, phase_degrees: float, expected_dbtp: float
) -> None:
    """Peaks between samples are found within +0.2/-0.4 dB.

    EBU Tech 3341 cases 15 to 19, as transcribed in independent meter suites (check values
    LU-06 to LU-10). The signals fade in and out, so that no edge is sharper than the tone.
    """
    at = np.arange(48_000)
    wave = amplitude * np.sin(2 * np.pi * at / per_period + math.radians(phase_degrees))
    fade = np.minimum(1, np.minimum(at, at[::-1]) / 4_800)
    samples = (wave * fade).astype(np.float32)[:, np.newaxis]

    assert -0.4 <= true_peak_dbtp(samples, 48_000) - expected_dbtp <= 0.2


@pytest.mark.parametrize("rate_hz", [16_000, 24_000, 44_100, 48_000])
@pytest.mark.parametrize("length_s", [0.4001, 0.75, 7.31])
@pytest.mark.parametrize("channels", [1, 2])
def test_loudness_is_pyloudnorms(rate_hz: int, length_s: float, channels: int) -> None:
    """Noise that swells and dies away reads as pyloudnorm reads it, within a millionth of a LU."""
    random = np.random.default_rng(rate_hz)
    at = np.arange(round(length_s * rate_hz)) / rate_hz
    swell = (np.sin(3 * at) ** 8)[:, np.newaxis]
    wave = 0.1 * random.standard_normal((len(at), channels)) * swell

    measured = integrated_lufs(wave, rate_hz)

    assert measured == pytest.approx(Meter(rate_hz).integrated_loudness(wave), abs=1e-6)


@pytest.mark.parametrize("n_samples", [1, 999, 61_000, 200_000])
def test_filters_are_scipys(n_samples: int) -> None:
    """Two filters that ring, over the joints of the pieces, as scipy's `lfilter` has them."""
    sections = [((0.2, 0.1), (1.0, -0.9)), ((1.0, -2.0, 1.0), (1.0, -1.99, 0.9902))]
    wave = np.random.default_rng(n_samples).standard_normal(n_samples)
    expected = wave
    for given, came in sections:
        expected = lfilter(given, came, expected)

    assert np.abs(filtered(wave, sections, 8_000) - expected).max() < 1e-9 * np.abs(expected).max()
