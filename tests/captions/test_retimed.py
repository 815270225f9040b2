"""Captions moved from one track to another: what they keep to, worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pausewright.captions.cues import cues
from pausewright.captions.time_transfer import INTO_SILENCE_MS, retime_cues
from pausewright.captions.webvtt import webvtt
from pausewright.plan.timeline import Wait
from pausewright.problems import Place, Problems
from pausewright.script.recordings.caption_files import parsed
from pausewright.script.recordings.supplied_cues import SuppliedCue
from pausewright.script.references import QuestionRef
from support.amounts import cases
from support.tracks.sound_samples import at_samples, laid_out, say, small_test, wait

if TYPE_CHECKING:
    from pausewright.plan.timeline import Step, Timeline

FILE = Path("t.vtt")


def cue(start_ms: int, end_ms: int, line: int = 3) -> SuppliedCue:
    """Return a supplied caption."""
    return SuppliedCue(start_ms, end_ms, "", "", ("Words.",), Place(FILE, line, 1))


def two(gap: str, kind: str = "pause", first_ms: int = 2_000) -> Timeline:
    """Return a track: a sentence of some ms from 1 s on, a silence, a sentence of 1 s."""
    silence = wait(gap, kind)  # type: ignore[arg-type]
    gap_ms = int(1000 * Fraction(gap))
    at = 1_000 + first_ms
    steps: list[tuple[Step, int, int]] = [
        (wait("1", "lead-in"), 0, 1_000),
        (say("One."), 1_000, at),
        (silence, at, at + gap_ms),
        (say("Two.", question=QuestionRef(1)), at + gap_ms, at + gap_ms + 1_000),
        (wait("1", "run-out"), at + gap_ms + 1_000, at + gap_ms + 2_000),
    ]
    return at_samples(1_000, *steps)


def moved(
    one: SuppliedCue, was: Timeline, now: Timeline
) -> tuple[list[tuple[int, int]], list[str]]:
    """Return the times of a caption on the other track, and what is told of it."""
    problems = Problems()
    found, _ = retime_cues([one], was, now, problems)
    return [(c.start_ms, c.end_ms) for c in found], [p.message for p in problems.all]


@pytest.mark.parametrize(
    ("times", "expected"),
    [
        pytest.param((1_000, 3_000), (1_000, 4_000), id="the-whole-sentence"),
        pytest.param((2_000, 2_500), (2_500, 3_250), id="inside-it"),
        pytest.param((900, 3_400), (900, 4_400), id="before-and-after-it"),
        pytest.param((3_500, 4_000), (4_500, 5_000), id="in-the-pause-nearer-to-the-first"),
        pytest.param((6_000, 6_800), (9_000, 9_800), id="in-the-pause-nearer-to-the-second"),
        pytest.param((7_000, 8_000), (10_000, 11_000), id="the-second-sentence"),
        pytest.param((1_000, 8_000), (1_000, 11_000), id="over-both"),
        pytest.param((8_200, 8_900), (11_200, 11_900), id="after-all-sound"),
    ],
)
def test_what_a_caption_keeps_to(times: tuple[int, int], expected: tuple[int, int]) -> None:
    """The first sentence lasts 3/2 as long, and the author's pause 6 s in place of 4 s."""
    assert moved(cue(*times), two("4"), two("6", first_ms=3_000)) == ([expected], [])


@pytest.mark.parametrize(
    ("times", "expected", "told"),
    [
        pytest.param((1_000, 3_150), (1_000, 3_150), "", id="a-little-into-it"),
        pytest.param((1_000, 5_000), (1_000, 3_000), "stands on into a silence", id="hanging"),
        pytest.param((1_000, 8_000), (1_000, 3_000), "stands through a silence", id="through"),
        pytest.param((6_000, 7_000), (8_000, 9_000), "stands in a silence", id="inside"),
        pytest.param((6_000, 8_000), (8_800, 10_000), "", id="early"),
    ],
)
def test_a_silence_of_the_candidates(
    times: tuple[int, int], expected: tuple[int, int], told: str
) -> None:
    """No caption of speech stands in an answer time, here 4 s, then 6 s."""
    found, said = moved(cue(*times), two("4", "answer-time"), two("6", "answer-time"))

    assert found == [expected]
    assert [told in message for message in said] == [True] * bool(told)


def test_what_comes_after_the_end_is_no_caption_of_this_track() -> None:
    """The standard track ends at 9 s."""
    found, said = moved(cue(9_000, 9_500), two("4"), two("6"))

    assert found == []
    assert said == ["this caption begins after the end of the standard track"]


def stretched(steps: list[Step]) -> list[Step]:
    """Return steps whose answer times are half as long again."""
    return [
        replace(step, wait_s=step.wait_s * Fraction(3, 2))
        if isinstance(step, Wait) and step.kind == "answer-time"
        else step
        for step in steps
    ]


def test_our_own_captions_come_out_as_we_make_them() -> None:
    """The captions of a track become those of another, to a millisecond; none moves at home."""
    kept = {None, QuestionRef(1)}
    steps = [step for step in small_test() if getattr(step, "question", None) in kept]
    was, now = laid_out(steps), laid_out(stretched(steps))
    held = parsed(FILE, webvtt(cues(was), language="en-GB").encode(), Problems())

    for line in (was, now):
        found, n_left_out = retime_cues(held.cues, was, line, Problems())
        own = cues(line)
        assert n_left_out == 0
        assert [c.identifier for c in found] == [c.identifier for c in own]
        assert [c.start_ms for c in found] == pytest.approx([c.start_ms for c in own], abs=1)
        assert [c.end_ms for c in found] == pytest.approx([c.end_ms for c in own], abs=1)


@settings(max_examples=cases(60, 2000), deadline=None)
@given(st.lists(st.tuples(st.integers(0, 9_500), st.integers(1, 9_000)), max_size=6))
def test_any_captions(times: list[tuple[int, int]]) -> None:
    """Whatever times a file has, captions come out in order, inside the track, none empty."""
    given_cues = [cue(start, start + length, n) for n, (start, length) in enumerate(sorted(times))]
    was, now = two("4", "answer-time"), two("6", "answer-time", first_ms=1_500)
    found, n_left_out = retime_cues(given_cues, was, now, Problems())

    late = sum(one.start_ms >= 9_000 for one in given_cues)
    assert len(found) + late == len(given_cues)
    assert n_left_out == 0
    assert [c.start_ms for c in found] == sorted(c.start_ms for c in found)
    for one in found:
        assert 0 <= one.start_ms < one.end_ms <= 10_500
        speaks = one.start_ms < 2_500
        assert not speaks or one.end_ms <= 2_500 + INTO_SILENCE_MS
