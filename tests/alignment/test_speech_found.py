"""Where speech is in a recording, its readings, and files that are none."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import av
import numpy as np
import pytest
import soundfile
from pausewright.alignment.given_sound import given_sound
from pausewright.alignment.runs import repeats, runs, splits_ms
from pausewright.alignment.spectrum import spectrum
from pausewright.alignment.speech import n_reached, sounding
from pausewright.problems import SoundError
from pausewright.sound.streamed import low_sound
from support.recordings.made import RATE_HZ, Made

if TYPE_CHECKING:
    from pathlib import Path


def three_questions() -> Made:
    """Return an opening, three questions read twice, and an end."""
    made = Made().wait(0.8).say(1, 5).wait(1.4)
    for number in range(3):
        made.say(10 + number, 7).wait(2.0).say(10 + number, 7, 1.03).wait(6.0)
    return made.say(30, 4).wait(0.9)


@pytest.mark.parametrize(
    ("noise_dbfs", "most_ms"), [(None, 25), (-70, 25), (-60, 25), (-55, 25), (-50, 60), (-45, 120)]
)
def test_silences_are_as_long_as_they_were_made(noise_dbfs: float | None, most_ms: int) -> None:
    """By construction; the noise is that of quiet to noisy rooms, 23 to 48 dB under the speech."""
    made = three_questions()
    samples = made.samples(noise_dbfs)
    found = sounding(spectrum(samples, RATE_HZ), len(samples) * 1000 // RATE_HZ)
    silences = [(a, b) for a, b in found.gaps() if b - a > 500]
    true = [(1000 * a[1], 1000 * b[0]) for a, b in pairwise(made.spans_s)]

    assert len(silences) == len(true)
    for (start, end), (true_start, true_end) in zip(silences, true, strict=True):
        assert abs((end - start) - (true_end - true_start)) <= most_ms
        before = next(one for one in found.stretches if one.end_ms == start)
        after = next(one for one in found.stretches if one.start_ms == end)
        assert abs(start - true_start) <= before.end_within_ms
        assert abs(end - true_end) <= after.start_within_ms
    assert found.speech_dbfs == pytest.approx(-22, abs=2)
    if noise_dbfs is not None:
        assert found.noise_dbfs == pytest.approx(noise_dbfs, abs=1.5)


@pytest.mark.parametrize(
    ("gain", "n_frames"),
    [
        ([], 0),
        ([-1, -1], 0),
        ([2, 3, -1], 2),
        ([-2, 3, 3, -1], 0),  # behind a dip, and no more than noise may hold
        ([-2, 6, 3, -1, -4], 3),
        ([2, -1, 3, -1, 3, -1, 3], 7),  # little by little, all together more than that
        ([2, -1, 3, -1, 2], 1),
    ],
)
def test_noise_before_a_sound_is_not_of_it(gain: list[float], n_frames: int) -> None:
    """Sound goes on behind a dip only if there is more for it than noise holds by chance: 5."""
    assert n_reached(np.array(gain, np.float64), 5.0) == n_frames


def test_second_readings_are_told_and_rustles_have_no_voice() -> None:
    """Each second reading, nothing else; a rustle in an answer time is no voice."""
    made = three_questions().wait(1).rustle(0.3).wait(1)
    samples = made.samples(-60)
    shape = spectrum(samples, RATE_HZ)
    found = sounding(shape, len(samples) * 1000 // RATE_HZ)
    rows = runs(found, samples, RATE_HZ, splits_ms(found)[0])

    assert [one.is_voiced for one in rows] == [True] * 8 + [False]
    again = repeats(shape, rows[:8], 10 ** (found.speech_dbfs / 10))
    assert again == [False, False, True, False, True, False, True, False]


def video(file: Path, samples: np.ndarray[tuple[int, ...], np.dtype[np.int16]]) -> None:
    """Write an MP4 file with black pictures and sound by PyAV."""
    with av.open(str(file), "w") as container:
        sound = container.add_stream("aac", rate=RATE_HZ)
        pictures = container.add_stream("mpeg4", rate=5)
        pictures.width = pictures.height = 64
        frame = av.AudioFrame.from_ndarray(samples[np.newaxis], format="s16", layout="mono")
        frame.sample_rate = RATE_HZ
        container.mux(sound.encode(frame))
        black = av.VideoFrame(64, 64, "yuv420p")
        container.mux(pictures.encode(black))
        for stream in (sound, pictures):
            container.mux(stream.encode(None))


@pytest.mark.parametrize("name", ["a.wav", "a.flac", "a.mp3", "a.ogg", "a.mp4"])
def test_any_common_file_is_read(tmp_path: Path, name: str) -> None:
    """The same speech at the same place, within the delay of an encoder that does not tell it."""
    samples = Made().wait(1).say(3, 6).wait(1).samples()
    file = tmp_path / name
    if name.endswith("mp4"):
        video(file, samples)
    else:
        wave = samples.astype(np.float32) / 32768  # whole numbers come out wrong as MP3
        soundfile.write(file, np.stack([wave, wave], axis=1), RATE_HZ)
    found = given_sound(file).sounding

    assert found.stretches[0].start_ms == pytest.approx(1000, abs=30 if "mp" not in name else 75)
    assert low_sound(file).length_s == pytest.approx(len(samples) / RATE_HZ, abs=0.15)


@pytest.mark.parametrize(
    ("body", "part"),
    [
        (b"", "empty"),
        (b"RIFF\x00\x00\x00\x00WAVEfmt ", "cannot be read"),
        (b"no sound at all" * 99, "cannot be read"),
    ],
)
def test_what_is_no_recording_is_refused(tmp_path: Path, body: bytes, part: str) -> None:
    """With a sentence and a hint."""
    file = tmp_path / "a.wav"
    file.write_bytes(body)

    with pytest.raises(SoundError, match=part) as refused:
        given_sound(file)
    assert refused.value.hint


def test_a_silent_recording_is_refused(tmp_path: Path) -> None:
    """Nothing is found in nothing."""
    file = tmp_path / "a.wav"
    soundfile.write(file, np.zeros(RATE_HZ, np.int16), RATE_HZ)

    with pytest.raises(SoundError, match="silent"):
        given_sound(file)
