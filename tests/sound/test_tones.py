"""Tones: their length, frequency, ramps and loudness."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import pytest
from pausewright.problems import SoundError
from pausewright.script.declared import ToneSpec
from pausewright.sound.tones import amplitude, tone_take
from pyloudnorm import Meter
from support.tracks.sound_samples import full_scale

if TYPE_CHECKING:
    from pausewright.sound.take import Take


def tone(
    frequency_hz: float,
    tone_s: str | int,
    *,
    rate_hz: int = 44_100,
    channels: int = 1,
    level_lufs: float = -23.0,
) -> Take:
    """Return a tone."""
    spec = ToneSpec(Fraction(frequency_hz), Fraction(tone_s))
    return tone_take(spec, rate_hz=rate_hz, channels=channels, level_lufs=level_lufs)


@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("rate_hz", [22_050, 44_100, 48_000])
@pytest.mark.parametrize("frequency_hz", [200, 520, 1_000, 2_000, 4_000])
def test_a_long_tone_has_the_loudness_of_speech(
    frequency_hz: float, rate_hz: int, channels: int
) -> None:
    """By pyloudnorm the loudness is the asked one, at most 0.15 LU below and 0.1 LU above."""
    take = tone(frequency_hz, 3, rate_hz=rate_hz, channels=channels)

    measured = Meter(rate_hz).integrated_loudness(full_scale(take.samples).astype(np.float64))

    assert -0.15 <= measured + 23 <= 0.1


def test_the_published_calibration_tone() -> None:
    """1 kHz at -23.0 dBFS in both channels is -23.0 LUFS, within 0.1.

    EBU Tech 3341 case 1, as transcribed in independent meter suites (check value LU-01).
    """
    assert 20 * math.log10(amplitude(1_000, channels=2, level_lufs=-23.0)) == pytest.approx(
        -23.0, abs=0.1
    )


def test_one_channel_reads_three_decibels_less() -> None:
    """997 Hz at full scale in one channel is -3.01 LKFS (ITU-R BS.1770, check value LU-12)."""
    assert 20 * math.log10(amplitude(997, channels=1, level_lufs=-33.01)) == pytest.approx(
        -30.0, abs=0.05
    )


def test_the_continuation_tone_by_hand() -> None:
    """0.4 s at 44.1 kHz are 17,640 samples; 520 Hz crosses zero upwards 208 times in them."""
    take = tone(520, "0.4")

    wave = take.samples[:, 0].astype(int)
    assert (take.edge_start, take.edge_end, wave.shape) == (0, 17_640, (17_640,))
    assert np.count_nonzero((wave[:-1] < 0) & (wave[1:] >= 0)) == pytest.approx(208, abs=1)


def test_ramps_are_ten_milliseconds_of_raised_cosine() -> None:
    """The envelope is half-way up after 5 ms, whole after 10 ms, and the same backwards."""
    wave = tone(2_000, "0.2", rate_hz=48_000).samples[:, 0].astype(float)
    top = np.abs(wave[1_000:8_000]).max()

    def height(at_ms: float) -> float:
        at = int(at_ms * 48)
        return float(np.abs(wave[at - 12 : at + 12]).max() / top)

    assert height(5) == pytest.approx(0.5, abs=0.06)
    assert height(10.3) == pytest.approx(1.0, abs=0.01)
    assert np.abs(wave[:24]).max() < 0.03 * top
    assert np.abs(wave[-24:]).max() < 0.03 * top


def test_a_length_between_samples_is_never_short() -> None:
    """A third of a second at 44,101 Hz is 14,701 samples, the next whole number up."""
    take = tone_take(
        ToneSpec(Fraction(520), Fraction(1, 3)), rate_hz=44_101, channels=1, level_lufs=-23.0
    )
    assert take.n_sound_samples == 14_701


def test_a_very_short_tone_is_all_ramp() -> None:
    """A tone of 4 ms begins and ends near zero."""
    wave = tone(1_000, "0.004").samples[:, 0]

    assert len(wave) == 177
    assert max(abs(int(wave[0])), abs(int(wave[-1]))) < 40


def test_a_low_tone_stays_below_the_ceiling() -> None:
    """20 Hz would need more than full scale; it is held at -2 dBFS."""
    take = tone(20, 1, level_lufs=-10.0)

    assert np.abs(take.samples).max() <= math.ceil(32_767 * 10 ** (-2 / 20))


@pytest.mark.parametrize("frequency_hz", [0, 19, 22_050, 30_000])
def test_tones_that_nobody_can_hear_are_refused(frequency_hz: float) -> None:
    """A frequency outside hearing or the track's range is an error with an example."""
    with pytest.raises(SoundError, match=f"a tone of {frequency_hz} Hz cannot be heard") as caught:
        tone(frequency_hz, 1)
    assert "520 Hz" in caught.value.hint


def test_a_tone_without_length_is_refused() -> None:
    """A tone of no length is an error with an example."""
    with pytest.raises(SoundError, match="a tone of 0 s is no tone"):
        tone(520, 0)


def test_both_channels_are_the_same_and_frozen() -> None:
    """A stereo tone is the same left and right, and nobody can change it."""
    take = tone(520, "0.4", channels=2)

    assert np.array_equal(take.samples[:, 0], take.samples[:, 1])
    with pytest.raises(ValueError, match="read-only"):
        take.samples[0] = 1
