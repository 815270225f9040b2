"""A checked track as a strip of time: what was heard, where, without overlap and without words."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from pausewright.checker.check import check_track
from pausewright.checker.unscripted import measure_track
from support.tracks.checker_tracks import SCRIPT, gap, index, laid, layout, worded, written

if TYPE_CHECKING:
    from pausewright.checker.result.findings import CheckResult

RATE_HZ = 16_000


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> tuple[CheckResult, CheckResult]:
    """Return a track whose question 5 has 6 s for 8.5 s, checked with and without its script."""
    folder = tmp_path_factory.mktemp("track")
    items = layout()
    items[index(items, "answer 5")] = gap("6")
    path = written(folder / "t.wav", laid(items, RATE_HZ), RATE_HZ)
    return check_track(path, worded(folder, SCRIPT), edition=None), measure_track(path)


def test_stretches_follow_each_other(results: tuple[CheckResult, CheckResult]) -> None:
    """Nothing lies over anything else, and all lies within the track."""
    for result in results:
        assert len(result.strip) > 40
        for one, other in pairwise(result.strip):
            assert one.start_s + one.length_s <= other.start_s
        last = result.strip[-1]
        assert last.start_s + last.length_s <= Fraction(result.n_frames, RATE_HZ)


def test_it_shows_what_was_heard(results: tuple[CheckResult, CheckResult]) -> None:
    """Eight questions in order; answer times as laid by hand: 5 s four times, 6 s, 8.5 s thrice."""
    strip = results[0].strip
    answers = [one.length_s for one in strip if one.kind == "answer-time"]

    assert [one.number for one in strip if one.number] == list("12345678")
    assert [round(float(s), 2) for s in answers] == [5, 5, 5, 5, 6, 8.5, 8.5, 8.5]
    assert [round(float(one.length_s)) for one in strip if one.kind == "hold"] == [9]


def test_without_a_script_there_is_sound_and_silence(
    results: tuple[CheckResult, CheckResult],
) -> None:
    """The same silences are found: each of the author's, from 0.7 s on, is one of these."""
    with_script, alone = results
    silences = {one.start_s: one.length_s for one in alone.strip if one.kind == "silence"}

    assert {one.kind for one in alone.strip} == {"speech", "silence", "pause"}
    for row in with_script.silences:
        if row.measured_s is not None and row.measured_s >= Fraction(7, 10):
            assert silences[row.at_s or Fraction(0)] == row.measured_s
