"""What `needs` laid out, checked again against the list of needs and the script."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.arrange.arrangement import Arrangement
from pausewright.checker.rooms.layout_check import check_rooms, labels_in
from pausewright.checker.rooms.needed import Seat, needed_rooms
from pausewright.checker.rooms.orders import Orders
from pausewright.content_mark import text_mark
from pausewright.deliver.needs_list import read_needs
from pausewright.deliver.version import made_versions
from pausewright.frozen import frozen
from pausewright.papers.answer_sheet import look_of, sheet_mark
from pausewright.papers.plain import answer_sheet
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from pausewright.checker.files.decode import Track
    from pausewright.checker.result.delivered import Delivered
    from pausewright.checker.result.findings import CheckResult
    from pausewright.checker.rooms.needed import NeededRoom
    from pausewright.deliver.project import Project
    from pausewright.deliver.version import Version


@frozen
class RoomsAsked:
    """What a person gives beside the folder of rooms."""

    needs: Path | None = None
    """The list of candidates."""
    room: str = ""
    """The room where they are."""
    record: Path | None = None
    """The record of rooms that stayed in the office."""


def recheck_rooms(
    folder: Path,
    asked: RoomsAsked,
    project: Project | None,
    check: Callable[[Track, str], CheckResult],
) -> Delivered:
    """Return what the check of all rooms, a room or a player found.

    Parameters
    ----------
    folder : what `needs` laid out, or a copy of a part of it
    asked : list of needs, room and record, as far as they were given
    project : the script; None without one
    check : measures a track as that of a version label

    Raises
    ------
    ScriptError
        With every bad row of the list.
    TrackError
        If the list names arrangements and there is no script, or a record cannot be read.
    """
    orders = Orders(
        check,
        needed=None if asked.needs is None else _needed(asked.needs, folder, project),
        edition=project.edition if project else None,
        sheet_marks=sheet_marks(project) if project else {},
        record=asked.record,
        room=asked.room,
    )
    return check_rooms(folder, orders)


def _needed(needs: Path, folder: Path, project: Project | None) -> Mapping[str, NeededRoom]:
    """Return what each room needs; without a script the list must name versions by their labels."""
    arrangements = (
        project.arrangements
        if project
        else [Arrangement(label, label) for label in sorted(labels_in(folder))]
    )
    rows, problems = read_needs(needs, arrangements)
    if project is None and any(one.code == "needs-arrangement" for one in problems.errors):
        raise TrackError(
            f"‘{needs.name}’ names arrangements, or versions, that are not laid out here",
            "add --script SCRIPT, which says their labels",
        )
    problems.raise_errors()
    return needed_rooms(
        Seat(row.candidate, row.label, row.room, row.headphones, row.reader) for row in rows
    )


def sheet_marks(project: Project, *, as_text: bool = False) -> dict[str, str]:
    """Return the content mark of each version's answer sheet, by label, as the script gives it."""
    return {
        version.label: _sheet_mark(version, project.edition, as_text=as_text)
        for version in made_versions(project)
    }


def _sheet_mark(version: Version, edition: str, *, as_text: bool) -> str:
    if as_text:
        return text_mark(answer_sheet(version.script, label=version.label, edition=edition))
    look = look_of(version.arrangement)
    return sheet_mark(version.script, label=version.label, edition=edition, look=look)
