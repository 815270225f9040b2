"""Levels against ITU-T P.56 and EBU Tech 3341."""

from __future__ import annotations

import math

import numpy as np
import pytest
from pausewright.voice.speech_level import Level, active_speech_level_db, true_peak_dbtp
from scipy.signal import lfilter

RATE_HZ = 16_000


def noise(seconds: float, rms_db: float, seed: int = 1) -> np.ndarray:
    """Return Gaussian noise of a given RMS level."""
    n = np.random.default_rng(seed).standard_normal(round(seconds * RATE_HZ))
    return n / math.sqrt(float(np.mean(n**2))) * 10 ** (rms_db / 20)


def p56_sample_by_sample(signal: np.ndarray, rate_hz: int) -> float:
    """Return the active level by walking through the samples as ITU-T P.56 describes it.

    T = 0.03 s twice, H = 0.2 s, M = 15.9 dB, thresholds 2⁻¹⁵ … 2⁻¹, the crossing found by
    halving to 0.5 dB (ITU-T P.56 method B as coded in ITU-T G.191 STL, sv-p56.c: check value
    LU-20; written down anew from its description, in plain loops).
    """
    g = math.exp(-1 / (rate_hz * 0.03))
    smooth = lfilter([1 - g], [1, -g], lfilter([1 - g], [1, -g], np.abs(signal)))
    thresholds = [2.0**-k for k in range(15, 0, -1)]
    hold = math.floor(0.2 * rate_hz + 0.5)
    counts = [0] * 15
    since = [hold] * 15
    for q in smooth:
        for j, c in enumerate(thresholds):
            if q >= c:
                counts[j] += 1
                since[j] = 0
            elif since[j] < hold:
                counts[j] += 1
                since[j] += 1
            else:
                break
    power = float(np.sum(signal**2))
    levels = [10 * math.log10(power / a) if a else None for a in counts]
    for j in range(1, 15):
        upper, lower = levels[j], levels[j - 1]
        if upper is None or lower is None:
            break
        c_upper, c_lower = (20 * math.log10(thresholds[i]) for i in (j, j - 1))
        if upper - c_upper <= 15.9:
            low, high = (lower, c_lower), (upper, c_upper)
            for _ in range(30):
                mid = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
                if abs(mid[0] - mid[1] - 15.9) < 0.5:
                    return mid[0]
                if mid[0] - mid[1] > 15.9:
                    low = mid
                else:
                    high = mid
    raise AssertionError("no crossing")


@pytest.mark.parametrize("level_db", [-16.0, -26.0, -40.0])
def test_active_level_of_unbroken_noise_is_its_rms(level_db: float) -> None:
    """Noise that never pauses has its RMS as active level (ITU-T P.56: 100 % activity)."""
    assert active_speech_level_db(noise(5, level_db), RATE_HZ) == pytest.approx(level_db, abs=0.5)


def test_pauses_do_not_lower_the_active_level() -> None:
    """Noise that is on for half the time keeps its level within ±1 dB (check value LU-21)."""
    bursts = [noise(2, -26, seed) for seed in range(4)]
    pauses = np.zeros(2 * RATE_HZ)
    signal = np.concatenate([x for burst in bursts for x in (burst, pauses)])
    assert active_speech_level_db(signal, RATE_HZ) == pytest.approx(-26, abs=1.0)


@pytest.mark.parametrize("seed", range(3))
def test_agrees_with_the_description_walked_through(seed: int) -> None:
    """Our fast form gives what P.56 gives in plain loops, within its own 0.5 dB (LU-20)."""
    chance = np.random.default_rng(seed)
    parts = []
    for _ in range(6):
        parts += [
            noise(chance.uniform(0.1, 0.6), chance.uniform(-35, -20), seed),
            np.zeros(round(chance.uniform(0.05, 0.5) * RATE_HZ)),
        ]
    signal = np.concatenate(parts)
    fast = active_speech_level_db(signal, RATE_HZ)
    assert fast == pytest.approx(p56_sample_by_sample(signal, RATE_HZ), abs=0.5)


def test_a_quarter_of_a_second_has_a_level() -> None:
    """A sound too short for a loudness gate (0.4 s) has an active level near its RMS."""
    assert active_speech_level_db(noise(0.25, -26), RATE_HZ) == pytest.approx(-26, abs=0.7)


def test_silence_has_no_level() -> None:
    """Digital silence and an empty signal have no active level."""
    assert active_speech_level_db(np.zeros(RATE_HZ, np.float32), RATE_HZ) is None
    assert active_speech_level_db(np.zeros(0, np.float32), RATE_HZ) is None


@pytest.mark.parametrize(
    ("divisor", "amplitude", "phase_deg", "expected"),
    [
        (4, 0.5, 0, -6.0),
        (4, 0.5, 45, -6.0),
        (6, 0.5, 60, -6.0),
        (8, 0.5, 67.5, -6.0),
        (4, 1.41, 45, 3),
    ],
    ids=["LU-06", "LU-07", "LU-08", "LU-09", "LU-10"],
)
def test_true_peak(divisor: int, amplitude: float, phase_deg: float, expected: float) -> None:
    """Sines between the samples read +0.2/−0.4 dB (EBU Tech 3341 cases 15–19, LU-06..LU-10)."""
    n = np.arange(48_000)
    sine = amplitude * np.sin(2 * np.pi * n / divisor + math.radians(phase_deg))
    fade = np.minimum(1, np.minimum(n, n[::-1]) / 480)
    peak = true_peak_dbtp((sine * fade).astype(np.float32), 48_000)
    assert -0.4 <= peak - expected <= 0.2


def test_true_peak_of_silence() -> None:
    """Silence and nothing at all peak at minus infinity."""
    assert true_peak_dbtp(np.zeros(100, np.float32), 48_000) == -math.inf
    assert true_peak_dbtp(np.zeros(0, np.float32), 48_000) == -math.inf


def test_edge_threshold_is_40_db_below_speech() -> None:
    """A take at −23 dB is heard above an amplitude of −63 dB of full scale."""
    assert Level(-23.0).edge_amplitude == pytest.approx(10 ** (-63 / 20))
