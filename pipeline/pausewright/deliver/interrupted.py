"""A track that was stopped in the room: what that meant, from the record of what was built."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.arrange.arrangement import STANDARD
from pausewright.arrange.declarations import named
from pausewright.deliver.day_papers import recorded_times
from pausewright.deliver.output_folder import CONFIDENTIAL
from pausewright.deliver.project import open_project
from pausewright.deliver.staff_paper import StaffPaper
from pausewright.files.stage import settle
from pausewright.files.writing import unwritable, write_new_file
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import sha256_of
from pausewright.papers.timed.day_time import read_clock, read_place
from pausewright.papers.timed.incident_sheet import TEMPLATE, IncidentDay, incident_sheet_data
from pausewright.papers.timed.interruption import interruption, stops_before
from pausewright.papers.typeset.paper_frame import Look
from pausewright.problems import OutputError
from pausewright.records.record_files import read_record

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.project import Project
    from pausewright.papers.timed.interruption import Interruption
    from pausewright.records.shapes import BuildRecord, RunningTimes

_DAY_S: Final = 24 * 60 * 60


@frozen
class Stop:
    """What a room says of a stop; "" for what it does not know."""

    place: str = ""
    """On the player's counter: "07:13"; else `start` and `clock` give it."""
    start: str = ""
    """When the track started: "09:15", with seconds if they are known."""
    clock: str = ""
    """When it was stopped: "09:22:13"."""
    again: str = ""
    """When it goes on."""
    waited: str = ""
    """How long it stood before, at stops and in pauses, as minutes and seconds: "2:10"."""


@frozen
class Stopped:
    """What a stop in the room meant."""

    found: Interruption
    label: str
    edition: str
    day: IncidentDay
    warnings: tuple[str, ...]
    sheet: Path | None
    """The incident sheet, if one was written."""


def where_stopped(
    script: Path, out: Path, version: str, stop: Stop, sheet: Path | None = None
) -> Stopped:
    """Return what a stop meant, and write an incident sheet where there is none yet.

    Nothing is voiced or measured: places are those that were recorded with the delivered track,
    whose bytes must still be the recorded ones.

    Parameters
    ----------
    script : what was built
    out : folder of builds
    version : name or label of the version; "" for the standard track
    stop : what the room says
    sheet : PDF that is not there yet; None: no sheet

    Raises
    ------
    PausewrightError
        If the version is not built or spoiled, a time cannot be read or is not on the track, or
        the sheet cannot be written.
    """
    project = open_project(script)
    label = named(project.arrangements, version or STANDARD).label
    folder = out / script.stem
    settle(folder)
    record = read_record(folder / CONFIDENTIAL / f"build-record_{label}.json")
    if record is None:
        raise OutputError(
            f"version {label} of ‘{script.name}’ is not built in {out}",
            "say where it was built: --out DIR",
        )
    times = recorded_times(record, folder)
    for path, sha256 in record.paths("track"):
        if sha256_of(folder / path, kind=BUILT_FILE, inside=folder) != sha256:
            raise OutputError(f"‘{path}’ is not the track that was built", "build the script again")
    day, at_s = _day(stop)
    found = interruption(times, at_s)
    warnings = tuple(_warnings(project, record, times, stop, found))
    if sheet is not None:
        _write(project, record, sheet, incident_sheet_data(found, times, day))
    return Stopped(found, label, record.edition, day, warnings, sheet)


def _day(stop: Stop) -> tuple[IncidentDay, Fraction]:
    """Return what is known of the day, and the place on the track."""
    start, clock, again = (
        read_clock(one) if one else None for one in (stop.start, stop.clock, stop.again)
    )
    day = IncidentDay(start, clock, again)
    waited_s = read_place(stop.waited) if stop.waited else Fraction(0)
    if stop.place:
        at_s = read_place(stop.place)
        if start is not None and clock is None:
            day = replace(day, stopped=start.later(at_s + waited_s))
        return day, at_s
    if start is None or clock is None:
        raise OutputError(
            "nothing says where it was stopped",
            "give the player's counter (07:13), or --start 09:15 --clock 09:22:13",
        )
    at_s = (clock.since_midnight_s - start.since_midnight_s) % _DAY_S - waited_s
    if at_s < 0:
        raise OutputError("it waited longer than it played", "look at the times again")
    return day, at_s


def _warnings(
    project: Project,
    record: BuildRecord,
    times: RunningTimes,
    stop: Stop,
    found: Interruption,
) -> list[str]:
    said = []
    if record.edition != project.edition:
        said.append(
            f"this is about edition {record.edition}, which is built; the script is "
            f"{project.edition} by now"
        )
    before = stops_before(times, found.at_s)
    if before and not stop.place and not stop.waited:
        said.append(
            f"the track waits for the room at {', '.join(before)}: the place is earlier by as long "
            "as it waited (--waited 2:10), or read the player's counter"
        )
    return said


def _write(project: Project, record: BuildRecord, file: Path, data: dict[str, object]) -> None:
    paper = StaffPaper(TEMPLATE, "Incident sheet", data, Look(11))
    compiled = paper.compiled(project.script, record.version_label, record.edition)
    try:
        write_new_file(file, compiled.pdf, private=True)
    except FileExistsError:
        raise OutputError(
            f"‘{file}’ is there already and was left as it is", "give another name after --sheet"
        ) from None
    except OSError as error:
        raise unwritable(file, error) from error
