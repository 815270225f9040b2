"""What a share of extra time can mean: readings by hand, and the sum that must be confirmed."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.checker.promises.promise import promise_of
from pausewright.deliver.comparison import compare, compare_data, compare_text
from pausewright.deliver.extra_time_readings import readings_of
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.papers.timed.day_time import read_day_time
from pausewright.plan.extra_time import seconds
from pausewright.problems import ScriptError
from support.scripts.versions import options, written

if TYPE_CHECKING:
    from pathlib import Path

TEXT = """---
title: Sums
language: en-GB
voice: joe
test-time: 20 min
slate: "{title}, edition {edition}, version {version}."
readings: 2
between-readings: 2 s
---

# Practice {.practice answer-time="8 s"}

1. What is 1 plus 1? {key="2"}

# Test {answer-time="20 s"}

1. What is 2 plus 2? {key="4"}
2. What is 3 plus 3? {key="6"}

::: page-turn {for="6 s"}
Turn over.
:::

3. What is 4 plus 4? {key="8"}

The end.
"""
QUARTER = """
quarter: {label: B, basis: f, extra-time: 25 %%, stretch: [answer-time],
  share-of: listed-silences, where: each-gap%s}
"""
LISTED_S = Fraction(8 + 3 * 20)
ALL_S = LISTED_S + 4 * 2 + 6
"""Answer times, silences between readings, the page turn."""


def test_every_reading_by_hand(tmp_path: Path) -> None:
    """A quarter of listed, of all, of the test time, of the track; with practice and without."""
    script = written(tmp_path, TEXT, QUARTER % ", extra-time-confirmed: 17 s")
    project = open_project(script, options(tmp_path).profiles)
    version = made_versions(project)[1]

    found = readings_of(version.worded, version.arrangement)

    assert found is not None
    sums = {(one.of, one.with_practice): one.sum_s for one in found.readings}
    track, without = sums.pop(("the whole track", True)), sums.pop(("the whole track", False))
    assert sums == {
        ("the listed silences", True): LISTED_S / 4,
        ("the listed silences", False): (LISTED_S - 8) / 4,
        ("all candidates’ silences", True): ALL_S / 4,
        ("all candidates’ silences", False): (ALL_S - 10) / 4,
        ("the test time", True): Fraction(300),
    }
    words = Fraction(60, 140)
    # two readings of "What is one plus one?", a silence between them, an answer time
    assert (track - without) * 4 == 2 * 5 * words + 2 + 8
    assert [one.of for one in found.readings if one.is_declared] == ["the listed silences"]
    assert found.track_s * found.share == track
    ends = {one.end_s - one.sum_s for one in found.readings}
    assert len(ends) == 1
    assert ends.pop() > found.track_s + 20, "the slate is on the track and in no reading"


def test_readings_far_apart_need_a_confirmed_sum(tmp_path: Path) -> None:
    """The error names the smallest, the largest and the given sum; the stated sum settles it."""
    profiles = options(tmp_path).profiles
    project = open_project(written(tmp_path, TEXT, QUARTER % ""), profiles)
    with pytest.raises(ScriptError) as refused:
        made_versions(project)
    (problem,) = [p for p in refused.value.problems if p.severity == "error"]
    assert problem.code == "extra-time-unconfirmed"
    assert "25 % extra time can mean 15 s (of the listed silences) to 300 s" in problem.message
    assert "this arrangement gives 17 s" in problem.message
    assert problem.hint.endswith("extra-time-confirmed: 17 s")

    wrong = open_project(
        written(tmp_path, TEXT, QUARTER % ", extra-time-confirmed: 300 s"), profiles
    )
    with pytest.raises(ScriptError) as refused:
        made_versions(wrong)
    (problem,) = [p for p in refused.value.problems if p.severity == "error"]
    assert problem.message == "300 s of extra time are confirmed, and the arrangement gives 17 s"

    right = open_project(
        written(tmp_path, TEXT, QUARTER % ", extra-time-confirmed: 17 s"), profiles
    )
    assert len(made_versions(right)) == 2


def test_a_script_without_test_time_and_fixed_minutes_need_none(tmp_path: Path) -> None:
    """Where nobody can work out a share of the test time, and where no share is declared."""
    profiles = options(tmp_path).profiles
    untimed = TEXT.replace("test-time: 20 min\n", "")
    assert made_versions(open_project(written(tmp_path, untimed, QUARTER % ""), profiles))
    fixed = "\nmore: {label: B, basis: f, extra-time: 5 min, where: test-end}\n"
    project = open_project(written(tmp_path, TEXT, fixed), profiles)
    version = made_versions(project)[1]
    assert readings_of(version.worded, version.arrangement) is None


def test_compare_shows_them_side_by_side(tmp_path: Path) -> None:
    """Sums and ends, as times of day if the start is known; the same as data."""
    script = written(tmp_path, TEXT, QUARTER % ", extra-time-confirmed: 17 s")
    made = options(tmp_path)
    project = open_project(script, made.profiles)
    columns = compare(project, made_versions(project), made)

    text = compare_text("Sums", "E", columns)
    rows = [row for row in text.split("\n") if " of " not in row[:4] and "silences" in row]
    assert any("the listed silences " in row and "17 s" in row and "<- declared" in row
               for row in rows)  # fmt: skip
    assert any("the listed silences, practice left out" in row and "15 s" in row for row in rows)
    assert "the test time is 20:00, the track without extra time lasts about" in text
    at_nine = compare_text("Sums", "E", columns, read_day_time("09:00"))
    assert "(start 09:00)" in at_nine
    assert " 09:0" in at_nine.split("(start 09:00)")[1]
    data = compare_data("Sums", "E", columns)["versions"]
    assert isinstance(data, list)
    readings = data[1]["share_readings"]["readings"]
    assert [one["sum_s"] for one in readings if one["is_declared"]] == ["17"]
    assert data[0]["share_readings"] is None


def test_the_check_compares_the_confirmed_sum_with_its_own(tmp_path: Path) -> None:
    """Its own sum, from the arrangement's text alone, is the one that it proves."""
    script = written(tmp_path, TEXT, QUARTER % ", extra-time-confirmed: 17 s")
    project = open_project(script, options(tmp_path).profiles)
    arrangement = made_versions(project)[1].arrangement
    from pausewright.checker.promises import kept_promises  # noqa: PLC0415

    promise = promise_of(project.script, arrangement)
    assert seconds(promise.entitled_s) == "17 s"
    assert list(kept_promises._confirmed_sum(promise)) == []
    other = promise_of(project.script, replace(arrangement, extra_time_confirmed_s=Fraction(18)))
    (told,) = kept_promises._confirmed_sum(other)
    assert (told.code, told.field) == ("promise-extra-time", "extra-time-confirmed")
