"""Versions of a given recording, by a person's voice: samples kept, gaps, pitch, room, clean edges.

The recordings are put together from labelled clips by `support.recordings.given`, with known gaps
and a room of a known level. Praat (through praat-parselmouth) measures pitch, and is no part of the
program.
"""

from __future__ import annotations

import subprocess
from dataclasses import replace
from typing import TYPE_CHECKING

import imageio_ffmpeg
import numpy as np
import parselmouth
import pytest
import soundfile
from pausewright.problems import ScriptError
from support.recordings.given import (
    END,
    FIRST,
    HELLO,
    SECOND,
    clip,
    coded,
    recording,
    script_of,
    tracks,
)

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

    Samples = NDArray[np.float64] | NDArray[np.int32]

ROOM_DB = -55.0
LONGER = """
longer: {label: B, basis: file 7, extra-time: 50 %, share-of: listed-silences,
  stretch: [answer-time, between-readings], where: each-gap}
"""


@pytest.mark.parametrize(
    ("rate_hz", "channels", "subtype", "ending"),
    [
        (8_000, 1, "PCM_16", "wav"),
        (44_100, 2, "PCM_16", "flac"),
        (48_000, 2, "PCM_24", "flac"),
        (22_050, 1, "PCM_32", "wav"),
        (96_000, 2, "FLOAT", "wav"),
        (44_100, 1, "DOUBLE", "wav"),
    ],
)
def test_what_nothing_changes_stays_bit_for_bit(
    rate_hz: int, channels: int, subtype: str, ending: str, tmp_path: Path
) -> None:
    """The standard track is the recording; longer gaps hold all its samples, in order."""
    made = recording(
        tmp_path / f"rec.{ending}", rate_hz=rate_hz, channels=channels, subtype=subtype
    )
    both = tracks(tmp_path, made, ["standard", "longer"], formats=(ending,),  # type: ignore[arg-type]
                  arrangements=LONGER)  # fmt: skip
    own, own_hz = soundfile.read(made.path, dtype="float64", always_2d=True)
    for label in "AB":
        info = soundfile.info(both.paths[label])
        assert (info.samplerate, info.channels, info.subtype) == (rate_hz, channels, subtype)
    standard = soundfile.read(both.paths["A"], dtype="float64", always_2d=True)[0]
    assert own_hz == rate_hz
    assert np.array_equal(own, standard)
    longer = soundfile.read(both.paths["B"], dtype="float64", always_2d=True)[0]
    at = 0
    for _ in range(5):  # four gaps are longer: five pieces of the recording are left
        n = same_from(own[at:], longer)
        at += n
        rest = longer[n:]
        if at == len(own):
            break
        longer = rest[found_at(rest, own[at : at + rate_hz]) :]  # grains of the room are shorter
    assert at == len(own)


def same_from(own: Samples, there: Samples) -> int:
    """Return how many samples two sounds have in common from their beginnings."""
    n = min(len(own), len(there))
    wrong = np.flatnonzero((own[:n] != there[:n]).any(axis=1))
    return int(wrong[0]) if len(wrong) else n


def found_at(where: Samples, what: Samples) -> int:
    """Return where samples stand in others, exactly."""
    first = np.flatnonzero((where[: len(where) - len(what) + 1] == what[0]).all(axis=1))
    return next(int(at) for at in first if np.array_equal(where[at : at + len(what)], what))


@pytest.mark.parametrize("noise_db", [None, -70.0, -55.0, -50.0])
def test_gaps_are_as_long_as_measured_times_the_factor(
    noise_db: float | None, tmp_path: Path
) -> None:
    """Against the gaps that the recording was made with; half as long again, ± 20 ms."""
    made = recording(tmp_path / "rec.wav", noise_db=noise_db)
    longer = tracks(tmp_path, made, ["longer"], arrangements=LONGER)
    own, wave = soundfile.read(made.path, dtype="int32", always_2d=True)[0], longer.samples("B")
    starts = []
    at = 0
    for first, last in made.spans:  # the samples of each clip stand on the track as they are
        middle = (first + last) // 2
        at += found_at(wave[at:], own[middle : middle + 4000])
        starts.append(at - (middle - first))
        at += 4000
    for i, share in enumerate((1, 1.5, 1.5, 1.5, 1.5)):
        own_n = made.spans[i + 1][0] - made.spans[i][1]
        there_n = starts[i + 1] - starts[i] - (made.spans[i][1] - made.spans[i][0])
        off_s = 0.020 if noise_db != -50 else 0.040  # there the soft end of a word is not heard
        assert there_n / made.rate_hz == pytest.approx(own_n * share / made.rate_hz, abs=off_s)


@pytest.mark.parametrize(("rate_hz", "noise_db"), [(8_000, -55.0), (44_100, None), (44_100, -55.0)])
def test_slowed_speech_has_its_length_and_its_pitch(
    rate_hz: int, noise_db: float | None, tmp_path: Path
) -> None:
    """At 80 %: the stretch that was found lasts 5/4 as long ± 1 %; Praat's pitch within 1 %."""
    made = recording(tmp_path / "rec.wav", rate_hz=rate_hz, noise_db=noise_db)
    slow = tracks(tmp_path, made, ["slow"])
    wave = slow.samples("C")[:, 0] / 2**31
    for name in (FIRST, SECOND):
        placed, bound = slow.stretch("C", name)
        n_own, n = bound.end - bound.start, placed.end_sample - placed.start_sample
        assert n / n_own == pytest.approx(1.25, rel=0.01)
        spoken = wave[placed.start_sample : placed.end_sample]
        assert edges_s(spoken, rate_hz) == pytest.approx(
            1.25 * edges_s(made.wave[bound.start : bound.end, 0], rate_hz), rel=0.01, abs=0.01
        )
        share = pitch_share(made.wave[bound.start : bound.end, 0], spoken, rate_hz)
        assert share == pytest.approx(1, abs=0.01)


def edges_s(wave: NDArray[np.float64], rate_hz: int) -> float:
    """Return how long speech is, from 10 ms frames within 25 dB of the loudest."""
    n = rate_hz // 100
    power = (wave[: len(wave) // n * n].reshape(-1, n) ** 2).mean(axis=1)
    loud = np.flatnonzero(power > power.max() * 10 ** (-25 / 10))
    return float((loud[-1] + 1 - loud[0]) * n / rate_hz)


def pitch_share(own: NDArray[np.float64], slow: NDArray[np.float64], rate_hz: int) -> float:
    """Return the middle of the ratios of Praat's pitches at the same places of the words."""

    def pitches(wave: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        found = parselmouth.Sound(wave, rate_hz).to_pitch_ac(
            time_step=0.01, pitch_floor=75, pitch_ceiling=400
        )
        return np.asarray(found.xs()), np.asarray(found.selected_array["frequency"])

    (own_s, own_hz), (slow_s, slow_hz) = pitches(own), pitches(slow)
    there = np.interp(slow_s * len(own) / len(slow), own_s, np.where(own_hz > 0, own_hz, np.nan))
    both = (slow_hz > 0) & np.isfinite(there) & (np.abs(slow_hz / there - 1) < 0.3)
    assert both.sum() > 30
    return float(np.median(slow_hz[both] / there[both]))


def test_the_room_goes_on_in_a_longer_gap(tmp_path: Path) -> None:
    """Level within 1 dB in each second, no loop, no step, no digital silence."""
    layout = (0.7, HELLO, 1.1, FIRST, 2.3, FIRST, 8.1, SECOND, 2.1, SECOND, 7.93, END, 1.4)
    made = recording(tmp_path / "rec.wav", layout, noise_db=ROOM_DB)
    third = (
        "much: {label: B, basis: file 7, extra-time: 200 %, share-of: listed-silences, "
        "stretch: [answer-time], where: each-gap}"
    )
    long = tracks(tmp_path, made, ["much"], arrangements=third)
    start, end = long.silence("B", "answer-time")
    wave = long.samples("B")[start + made.rate_hz // 2 : end - made.rate_hz // 2, 0] / 2**31
    own = made.wave[made.spans[2][1] + made.rate_hz // 2 : made.spans[3][0] - made.rate_hz // 2, 0]
    seconds = wave[: len(wave) // made.rate_hz * made.rate_hz].reshape(-1, made.rate_hz)
    levels_db = 10 * np.log10((seconds**2).mean(axis=1) / (own**2).mean())
    assert len(levels_db) >= 20
    assert np.abs(levels_db).max() < 1
    assert np.abs(np.diff(wave)).max() < 1.3 * np.abs(np.diff(own)).max()
    assert most_alike_later(wave, made.rate_hz) < 0.3


def most_alike_later(wave: NDArray[np.float64], rate_hz: int) -> float:
    """Return how like itself a noise is at best 0.2 s and more later; a loop comes to nearly 1.

    Its hum, which is as it always was, is taken out first.
    """
    spectrum = np.fft.rfft(wave)
    bins = np.arange(len(spectrum)) * rate_hz / len(wave)
    spectrum[bins < 400] = 0
    again = np.fft.irfft(np.abs(spectrum) ** 2)
    return float(np.abs(again[rate_hz // 5 : len(again) // 2]).max() / again[0])


def test_a_clean_recording_gets_digital_silence(tmp_path: Path) -> None:
    """Where the recording is exactly 0, so is what is put in."""
    made = recording(tmp_path / "rec.wav", noise_db=None)
    longer = tracks(tmp_path, made, ["longer"], arrangements=LONGER)
    start, end = longer.silence("B", "answer-time")
    room = longer.samples("B")[start + made.rate_hz // 2 : end - made.rate_hz // 2]
    assert len(room) > 10 * made.rate_hz
    assert not room.any()


def test_further_readings_are_takes_of_the_recording(tmp_path: Path) -> None:
    """A third reading is the last take once more, sample for sample."""
    made = recording(tmp_path / "rec.wav")
    third = tracks(tmp_path, made, ["third"])
    wave = third.samples("D")
    (second, one), (again, other) = (third.stretch("D", FIRST, n) for n in (1, 2))
    n = second.end_sample - second.start_sample
    assert one == other
    assert np.array_equal(
        wave[second.start_sample : second.start_sample + n],
        wave[again.start_sample : again.start_sample + n],
    )


def test_without_rights_an_arrangement_is_refused(tmp_path: Path) -> None:
    """The standard track needs none; what they say is not judged."""
    made = recording(tmp_path / "rec.wav")
    text = script_of(made).replace("recording-rights: made for a test\n", "")
    with pytest.raises(ScriptError) as refused:
        tracks(tmp_path, made, ["longer"], text=text, arrangements=LONGER)
    assert [one.code for one in refused.value.problems if one.severity == "error"] == [
        "recording-rights"
    ]
    tracks(tmp_path, made, ["standard"], text=text, arrangements=LONGER)


def test_where_there_is_no_clean_edge_it_is_refused(tmp_path: Path) -> None:
    """Two stretches with 20 ms between them: neither a pause nor slower speech is made there."""
    layout = (0.7, HELLO, 0.02, FIRST, 2.3, END, 1.4)
    made = recording(tmp_path / "rec.wav", layout)

    def bound(i: int, words: str) -> str:
        start, end = (at / made.rate_hz for at in made.spans[i])
        return f'![x](rec.wav){{from="{start:.3f} s" to="{end:.3f} s" words="{words}"}}'

    text = (
        "---\ntitle: Tide tables\nlanguage: en-GB\nvoice: joe\nrecording-rights: x\n---\n\n"
        '# Test {answer-time="2 s"}\n\n'
        f'1. {bound(0, "Hello.")} {bound(1, "Please enter it.")} {{key="5"}}\n\n'
        f"{bound(2, 'Goodbye.')}\n"
    )
    wanted = "p: {label: B, basis: file 7, pauses: {sentence: 1.2 s}}"
    with pytest.raises(ScriptError) as refused:
        tracks(tmp_path, made, ["p"], text=text, arrangements=wanted)
    (problem,) = [one for one in refused.value.problems if one.severity == "error"]
    assert "no clean edge" in problem.message
    assert problem.place.line == 10


def test_a_mark_inside_a_stretch_is_refused_with_its_line(tmp_path: Path) -> None:
    """Where in the sound a comma stands only its own from and to can tell."""
    made = recording(tmp_path / "rec.wav")
    text = script_of(made).replace("Please enter your conference", "Please, enter your conference")
    wanted = "p: {label: B, basis: file 7, pauses: {clause: 0.6 s}}"
    with pytest.raises(ScriptError) as refused:
        tracks(tmp_path, made, ["p"], text=text, arrangements=wanted)
    problems = [one for one in refused.value.problems if "mark at which" in one.message]
    assert [one.place.line for one in problems] == [12]


def test_a_recording_of_hours_takes_little_memory(tmp_path: Path) -> None:
    """Ten minutes take as much as one, but for two numbers for each 5 ms (tracemalloc)."""
    import tracemalloc  # noqa: PLC0415  only here

    peaks = []
    for gap_s in (20.0, 560.0):
        folder = tmp_path / str(gap_s)
        folder.mkdir()
        layout = (0.7, HELLO, gap_s, FIRST, 2.3, FIRST, 8.1, SECOND, 2.1, SECOND, 7.93, END, 1.4)
        made = recording(folder / "rec.wav", layout, rate_hz=16_000)
        tracemalloc.start()
        tracks(folder, made, ["longer"], arrangements=LONGER)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] - peaks[0] < 12e6


@pytest.mark.parametrize("name", ["rec.mp3", "rec.m4a", "rec.mp4"])
def test_coded_recordings_are_decoded_once_and_stay(name: str, tmp_path: Path) -> None:
    """MP3, M4A and a video: both versions are good, and hold what ffmpeg's program decodes.

    What differs from it is at least 60 dB below the speech: the decoders' rounding, nothing else.
    """
    made = recording(tmp_path / "first.wav")
    source = tmp_path / name
    coded(made.path, source)
    both = tracks(tmp_path, replace(made, path=source), ["standard", "longer"],
                  arrangements=LONGER)  # fmt: skip
    for label in "AB":
        assert [one.sentence for one in both.check(label).errors] == []
        assert soundfile.info(both.paths[label]).subtype == "FLOAT"
    found = soundfile.read(both.paths["A"], dtype="float64")[0]
    program = imageio_ffmpeg.get_ffmpeg_exe()
    command = [program, "-v", "error", "-i", str(source), "-f", "f32le", "-ac", "1", "-"]
    raw = subprocess.run(command, capture_output=True, check=True).stdout
    own = np.frombuffer(raw, np.float32).astype(np.float64)
    n = min(len(own), len(found))
    first, last = made.spans[1]
    speech = (found[first:last] ** 2).mean()
    assert abs(len(own) - len(found)) <= 2048  # what coders add at the end
    assert 10 * np.log10(((found[:n] - own[:n]) ** 2).mean() / speech + 1e-15) <= -60


def test_clips_are_a_persons() -> None:
    """The clips are there, and sound."""
    assert len(clip(HELLO, 8_000)) > 2_000
