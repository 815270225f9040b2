"""Laying: every sound at its sample, exact zeros between, flat memory."""

from __future__ import annotations

import math
import re
import subprocess
import tracemalloc
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import imageio_ffmpeg
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pausewright.plan.timeline import Say, Wait
from pausewright.problems import SoundError
from pausewright.sound.lay import lay
from pausewright.sound.take import Take
from pausewright.sound.track_files import write_track
from support.tracks.sound_samples import (
    EDGE_DBFS,
    RATE_HZ,
    at_samples,
    laid_out,
    noise_take,
    say,
    small_test,
    take_of,
    wait,
)

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray
    from pausewright.plan.timeline import Timeline
    from pausewright.sound.track_files import Format
    from pausewright.wording.line_elements import SoundElement


def flat(value: int, n_frames: int, before: int = 0, after: int = 0, channels: int = 1) -> Take:
    """Return a take that is `value` everywhere, with pads before and after its edges."""
    samples = np.full((before + n_frames + after, channels), value, np.int16)
    return Take(samples, before, before + n_frames)


def whole(timeline: Timeline, take: Any, **how: Any) -> NDArray[Any]:
    """Return the whole track in one array."""
    return np.concatenate(list(lay(timeline, take, **{"channels": 1} | how)))


def test_sounds_lie_at_their_samples_and_silence_is_zero() -> None:
    """Each sound is copied unchanged to its place; between the pads every sample is 0."""
    timeline = laid_out(small_test())

    track = whole(timeline, take_of)

    expected = np.zeros((timeline.n_samples, 1), np.int16)
    for placed in timeline.placed:
        if isinstance(placed.step, Say):
            take = take_of(placed.step.element)
            start = placed.start_sample - take.edge_start
            expected[start : start + len(take.samples)] += take.samples
    assert np.array_equal(track, expected)
    # by hand: 0.5 s lead-in at 44.1 kHz is 22,050 samples; less than 10 ms of it is fade
    assert not track[: 22_050 - 441].any()
    assert track[22_050] != 0


@settings(max_examples=40, deadline=None)
@given(st.fractions(min_value=Fraction(1, 200), max_value=2))
def test_the_length_of_a_block_changes_nothing(block_s: Fraction) -> None:
    """The same track comes out whatever the block's length."""
    timeline = laid_out([wait("0.3"), say("One."), wait("0.1"), say("Two."), wait("0.2")])

    assert np.array_equal(
        whole(timeline, take_of, block_s=block_s), whole(timeline, take_of, block_s=Fraction(2))
    )


def test_blocks_are_short_and_whole() -> None:
    """No block is longer than two seconds, all have the track's channels and type."""
    timeline = laid_out(small_test())

    blocks = list(lay(timeline, take_of, channels=2, block_s=Fraction(2)))

    assert max(map(len, blocks)) == 2 * RATE_HZ
    assert {(block.shape[1], str(block.dtype)) for block in blocks} == {(2, "int16")}
    assert sum(map(len, blocks)) == timeline.n_samples


def test_pads_reach_into_silence_and_meet() -> None:
    """Pads are laid outside the edges; where two meet, their sum is held within full scale."""
    takes = {"a": flat(20_000, 4, after=3), "b": flat(20_000, 2, before=2)}
    timeline = at_samples(100, (say("a"), 3, 7), (wait("0.03"), 7, 10), (say("b"), 10, 12))

    track = whole(timeline, lambda element: takes[element.words])[:, 0]

    # a: 3..10 with its pad, b: 8..12 with its pad; 8 and 9 are both
    assert track.tolist() == [0, 0, 0, *[20_000] * 5, 32_767, 32_767, 20_000, 20_000]


def test_a_negative_sum_is_held_too() -> None:
    """The sum of two negative pads stops at -32,767."""
    takes = {"a": flat(-30_000, 2, after=2), "b": flat(-30_000, 2, before=2)}
    timeline = at_samples(100, (say("a"), 0, 2), (wait("0.02"), 2, 4), (say("b"), 4, 6))

    track = whole(timeline, lambda element: takes[element.words])[:, 0]

    assert track.tolist() == [-30_000, -30_000, -32_767, -32_767, -30_000, -30_000]


def test_pads_beyond_the_track_are_cut() -> None:
    """A pad before the first or after the last sample of the track is left out."""
    take = flat(7, 3, before=5, after=5)
    timeline = at_samples(100, (say("a"), 2, 5), (wait("0.02"), 5, 7))

    assert whole(timeline, lambda _: take)[:, 0].tolist() == [7] * 7


def test_mono_takes_fill_both_channels() -> None:
    """A take with one channel is the same in both channels of a stereo track."""
    timeline = laid_out([wait("0.1"), say("One."), wait("0.1")])

    track = whole(timeline, take_of, channels=2)

    assert np.array_equal(track[:, 0], track[:, 1])
    assert np.array_equal(track[:, :1], whole(timeline, take_of))


def test_a_take_of_another_length_is_refused() -> None:
    """A sound that is not as long as planned stops the build with a hint."""
    timeline = at_samples(100, (say("a"), 0, 4))

    with pytest.raises(SoundError, match="4 samples long when it was planned and is 5 now"):
        whole(timeline, lambda _: flat(1, 5))


@pytest.mark.parametrize(
    ("take", "reason"),
    [
        (flat(1, 4, channels=2), r"shape \(n, 1\) or \(n, 1\)"),
        (Take(np.zeros((4, 1), np.float32), 0, 4), "not float32"),
        (Take(np.zeros((4, 1), np.int16), 0, 5), "edges 0 to 5 do not fit a take of 4"),
        (flat(1, 4, before=26), "at most 25 before its edge"),
    ],
)
def test_misshapen_takes_are_refused(take: Any, reason: str) -> None:
    """A take with wrong channels, type, edges or pad is a caller's mistake."""
    timeline = at_samples(100, (say("a"), 0, take.n_sound_samples))

    with pytest.raises(ValueError, match=reason):
        whole(timeline, lambda _: take)


@pytest.mark.parametrize("block_s", [Fraction(0), Fraction(-1), Fraction(201, 100)])
def test_blocks_out_of_range_are_refused(block_s: Fraction) -> None:
    """A block lasts more than nothing and at most two seconds."""
    with pytest.raises(ValueError, match="a block lasts"):
        whole(laid_out([say("One.")]), take_of, block_s=block_s)


def test_an_empty_timeline_gives_no_block() -> None:
    """Nothing planned, nothing laid."""
    assert list(lay(laid_out([]), take_of, channels=1)) == []


def test_memory_does_not_grow_with_the_track() -> None:
    """Laying twelve times as much takes at most 1.2 times the memory."""

    def peak_bytes(n_questions: int) -> int:
        steps = [step for _ in range(n_questions) for step in (say("A question."), wait("20"))]
        timeline = laid_out(steps)
        tracemalloc.start()
        for block in lay(timeline, fresh, channels=1):
            assert block.shape[1] == 1
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return peak

    def fresh(element: SoundElement) -> Take:
        take = take_of(element)
        return Take(take.samples.copy(), take.edge_start, take.edge_end)

    assert peak_bytes(240) <= 1.2 * peak_bytes(20)


def gaps_s(path: Path) -> list[tuple[float, float]]:
    """Return the silences that ffmpeg's silencedetect finds, 40 dB below the speech.

    It rounds its threshold for 16-bit samples down to a whole number, so the least that counts
    as loud is given.
    """
    threshold = (math.ceil(32767 * 10 ** (EDGE_DBFS / 20)) + 0.01) / 32767
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-hide_banner", "-nostats", "-i", str(path)]
    command += ["-af", f"silencedetect=noise={threshold:.9f}:duration=0.6", "-f", "null", "-"]
    log = subprocess.run(command, capture_output=True, check=True).stderr.decode()
    starts = [float(found) for found in re.findall(r"silence_start: (\S+)", log)]
    ends = [float(found) for found in re.findall(r"silence_end: (\S+)", log)]
    return list(zip(starts, ends, strict=True))


@pytest.mark.parametrize(
    ("form", "kbps", "allowed_s"),
    [
        ("wav", None, 0.0001),  # silencedetect prints six digits
        ("flac", None, 0.0001),
        ("mp3", 96, 0.020),
        ("mp3", 64, 0.020),
    ],
)
def test_gaps_are_as_long_as_declared(
    tmp_path: Path, form: Format, kbps: int, allowed_s: float
) -> None:
    """Each declared silence is found by ffmpeg's silencedetect, a ladder of 5/10/15 s among them.

    Ladder: check value AA-10, published intervals, as a check vector only. The tone's ramps
    are below the threshold for under 1 ms.
    """
    timeline = laid_out([step for step in small_test() if getattr(step, "kind", "") != "stop"])
    path = tmp_path / f"track.{form}"

    write_track(
        lay(timeline, take_of, channels=1),
        path,
        format=form,
        rate_hz=RATE_HZ,
        channels=1,
        bitrate_kbps=kbps,
    )

    waits = [item.step for item in timeline.placed if isinstance(item.step, Wait)]
    expected = [step for step in waits if step.wait_s >= Fraction(7, 10)]
    found = [gap for gap in gaps_s(path) if gap[1] - gap[0] >= 0.68]
    assert len(found) == len(expected)
    for (start_s, end_s), step in zip(found, expected, strict=True):
        beside_a_tone = 0.001 if step.kind in {"hold", "default-pause"} else 0.0
        error_s = abs(end_s - start_s - float(step.wait_s))
        assert error_s <= allowed_s + beside_a_tone, (step, start_s, end_s)


def test_takes_are_asked_for_in_order_once_each_time() -> None:
    """Every sounding asks for its take once, in playing order."""
    timeline = laid_out(small_test())
    asked = []

    def take(element: SoundElement) -> Take:
        asked.append(element)
        return take_of(element)

    whole(timeline, take)

    assert asked == [item.step.element for item in timeline.placed if isinstance(item.step, Say)]


def test_noise_takes_have_the_edges_that_they_state() -> None:
    """The tests' own sound reaches the threshold exactly at its edges."""
    take = noise_take("How many melons?")
    loud = np.abs(take.samples[:, 0]) >= 32767 * 10 ** (EDGE_DBFS / 20)

    assert np.flatnonzero(loud)[[0, -1]].tolist() == [take.edge_start, take.edge_end - 1]
