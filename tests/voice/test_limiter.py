"""The limiter for loud targets."""

import numpy as np
import pytest
from pausewright.voice.limit import limited
from pausewright.voice.speech_level import active_speech_level_db, true_peak_dbtp

RATE_HZ = 44_100


def _speech(peak: float, seed: int = 1) -> np.ndarray:
    """Return two seconds of noise with a swing like syllables and a few strong pulses."""
    rng = np.random.default_rng(seed)
    n = np.arange(2 * RATE_HZ)
    wave = 0.1 * rng.standard_normal(len(n)) * (0.6 + 0.4 * np.sin(2 * np.pi * 4 * n / RATE_HZ))
    wave[rng.integers(0, len(n), 12)] = peak
    return wave.astype(np.float32)


@pytest.mark.parametrize("ceiling_dbtp", [-2.0, -6.0])
@pytest.mark.parametrize("seed", range(5))
def test_no_true_peak_passes_the_ceiling(ceiling_dbtp: float, seed: int) -> None:
    """Fourfold oversampling (ITU-R BS.1770) finds no peak above the ceiling."""
    out, reduced_db = limited(_speech(1.6, seed), RATE_HZ, ceiling_dbtp)

    assert true_peak_dbtp(out, RATE_HZ) <= ceiling_dbtp + 0.05
    assert reduced_db > 3


def test_what_is_below_the_ceiling_is_left_alone() -> None:
    """Quiet speech comes back to the bit."""
    wave = _speech(0.2)
    out, reduced_db = limited(wave, RATE_HZ, -2.0)

    assert reduced_db == 0
    assert np.array_equal(out, wave)


def test_only_the_neighbourhood_of_a_peak_changes() -> None:
    """Further than 8 ms from a peak nothing is touched, and the level hardly moves."""
    wave = _speech(0.2)
    wave[RATE_HZ] = 1.5
    out, _ = limited(wave, RATE_HZ, -2.0)
    changed = np.flatnonzero(out != wave)

    assert abs(changed - RATE_HZ).max() <= 0.0085 * RATE_HZ
    before, after = (active_speech_level_db(x, RATE_HZ) for x in (wave, out))
    assert before is not None
    assert after is not None
    assert abs(before - after) < 0.3


def test_silence_and_nothing_pass_through() -> None:
    """Neither an empty nor a silent signal is a special case for the caller."""
    for wave in (np.zeros(0, np.float32), np.zeros(1000, np.float32)):
        out, reduced_db = limited(wave, RATE_HZ, -2.0)
        assert len(out) == len(wave)
        assert reduced_db == 0
