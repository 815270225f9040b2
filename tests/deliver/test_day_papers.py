"""Papers of one day: the day plan, and running sheets with times of day in each room."""

from __future__ import annotations

import json
import re
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.needed_rooms import make_rooms
from pausewright.deliver.project import open_project
from pausewright.problems import OutputError
from support.paper_text import pages_of, text_of
from support.rooms.layouts import ROWS, laid_out
from support.scripts.versions import options

if TYPE_CHECKING:
    from pathlib import Path

    from support.rooms.layouts import Layout

START_S = 9 * 3600 + 30 * 60


@pytest.fixture(scope="module")
def layout(tmp_path_factory: pytest.TempPathFactory) -> Layout:
    """Return three rooms that were laid out for 09:30."""
    return laid_out(tmp_path_factory.mktemp("day"))


def at_s(clock: str) -> int:
    """Return the seconds since 09:30."""
    hours, minutes, seconds = map(int, clock.split(":"))
    return 3600 * hours + 60 * minutes + seconds - START_S


def test_every_room_has_its_running_sheets_with_times_of_day(layout: Layout) -> None:
    """Each clock time is the start and what the counter shows, to the second."""
    sheets = sorted(layout.rooms.rglob("running-sheet_*.pdf"))
    assert len(sheets) >= 4
    for sheet in sheets:
        text = text_of(sheet)
        both = re.findall(r"(\d+):(\d\d) (\d\d:\d\d:\d\d)", text)
        assert len(both) >= 4
        for minutes, seconds, clock in both:
            assert at_s(clock) == 60 * int(minutes) + int(seconds)
        assert "Starts 09:30:00" in text
        assert f"Room {sheet.parents[2].name.replace('-', ' ').title()}" in text.title()


def test_times_of_day_need_no_voice_and_change_no_mark(layout: Layout) -> None:
    """They come from what the build kept; the paper is still the one that the record names."""
    for sheet in layout.rooms.rglob("running-sheet_*.pdf"):
        label = sheet.name.split("_")[1]
        built = json.loads(layout.record(label).read_text("utf-8"))
        (mark,) = (f["content_mark"] for f in built["files"] if f["kind"] == "running-sheet")
        listed = json.loads((sheet.parents[2] / "packing-list.json").read_text("utf-8"))
        (entry,) = (f for f in listed["files"] if f["name"].endswith(sheet.name))
        assert entry["content_mark"] == mark
        assert f"mark {mark[:8].upper()}" in text_of(sheet)


def test_the_day_plan_has_every_room_and_no_candidate(layout: Layout) -> None:
    """Places and players add up; ends are those of the tracks, to the minute, rounded up."""
    plan = layout.rooms / "confidential" / "day-plan.pdf"
    pages = pages_of(plan)
    text = " ".join(pages)

    assert len(pages) == 1
    for row in ROWS:
        candidate, _, room, *_ = row.split(",")
        assert room in text
        assert candidate not in text
    assert f"Places {len(ROWS)}" in text
    for label in {row.split(",")[1] for row in ROWS}:
        record = json.loads(layout.record(label).read_text("utf-8"))
        length_s = Fraction(record["track"]["length_s"])
        minute = -((-START_S - length_s) // 60)
        assert f"{minute // 60:02d}:{minute % 60:02d}" in text


def test_spoiled_times_are_refused(layout: Layout, tmp_path: Path) -> None:
    """Nothing is laid out from times that are not those of the build."""
    kept = next((layout.folder / "out" / "tide" / "confidential").glob("running-times_*.json"))
    before = kept.read_text("utf-8")
    kept.write_text(before.replace('"track"', '"truck"', 1), "utf-8")
    project = open_project(layout.script, options(layout.folder).profiles)
    try:
        with pytest.raises(OutputError, match="are not those that were built"):
            make_rooms(project, layout.needs, layout.folder / "out", tmp_path / "rooms", "09:30")
    finally:
        kept.write_text(before, "utf-8")
    assert not (tmp_path / "rooms").exists()
