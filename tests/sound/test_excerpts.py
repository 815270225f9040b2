"""Excerpts: an author's sound files, whole or cut, at the track's rate and channels."""

from __future__ import annotations

import math
import subprocess
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import imageio_ffmpeg
import numpy as np
import pytest
import soundfile
from pausewright.problems import Place, SoundError
from pausewright.script.model import Sound
from pausewright.sound import excerpts as excerpts_module
from pausewright.sound.excerpts import Excerpts, SoundLevel, check_level
from pyloudnorm import Meter
from support.tracks.sound_samples import full_scale

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from numpy.typing import NDArray

SPEECH_LUFS = -23.0
EDGE_DBFS = -66.0


def sine(
    length_s: float = 1.0,
    rate_hz: int = 44_100,
    peak: float = 0.1,
    frequency_hz: float = 440,
    channels: int = 1,
) -> NDArray[Any]:
    """Return a sine in all channels."""
    at = np.arange(round(length_s * rate_hz)) / rate_hz
    wave = peak * np.sin(2 * np.pi * frequency_hz * at)
    return np.repeat(wave[:, np.newaxis], channels, axis=1)


@pytest.fixture
def sound(tmp_path: Path) -> Callable[..., Sound]:
    """Return a maker of sounds beside a script: samples, rate and how they are used."""

    def make(
        samples: Any = None,
        rate_hz: int = 44_100,
        name: str = "a b é.wav",
        subtype: str | None = None,
        **how: Any,
    ) -> Sound:
        if samples is not None:
            soundfile.write(tmp_path / name, samples, rate_hz, subtype=subtype)
        return Sound("A dance", name, Place(tmp_path / "script.md", 3, 1), **how)

    return make


def shelf(channels: int = 1, rate_hz: int = 44_100) -> Excerpts:
    """Return the excerpts of a track."""
    return Excerpts(
        rate_hz=rate_hz, channels=channels, speech_lufs=SPEECH_LUFS, edge_dbfs=EDGE_DBFS
    )


def test_a_whole_file_as_recorded_is_unchanged(sound: Callable[..., Sound]) -> None:
    """A 16-bit file at the track's rate keeps every sample, and all of it counts."""
    samples = np.random.default_rng(5).integers(-900, 900, (40_003, 1), np.int16)

    take = shelf().take(sound(samples))

    assert np.abs(take.samples - samples.astype(int)).max() <= 1  # 32,767 against 32,768
    assert (take.edge_start, take.edge_end) == (0, 40_003)


@pytest.mark.parametrize("name", ["x.wav", "x.flac", "x.ogg", "x.mp3"])
def test_kinds_that_libsndfile_reads(sound: Callable[..., Sound], name: str) -> None:
    """WAV, FLAC, OGG and MP3 come with their whole length."""
    take = shelf().take(sound(sine(1.5), name=name))

    assert take.n_sound_samples == 66_150


@pytest.mark.parametrize("channels", [1, 2])
def test_m4a_is_read_too(sound: Callable[..., Sound], tmp_path: Path, channels: int) -> None:
    """A file that libsndfile cannot open is decoded by PyAV: same pitch, full length."""
    soundfile.write(tmp_path / "x.wav", sine(1.5, channels=channels), 44_100)
    subprocess.run(
        [
            imageio_ffmpeg.get_ffmpeg_exe(),
            "-v",
            "error",
            "-i",
            str(tmp_path / "x.wav"),
            "-c:a",
            "aac",
            "-b:a",
            "128k",
            str(tmp_path / "x.m4a"),
        ],
        check=True,
    )

    take = shelf().take(sound(name="x.m4a", from_s=Fraction("0.2"), to_s=Fraction("1.2")))

    assert take.n_sound_samples == 44_100
    spectrum = np.abs(np.fft.rfft(take.samples[:, 0].astype(float)))
    assert int(spectrum.argmax()) == 440
    assert np.abs(take.samples).max() == pytest.approx(3_277, rel=0.05)


@pytest.mark.parametrize("name", ["x.wav", "x.flac", "x.mp3"])
def test_a_cut_is_exact(sound: Callable[..., Sound], name: str) -> None:
    """A click at 2.000 s lies where it should in a cut from 1.25 s to 3.5 s."""
    samples = np.zeros((44_100 * 5, 1))
    samples[88_200] = 0.2

    take = shelf().take(sound(samples, name=name, from_s=Fraction("1.25"), to_s=Fraction("3.5")))

    assert take.n_sound_samples == 99_225  # 2.25 s
    assert abs(int(np.abs(take.samples[:, 0]).argmax()) - 33_075) <= 4  # 0.75 s


def test_cut_ends_have_short_ramps(sound: Callable[..., Sound]) -> None:
    """An end that from or to cuts rises and falls over 5 ms; the file's own ends do not."""
    steady = np.full((44_100, 1), 0.05)

    cut = shelf().take(sound(steady, from_s=Fraction("0.2"), to_s=Fraction("0.8"))).samples[:, 0]
    own = shelf().take(sound(steady, name="own.wav")).samples[:, 0]

    assert cut[0] == cut[-1] == 0
    assert cut[111] == pytest.approx(1_638 / 2, rel=0.02)
    assert set(cut[221:-221].tolist()) == {cut[300]}
    assert own[0] == own[-1] == own[20_000]


@pytest.mark.parametrize(("rate_hz", "frequency_hz"), [(8_000, 700), (22_050, 440), (48_000, 440)])
def test_other_rates_are_resampled_once(
    sound: Callable[..., Sound], rate_hz: int, frequency_hz: float
) -> None:
    """Pitch, level and length stay: 1 s is 44,100 samples, within 0.1 dB."""
    take = shelf().take(sound(sine(1, rate_hz, frequency_hz=frequency_hz), rate_hz))

    assert take.n_sound_samples == 44_100
    wave = take.samples[:, 0].astype(float)
    assert int(np.abs(np.fft.rfft(wave)).argmax()) == frequency_hz
    middle = wave[10_000:34_100]
    level = math.sqrt(2 * float(np.mean(middle**2))) / 32_767
    assert 20 * math.log10(level / 0.1) == pytest.approx(0, abs=0.1)


def test_stereo_becomes_its_mean_and_mono_both_channels(sound: Callable[..., Sound]) -> None:
    """Left 3,000 and right 1,000 are 2,000 in mono; mono is the same left and right."""
    stereo = np.repeat(np.array([[3_000, 1_000]], np.int16), 5_000, axis=0)
    mono = np.full((5_000, 1), 2_000, np.int16)

    mixed = shelf(channels=1).take(sound(stereo, name="s.wav")).samples
    kept = shelf(channels=2).take(sound(stereo, name="s.wav")).samples
    doubled = shelf(channels=2).take(sound(mono, name="m.wav")).samples

    assert np.abs(mixed - 2_000).max() <= 1
    assert np.abs(kept - stereo.astype(int)).max() <= 1
    assert doubled.shape == (5_000, 2)
    assert np.array_equal(doubled[:, 0], doubled[:, 1])


def test_trimmed_edges_lie_at_the_threshold(sound: Callable[..., Sound]) -> None:
    """Soft noise around a sound does not count; little of it is kept, faded to nothing."""
    noise = np.random.default_rng(2).uniform(-1, 1, (44_100 * 3, 1)) * 10 ** (-80 / 20)
    noise[44_100:88_200] += np.full((44_100, 1), 0.05)

    take = shelf().take(sound(noise, edges="trimmed"))

    assert take.n_sound_samples == 44_100
    assert take.edge_start == 441  # 10 ms
    assert len(take.samples) - take.edge_end == 1_764  # 40 ms
    assert not take.samples[0]
    assert not take.samples[-1]


def test_a_fade_out_ends_in_nothing(sound: Callable[..., Sound]) -> None:
    """Half-way through a fade-out of 0.5 s the level is half, at its end zero."""
    take = shelf().take(sound(np.full((44_100, 1), 0.05), fade_out_s=Fraction("0.5")))

    wave = take.samples[:, 0]
    assert wave[22_000] == wave[0]
    assert wave[44_100 - 11_025] == pytest.approx(wave[0] / 2, rel=0.01)
    assert wave[-1] == 0
    assert take.n_sound_samples == 44_100


def test_a_matched_level_is_that_of_the_speech(sound: Callable[..., Sound]) -> None:
    """The pyloudnorm meter measures the speech's loudness on a matched sound, within 0.1 LU."""
    made = sound(sine(3, peak=0.01), level="matched")
    excerpts = shelf()

    wave = full_scale(excerpts.take(made).samples).astype(np.float64)

    assert Meter(44_100).integrated_loudness(wave) == pytest.approx(SPEECH_LUFS, abs=0.1)
    assert excerpts.level(made).loudness_lufs == pytest.approx(SPEECH_LUFS, abs=0.1)


def test_a_matched_level_respects_the_ceiling(sound: Callable[..., Sound]) -> None:
    """A sound of few sharp clicks is turned up to a true peak of -2 dBTP and no further."""
    samples = np.zeros((44_100 * 4, 1))
    samples[10_000::20_000] = 0.05
    excerpts = shelf()

    level = excerpts.level(sound(samples, level="matched"))

    assert level.true_peak_dbtp == pytest.approx(-2.0, abs=0.01)
    assert level.loudness_lufs < SPEECH_LUFS


def test_too_loud_a_sound_is_refused(sound: Callable[..., Sound]) -> None:
    """More than 6 LU above the speech is an error with the figure and a way out."""
    with pytest.raises(SoundError, match=r"é\.wav’ is 1\d\.\d LU louder than the speech") as caught:
        shelf().take(sound(sine(2, peak=0.5)))
    assert 'level="matched"' in caught.value.hint


def test_a_peak_over_the_ceiling_is_refused(sound: Callable[..., Sound]) -> None:
    """A soft sound with one full-scale click is over -1 dBTP."""
    samples = sine(5, peak=0.01)
    samples[100_000] = 0.99

    with pytest.raises(SoundError, match=r"true peak of -?0\.\d dBTP; at most -1 dBTP"):
        shelf().take(sound(samples))


@pytest.mark.parametrize(
    ("loudness", "peak", "verdict"),
    [
        (-17.0, -1.0, "fine"),
        (-16.9, -6.0, "loud"),
        (-30.0, -0.9, "loud"),
        (-math.inf, -9.0, "fine"),
    ],
)
def test_the_limits_of_the_level(loudness: float, peak: float, verdict: str) -> None:
    """Exactly 6 LU above the speech and exactly -1 dBTP are allowed; 0.1 more is not."""
    level = SoundLevel(loudness, peak)
    if verdict == "fine":
        check_level(level, speech_lufs=SPEECH_LUFS, name="x.wav")
    else:
        with pytest.raises(SoundError, match=r"x\.wav"):
            check_level(level, speech_lufs=SPEECH_LUFS, name="x.wav")


def test_a_missing_file(sound: Callable[..., Sound]) -> None:
    """A missing file is named, with where it is looked for."""
    with pytest.raises(SoundError, match=r"‘no\.wav’ is not there") as caught:
        shelf().take(sound(name="no.wav"))
    assert "from the script's own folder" in caught.value.hint


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"RIFF",
        b"RIFF\xff\xff\xff\xffWAVEfmt ",
        b"ID3\x04" + bytes(400),
        b"hello " * 99,
        bytes(range(256)) * 20,
    ],
)
@pytest.mark.parametrize("name", ["x.wav", "x.mp3", "x.m4a"])
def test_files_that_are_no_sound(
    sound: Callable[..., Sound], tmp_path: Path, data: bytes, name: str
) -> None:
    """Damaged files of any name give a SoundError with a hint, never another error."""
    (tmp_path / name).write_bytes(data)

    with pytest.raises(SoundError, match=name) as caught:
        shelf().take(sound(name=name))
    assert caught.value.hint


def test_a_folder_is_no_sound_file(sound: Callable[..., Sound], tmp_path: Path) -> None:
    """A folder in place of a file is an error, not a crash."""
    (tmp_path / "x.wav").mkdir()

    with pytest.raises(SoundError, match=r"‘x\.wav’ is a folder"):
        shelf().take(sound(name="x.wav"))


def test_an_empty_file(sound: Callable[..., Sound]) -> None:
    """A sound file without samples is an error."""
    with pytest.raises(SoundError, match="is empty"):
        shelf().take(sound(np.zeros((0, 1))))


def test_a_silent_file(sound: Callable[..., Sound]) -> None:
    """A sound file of pure silence is an error that names the pause."""
    with pytest.raises(SoundError, match="is silent") as caught:
        shelf().take(sound(np.zeros((4_000, 1))))
    assert ".pause" in caught.value.hint


def test_a_sound_too_soft_to_trim(sound: Callable[..., Sound]) -> None:
    """Trimmed edges of a sound below the threshold are an error with a way out."""
    with pytest.raises(SoundError, match="too soft to have a beginning") as caught:
        shelf().take(sound(sine(1, peak=0.0001), edges="trimmed"))
    assert 'edges="as recorded"' in caught.value.hint


def test_values_that_are_no_sound(sound: Callable[..., Sound]) -> None:
    """A float file with not-a-number in it is an error."""
    samples = sine(1).astype(np.float32)
    samples[77] = np.nan

    with pytest.raises(SoundError, match="values that are no sound"):
        shelf().take(sound(samples, subtype="FLOAT"))


@pytest.mark.parametrize("name", ["x.wav", "x.mp3"])
@pytest.mark.parametrize(
    ("from_s", "to_s", "message"),
    [
        ("2", None, r"‘from’ \(2 s\) lies beyond the end of ‘x\.\w+’ \(1\.50 s\)"),
        ("1.5", None, r"‘from’ \(1\.5 s\) lies beyond"),
        (None, "1.6", r"‘to’ \(1\.6 s\) lies beyond the end of ‘x\.\w+’ \(1\.50 s\)"),
        ("2", "3", r"‘from’ \(2 s\) lies beyond"),
        ("1", "1", r"‘from’ \(1 s\) does not come before ‘to’ \(1 s\)"),
        ("1.2", "0.5", "does not come before"),
    ],
)
def test_cuts_outside_the_file(
    sound: Callable[..., Sound], name: str, from_s: str | None, to_s: str | None, message: str
) -> None:
    """A cut outside the file is an error that says how long the file is."""
    times = {
        "from_s": None if from_s is None else Fraction(from_s),
        "to_s": None if to_s is None else Fraction(to_s),
    }

    with pytest.raises(SoundError, match=message) as caught:
        shelf().take(sound(sine(1.5), name=name, **times))
    assert caught.value.hint


def test_a_cut_to_the_very_end(sound: Callable[..., Sound]) -> None:
    """`to` at the file's last sample is inside it."""
    take = shelf().take(sound(sine(1.5), from_s=Fraction(1), to_s=Fraction("1.5")))

    assert take.n_sound_samples == 22_050


def test_little_is_kept_in_memory(
    sound: Callable[..., Sound], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Finished excerpts are kept for the next time they sound, within a limit."""
    monkeypatch.setattr(excerpts_module, "KEPT_BYTES", 200_000)
    excerpts = shelf()
    first, second = sound(sine(1), name="1.wav"), sound(sine(2), name="2.wav")

    kept = excerpts.take(first)
    assert excerpts.take(first) is kept
    excerpts.take(second)
    assert excerpts.take(first) is not kept
    assert excerpts.n_sound_samples(second) == 88_200
