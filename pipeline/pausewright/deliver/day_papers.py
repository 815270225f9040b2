"""Papers for one day: the day plan, and running sheets with times of day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.deliver.day_plan import TEMPLATE, day_plan_data
from pausewright.deliver.outputs.staff_papers_output import running_sheet_paper
from pausewright.deliver.room_layout import DayPapers
from pausewright.deliver.signed import read_signatures, signed_marks
from pausewright.deliver.staff_paper import StaffPaper
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import sha256_of
from pausewright.papers.timed.day_time import read_day_time
from pausewright.papers.typeset.paper_frame import Look
from pausewright.problems import OutputError
from pausewright.records.record_files import read_as
from pausewright.records.shapes import RunningTimes

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from pausewright.deliver.project import Project
    from pausewright.deliver.rooms import Room
    from pausewright.papers.typeset.typst_compiler import Paper
    from pausewright.records.shapes import BuildRecord


def day_papers(
    project: Project,
    rooms: Sequence[Room],
    records: Mapping[str, BuildRecord],
    built: Path,
    start: str,
) -> DayPapers:
    """Return the day plan, and running sheets with the times of this day if its start is known.

    Parameters
    ----------
    project : the script, free of errors
    rooms : as planned
    records : of the versions that were built, by label
    built : the folder of the build
    start : time of day at which the tracks start; "" if it is not known

    Raises
    ------
    OutputError
        If `start` is no time of day, or the times of a track cannot be read.
    """
    day = read_day_time(start) if start else None
    script = project.script
    edition = project.edition
    times = {label: recorded_times(record, built) for label, record in records.items()}
    sheets: dict[tuple[str, str], Paper] = {}
    signed = signed_marks(read_signatures(script.path))
    if day is not None:
        for room in rooms:
            for label in room.labels:
                paper = running_sheet_paper(times[label], script, day, room.name)
                sheets[room.folder, label] = paper.compiled(script, label, edition, signed)
    data = day_plan_data(rooms, times, day)
    plan = StaffPaper(TEMPLATE, "Day plan", data, Look(10, is_landscape=True))
    compiled = plan.compiled(script, ", ".join(sorted(records)), edition)
    return DayPapers(start, compiled.pdf, sheets)


def recorded_times(record: BuildRecord, built: Path) -> RunningTimes:
    """Return what is on a built track and when, as it was recorded with it.

    Raises
    ------
    OutputError
        If that file is not the one that was built.
    """
    for path, sha256 in record.paths("running-times"):
        file = built / path
        times = read_as(file, RunningTimes)
        if times is not None and sha256_of(file, kind=BUILT_FILE, inside=built) == sha256:
            return times
    raise OutputError(
        f"the times of version {record.version_label} are not those that were built",
        "build the script again",
    )
