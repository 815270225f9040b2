"""The check's meters against published signals and other implementations."""

from __future__ import annotations

import math
import re
import subprocess
from typing import TYPE_CHECKING

import numpy as np
import pyloudnorm
import pytest
import soundfile
from pausewright.checker.files.columns import is_zero, loudest, mixed
from pausewright.checker.listen.level import SpeechLevelMeter
from pausewright.checker.listen.loudness import (
    CHUNK,
    LoudnessMeter,
    TruePeakMeter,
    decibels,
    weighting,
)

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray
    from pausewright.checker.listen.level import SpeechLevel
    from support.tracks.checker_tracks import Wave

RATE_HZ = 48_000


def sine(frequency_hz: float, peak_dbfs: float, length_s: float, n_channels: int = 2) -> Wave:
    """Return a sine, in phase on all channels."""
    wave = 10 ** (peak_dbfs / 20) * np.sin(
        2 * np.pi * frequency_hz * np.arange(round(length_s * RATE_HZ)) / RATE_HZ
    )
    return np.repeat(wave[:, None], n_channels, axis=1).astype(np.float32)


def measured_lufs(wave: Wave, rate_hz: int = RATE_HZ, block_frames: int = 16_384) -> float | None:
    """Return the loudness of samples, fed in blocks as a decoder would."""
    meter = LoudnessMeter(rate_hz, wave.shape[1])
    for at in range(0, len(wave), block_frames):
        block = wave[at : at + block_frames]
        if block.any():
            meter.add(block)
        else:
            meter.add_silence(len(block))
    return meter.integrated_lufs()


def measured_peak_db(wave: Wave, block_frames: int = 16_384) -> tuple[float | None, float | None]:
    """Return true and sample peak in decibels of samples fed in blocks."""
    meter = TruePeakMeter(wave.shape[1])
    for at in range(0, len(wave), block_frames):
        meter.add(wave[at : at + block_frames])
    meter.finish()
    return decibels(meter.true_peak), decibels(meter.sample_peak)


@pytest.mark.parametrize(
    ("steps", "expected_lufs"),
    [
        pytest.param([(-23, 20)], -23.0, id="LU-01"),
        pytest.param([(-33, 20)], -33.0, id="LU-02"),
        pytest.param([(-36, 10), (-23, 60), (-36, 10)], -23.0, id="LU-03"),
        pytest.param([(-72, 10), (-36, 10), (-23, 60), (-36, 10), (-72, 10)], -23.0, id="LU-04"),
        pytest.param([(-26, 20), (-20, 20.1), (-26, 20)], -23.0, id="LU-05"),
    ],
)
def test_loudness_signals(steps: list[tuple[float, float]], expected_lufs: float) -> None:
    """EBU Tech 3341 cases 1 to 5, as transcribed in independent meter suites (±0.1 LU)."""
    wave = np.concatenate([sine(1000, level, length_s) for level, length_s in steps])

    assert measured_lufs(wave) == pytest.approx(expected_lufs, abs=0.1)


def test_calibration_tone() -> None:
    """997 Hz at full scale on one channel reads −3.01 LKFS (BS.1770-4 Annex 1, LU-12)."""
    assert measured_lufs(sine(997, 0, 5, n_channels=1)) == pytest.approx(-3.01, abs=0.05)


def test_weighting_at_48_khz() -> None:
    """At 48 kHz the filters are those of the tables in BS.1770-4 Annex 1 (from memory)."""
    shelf, high_pass = weighting(48_000)

    assert shelf == pytest.approx(
        [
            1.53512485958697,
            -2.69169618940638,
            1.19839281085285,
            1.0,
            -1.69065929318241,
            0.73248077421585,
        ],
        abs=1e-6,
    )
    assert high_pass == pytest.approx(
        [1.0, -2.0, 1.0, 1.0, -1.99004745483398, 0.99007225036621], abs=1e-6
    )


@pytest.mark.parametrize("rate_hz", [22_050, 44_100, 48_000])
def test_loudness_agrees_with_pyloudnorm(rate_hz: int) -> None:
    """Bursts with long silences read as pyloudnorm reads them, within 0.1 LU."""
    random = np.random.default_rng(3)
    wave = random.standard_normal((rate_hz * 12, 1)).astype(np.float32) * 0.05
    wave[3 * rate_hz : 9 * rate_hz] = 0

    reference = pyloudnorm.Meter(rate_hz).integrated_loudness(wave)

    assert measured_lufs(wave, rate_hz, 5_000) == pytest.approx(reference, abs=0.1)


def test_silence_has_no_loudness() -> None:
    """Digital silence and anything under 400 ms has no loudness, and does not fail."""
    assert measured_lufs(np.zeros((RATE_HZ, 1), dtype=np.float32)) is None
    assert measured_lufs(sine(1000, -20, 0.39)) is None


@pytest.mark.parametrize(
    ("divisor", "amplitude", "phase_deg", "expected_db"),
    [
        pytest.param(4, 0.50, 0, -6.0, id="LU-06"),
        pytest.param(4, 0.50, 45, -6.0, id="LU-07"),
        pytest.param(6, 0.50, 60, -6.0, id="LU-08"),
        pytest.param(8, 0.50, 67.5, -6.0, id="LU-09"),
        pytest.param(4, 1.41, 45, 3.0, id="LU-10"),
    ],
)
def test_true_peak_signals(
    divisor: int, amplitude: float, phase_deg: float, expected_db: float
) -> None:
    """EBU Tech 3341 cases 15 to 19, as transcribed in meter suites: +0.2/−0.4 dB."""
    at = np.arange(RATE_HZ)
    wave = amplitude * np.sin(2 * np.pi * at / divisor + math.radians(phase_deg))
    wave *= np.clip(np.minimum(at, at[::-1]) / 2400, 0, 1)

    true_db, _ = measured_peak_db(wave[:, None].astype(np.float32))

    assert true_db is not None
    assert -0.4 <= true_db - expected_db <= 0.2


def test_a_sample_peak_meter_would_fail() -> None:
    """Case 16 (LU-07) has its samples 3 dB below its true peak: only oversampling finds it."""
    wave = 0.5 * np.sin(np.pi / 2 * np.arange(RATE_HZ) + np.pi / 4)

    _, sample_db = measured_peak_db(wave[:, None].astype(np.float32))

    assert sample_db == pytest.approx(-9.03, abs=0.01)


def test_skipping_chunks_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """The skip rule leaves out chunks, and the peak is still that of the whole oversampled wave."""
    random = np.random.default_rng(5)
    wave = random.standard_normal((60_000, 1)).astype(np.float32) * 0.1
    wave *= np.sin(np.linspace(0, 20, len(wave)))[:, None].astype(np.float32) ** 2
    meter = TruePeakMeter(1)
    n_looked_at = 0
    look = meter._oversample

    def counted(samples: NDArray[np.float32], starts: NDArray[np.int64]) -> None:
        nonlocal n_looked_at
        n_looked_at += len(starts) * CHUNK
        look(samples, starts)

    monkeypatch.setattr(meter, "_oversample", counted)
    meter.add(wave)
    meter.finish()

    padded = np.pad(wave[:, 0], 23)
    between = np.lib.stride_tricks.sliding_window_view(padded, 24) @ meter._taps

    whole = max(np.abs(between).max(), np.abs(wave).max())
    assert meter.true_peak == pytest.approx(whole, rel=1e-6)
    assert 0 < n_looked_at < 0.6 * 60_000


def test_levels_agree_with_ffmpeg(tmp_path: Path) -> None:
    """FFmpeg's ebur128 reads the same loudness (±0.1 LU) and true peak (±0.3 dB)."""
    imageio_ffmpeg = pytest.importorskip("imageio_ffmpeg")
    random = np.random.default_rng(9)
    wave = np.cumsum(random.standard_normal((RATE_HZ * 8, 1)), axis=0)
    wave = np.diff(wave, axis=0, prepend=0) + 0.5 * np.roll(wave - np.roll(wave, 40, 0), 3, 0)
    wave[2 * RATE_HZ : 5 * RATE_HZ] = 0
    wave = (wave * 0.5 / np.abs(wave).max()).astype(np.float32)
    soundfile.write(str(tmp_path / "w.wav"), wave, RATE_HZ, subtype="FLOAT")
    program = imageio_ffmpeg.get_ffmpeg_exe()
    told = subprocess.run(
        [
            program,
            "-nostats",
            "-i",
            str(tmp_path / "w.wav"),
            "-af",
            "ebur128=peak=true",
            "-f",
            "null",
            "-",
        ],
        capture_output=True,
        text=True,
        check=True,
    ).stderr
    summary = told[told.rindex("Summary:") :]
    (lufs,) = map(float, re.findall(r"I:\s+(-?[\d.]+) LUFS", summary))
    (peak_db,) = map(float, re.findall(r"Peak:\s+(-?[\d.]+) dBFS", summary))

    assert measured_lufs(wave) == pytest.approx(lufs, abs=0.1)
    assert measured_peak_db(wave)[0] == pytest.approx(peak_db, abs=0.3)


def found(meter: SpeechLevelMeter) -> SpeechLevel:
    """Return what a meter found; it must have found something."""
    level = meter.level()
    assert level is not None
    return level


def p56_sample_by_sample(wave: Wave, rate_hz: int) -> tuple[float, float]:
    """Return active level and activity by ITU-T P.56 method B, one sample at a time.

    A plain transcription of the method (LU-20): two smoothers of 0.03 s, 15 thresholds a factor
    of two apart, hangover 0.2 s, margin 15.9 dB, interpolation between thresholds.
    """
    keep = math.exp(-1 / (0.03 * rate_hz))
    hang = math.ceil(0.2 * rate_hz)
    thresholds = [2.0**-k for k in range(15, 0, -1)]
    counts, waits = [0] * 15, [hang] * 15
    p = q = squares = 0.0
    for x in wave.tolist():
        squares += x * x
        p = keep * p + (1 - keep) * abs(x)
        q = keep * q + (1 - keep) * p
        for j, threshold in enumerate(thresholds):
            if q >= threshold:
                counts[j] += 1
                waits[j] = 0
            elif waits[j] < hang:
                counts[j] += 1
                waits[j] += 1
    previous = (0.0, 0.0)
    for threshold, count in zip(thresholds, counts, strict=True):
        level = 10 * math.log10(squares / count)
        excess = level - 20 * math.log10(threshold) - 15.9
        if excess <= 0:
            share = previous[1] / (previous[1] - excess)
            found = previous[0] + share * (level - previous[0])
            return found, squares / len(wave) / 10 ** (found / 10)
        previous = (level, excess)
    raise AssertionError


@pytest.mark.parametrize("gain_db", [-36, -20, -6])
def test_speech_level_against_the_method_itself(gain_db: float) -> None:
    """Bursts with pauses read as P.56 taken sample by sample; promised ±1 dB, kept ±0.1 dB."""
    rate_hz = 8_000
    random = np.random.default_rng(2)
    at = np.arange(6 * rate_hz) / rate_hz
    wave = random.standard_normal(len(at)) * 10 ** (gain_db / 20) * 0.3
    wave *= (np.sin(2 * np.pi * 3 * at) > -0.3) & (np.sin(2 * np.pi * 0.4 * at) > 0)
    wave32: Wave = wave.astype(np.float32)
    meter = SpeechLevelMeter(rate_hz)
    for start in range(0, len(wave32), 1000):
        block = wave32[start : start + 1000, None]
        if block.any():
            meter.add(block)
        else:
            meter.add_silence(len(block))

    level_db, activity = p56_sample_by_sample(wave32, rate_hz)

    assert found(meter).active_dbfs == pytest.approx(level_db, abs=0.1)
    assert found(meter).activity == pytest.approx(activity, abs=0.01)


def test_speech_level_of_a_steady_tone() -> None:
    """A tone without pauses has its RMS as its level and is active all the time."""
    meter = SpeechLevelMeter(RATE_HZ)
    meter.add(sine(500, -20, 10, n_channels=1))

    assert found(meter).active_dbfs == pytest.approx(-23.01, abs=0.1)
    assert found(meter).activity == pytest.approx(1, abs=0.02)


def test_long_silence_does_not_change_the_speech_level() -> None:
    """Ten minutes of silence after the speech leave its level where it was."""
    tone = sine(500, -20, 10, n_channels=1)
    meter, alone = SpeechLevelMeter(RATE_HZ), SpeechLevelMeter(RATE_HZ)
    alone.add(tone)
    alone.add_silence(RATE_HZ)
    meter.add(tone)
    meter.add_silence(600 * RATE_HZ)

    assert found(meter).active_dbfs == pytest.approx(found(alone).active_dbfs, abs=1e-9)


def test_silence_has_no_speech_level() -> None:
    """Digital silence has no speech level, and does not fail."""
    meter = SpeechLevelMeter(RATE_HZ)
    meter.add_silence(RATE_HZ)

    assert meter.level() is None


@pytest.mark.parametrize("silence_s", [0.1, 0.4, 3.0])
def test_no_number_of_the_loudness_filter_grows_too_small(silence_s: float) -> None:
    """In digital silence none is denormal: a processor takes a hundred times as long over those."""
    meter = LoudnessMeter(RATE_HZ, 1)
    meter.add(np.full((RATE_HZ // 10, 1), 0.1, np.float32))
    meter.add(np.zeros((round(silence_s * RATE_HZ), 1), np.float32))

    sizes = np.abs(meter._filter._states)
    assert sizes[sizes > 0].min(initial=1) >= np.finfo(np.float64).tiny


@pytest.mark.parametrize("n_channels", [1, 2])
def test_channels_come_to_what_numpy_makes_of_them(n_channels: int) -> None:
    """The largest, the mean and exact silence of a block with zeros in it, as along an axis."""
    block = np.random.default_rng(n_channels).normal(size=(999, n_channels)).astype(np.float32)
    block[::3, 0] = block[::5, -1] = 0

    assert np.array_equal(loudest(block), np.abs(block).max(axis=1))
    assert np.array_equal(mixed(block), block.mean(axis=1))
    assert np.array_equal(is_zero(block), ~block.any(axis=1))
    assert 0 < np.count_nonzero(is_zero(block)) < len(block)
