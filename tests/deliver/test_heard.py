"""What has been heard: counted by hand from spans, kept by takes, told where "not heard" stood."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.build import build_versions
from pausewright.deliver.heard import heard_file, heard_questions, note_heard, read_heard
from pausewright.deliver.heard_log import read_heard_log
from pausewright.deliver.recheck import recheck
from pausewright.problems import OutputError
from pausewright.records.record_files import read_as, read_record
from pausewright.records.shapes import NOT_HEARD, RunningPlace, RunningTimes
from support.scripts.versions import END, HEAD, built_track, options, written

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build_options import Options

A, B, C = "a" * 16, "b" * 16, "c" * 16
PLACES = (
    RunningPlace("lead-in", 500),
    RunningPlace("question", 2000, "Practice 1", 1, C),
    RunningPlace("question", 1000, "1", 1, A),
    RunningPlace("answer-time", 3000, "1", 1),
    RunningPlace("question", 4000, "2a", 1, B),
    RunningPlace("passage", 900, "2–3", 1, A),
)
"""At 1,000 samples a second; question 3 has nothing but its passage."""
SCRIPT = (
    HEAD
    + """# Test {answer-time="6 s"}

1. How many boats lie on the quay?
2. How many boats have left the harbour?
3. How many are left now?"""
    + END
)


@pytest.mark.parametrize(
    ("played", "sentence"),
    [
        ([], NOT_HEARD),
        ([(C, 2000, (0, 2000))], NOT_HEARD),
        ([(A, 1000, (0, 1000))], "heard: 1 of 3 questions, not 2 and 3"),
        ([(A, 1000, (40, 960))], "heard: 1 of 3 questions, not 2 and 3"),
        ([(A, 1000, (60, 1000))], NOT_HEARD),
        ([(A, 1000, (0, 500)), (A, 1000, (500, 1000))], "heard: 1 of 3 questions, not 2 and 3"),
        ([(A, 1000, (0, 400)), (A, 1000, (500, 1000))], NOT_HEARD),
        ([(A, 900, (0, 900))], "heard: 1 of 3 questions, not 1 and 2"),
        ([(A, 1000, (0, 1000)), (A, 900, (0, 900))], "heard: 2 of 3 questions, not 2"),
        (
            [(A, 1000, (0, 1000)), (A, 900, (0, 900)), (B, 4000, (0, 4000))],
            "heard: 3 of 3 questions",
        ),
    ],
)
def test_questions_are_counted_by_their_takes(
    tmp_path: Path, played: list[tuple[str, int, tuple[int, int]]], sentence: str
) -> None:
    """A question is heard when all of every take of it was; practice does not count."""
    script = tmp_path / "tide.md"
    note_heard(script, played)
    assert heard_questions(PLACES, 1000, read_heard(script)).sentence == sentence
    before = heard_file(script).read_bytes()
    note_heard(script, played)
    assert heard_file(script).read_bytes() == before


@pytest.fixture
def built(tmp_path: Path) -> tuple[Path, Options]:
    """Return a script that is built, and how."""
    script, how = written(tmp_path, SCRIPT, ""), options(tmp_path)
    build_versions(script, how)
    return script, how


def log(folder: Path, edition: str, *played_s: tuple[str, str]) -> Path:
    """Write the log of a listening page."""
    file = folder / "log.json"
    data = {"listening_log": 1, "edition": edition, "version_label": "A", "played_s": played_s}
    file.write_text(json.dumps(data), "utf-8")
    return file


def test_a_log_is_read_and_a_change_voids_what_it_touches(
    built: tuple[Path, Options], tmp_path: Path
) -> None:
    """Played without question 2; then question 3 changes: of it nothing has been heard."""
    script, how = built
    folder = how.out / "tide" / "confidential"
    record = read_record(folder / "build-record_A.json")
    times = read_as(folder / "running-times_A.json", RunningTimes)
    assert record is not None
    assert times is not None
    assert record.heard_by == NOT_HEARD
    rows = {row.what: row for row in times.rows}
    from_s, to_s = rows["Question 2"].at_s, rows["Question 2"].answer_at_s
    assert from_s is not None
    assert to_s is not None
    half = str(float((Fraction(from_s) + Fraction(to_s)) / 2))

    found = read_heard_log(script, how.out, log(tmp_path, record.edition, ("0", half)))
    assert found["A"].sentence == "heard: 1 of 3 questions, not 2 and 3"
    found = read_heard_log(script, how.out, log(tmp_path, record.edition, (to_s, times.length_s)))
    assert found["A"].sentence == "heard: 2 of 3 questions, not 2"
    (again,) = build_versions(script, how)
    assert (again.is_fresh, again.heard_by) == (False, "heard: 2 of 3 questions, not 2")

    track = built_track(how, "A", "wav")
    (checked,) = recheck(track, script=script).checks
    assert checked.cautions[0] == "Heard: 2 of 3 questions, not 2."

    script.write_text(SCRIPT.replace("left now", "there now"), "utf-8")
    (again,) = build_versions(script, how)
    assert again.heard_by == "heard: 1 of 3 questions, not 2 and 3"
    renewed = read_record(folder / "build-record_A.json")
    assert renewed is not None
    assert renewed.heard_by == again.heard_by
    with pytest.raises(OutputError, match="not built here"):
        read_heard_log(script, how.out, log(tmp_path, record.edition, ("0", "1")))
    for bad in ("{}", "[]", '{"listening_log": 2}'):
        (tmp_path / "bad.json").write_text(bad, "utf-8")
        with pytest.raises(OutputError, match="no log of a listening page"):
            read_heard_log(script, how.out, tmp_path / "bad.json")
