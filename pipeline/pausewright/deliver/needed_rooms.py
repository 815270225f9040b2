"""From a list of needs to rooms: which tracks, how many players, when each room ends."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.deliver.comparison import clock
from pausewright.deliver.day_papers import day_papers
from pausewright.deliver.needs_list import read_needs
from pausewright.deliver.output_folder import delivered
from pausewright.deliver.room_layout import lay_out
from pausewright.deliver.rooms import plan_rooms
from pausewright.files.stage import settle
from pausewright.frozen import frozen
from pausewright.papers.timed.day_time import read_day_time
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.project import Project
    from pausewright.deliver.rooms import Room
    from pausewright.problems import Problem


@frozen
class Rooms:
    """What a list of needs comes to."""

    labels: tuple[str, ...]
    """The distinct versions that are needed, and no others."""
    rooms: tuple[Room, ...]
    files: tuple[Path, ...]
    warnings: tuple[Problem, ...]
    start: str


def make_rooms(project: Project, needs: Path, out: Path, target: Path, start: str = "") -> Rooms:
    """Read a list of needs and lay out its rooms from versions that were built.

    Parameters
    ----------
    project : the script, free of errors
    needs : the list
    out : where builds lie
    target : the folder to write
    start : time of day at which tracks start; "" if it is not known

    Raises
    ------
    ScriptError
        With every bad row at once, by line.
    OutputError
        If a version was not built yet, or something cannot be written.
    """
    rows, problems = read_needs(needs, project.arrangements)
    labels = tuple(sorted({row.label for row in rows}))
    built = out / project.script.path.stem
    settle(built)
    records = {
        label: record
        for label in labels
        if (record := delivered(built, label, project.edition)) is not None
    }
    lengths_s = {
        label: Fraction(record.track.n_samples, record.track.rate_hz)
        for label, record in records.items()
    }
    rooms = plan_rooms(rows, lengths_s, needs, problems)
    problems.raise_errors()
    if start:
        read_day_time(start)
    missing = [label for label in labels if label not in records]
    if missing:
        options = " ".join(f"--arrangement {label}" for label in missing)
        raise OutputError(
            f"these versions are needed and not built in edition {project.edition}: "
            f"{', '.join(missing)}",
            f"pausewright build {project.script.path.name} {options}",
        )
    papers = day_papers(project, rooms, records, built, start)
    files = lay_out(rooms, records, built, target, papers)
    return Rooms(labels, rooms, files, problems.all, start)


def _ends_at(found: Rooms, room: Room) -> str:
    return read_day_time(found.start).minute_after(room.length_s)


def rooms_text(found: Rooms) -> str:
    """Return the summary for the screen, without candidates."""
    n_players = sum(len(room.players) for room in found.rooms)
    rows = [
        f"versions needed: {', '.join(found.labels)}",
        f"rooms: {len(found.rooms)}, players: {n_players}",
    ]
    for room in found.rooms:
        ends = f", ends at {_ends_at(found, room)}" if found.start else ""
        rows.append(
            f"  {room.name}: places {room.n_candidates}, versions {', '.join(room.labels)}, "
            f"players {len(room.players)}, {_readers(room)}"
            f"longest track {clock(room.length_s)}{ends}"
        )
    return "\n".join(rows) + "\n"


def _readers(room: Room) -> str:
    return f"readers {len(room.readers)}, " if room.readers else ""


def rooms_data(found: Rooms) -> dict[str, object]:
    """Return the summary as plain data, without candidates."""
    return {
        "versions": list(found.labels),
        "rooms": [
            {
                "room": room.name,
                "n_candidates": room.n_candidates,
                "versions": list(room.labels),
                "players": [
                    {
                        "number": player.number,
                        "version": player.label,
                        "loudspeaker": player.by_loudspeaker,
                    }
                    for player in room.players
                ],
                "readers": [
                    {"number": reader.number, "version": reader.label} for reader in room.readers
                ],
                "length_s": float(room.length_s),
                "ends_at": _ends_at(found, room) if found.start else None,
            }
            for room in found.rooms
        ],
        "files": [str(file) for file in found.files],
    }
