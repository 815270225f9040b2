"""What follows from changes: which outputs are made, printed or put into rooms again, and heard."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.deliver.output_folder import CONFIDENTIAL
from pausewright.deliver.room_layout import PACKING_LIST
from pausewright.deliver.room_places import PLACES
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import PACKING_LIST as PACKING_LIST_KIND
from pausewright.problems import OutputError
from pausewright.records.record_files import read_as
from pausewright.records.shapes import RoomPackingList

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from pausewright.deliver.differs.sides import Side, SideVersion
    from pausewright.deliver.outputs.job import FileKind

Verdict: TypeAlias = Literal["build", "reprint", "stays", "withdraw"]
"""To be built; built and printed again; shows or says the same; no longer declared."""

GROUPS: Final[Mapping[str, tuple[FileKind, ...]]] = {
    "track": ("track", "piece", "sound-check"),
    "shown-with-track": ("captions", "video", "transcript", "room-screen"),
    "answer-sheet": ("answer-sheet", "answer-sheet-text"),
    "mark-scheme": ("mark-scheme",),
    "staff-papers": (
        "running-sheet",
        "running-sheet-text",
        "staff-notes",
        "instructions",
        "instructions-paper",
        "pausing-sheet",
        "reader-screen",
    ),
    "reader-papers": ("reader-copy", "interpreter-copy"),
}
"""Kinds of files by what they are made from, as the contents have it."""
GROUP_NAMES: Final[Mapping[str, str]] = {
    "track": "track",
    "shown-with-track": "captions, transcripts, room screen, video",
    "answer-sheet": "answer sheet",
    "mark-scheme": "mark scheme",
    "staff-papers": "papers and screens for staff",
    "reader-papers": "reader’s and interpreter’s copies",
}
_PLAYED: Final = frozenset(kind for kind, place in PLACES.items() if place == "player")
"""What a player gets; its names and tags carry the edition, and the room screen takes no other
track than its own, so it is replaced as a whole."""
_PRINTED: Final = frozenset({"answer-sheet", "mark-scheme", "staff-papers", "reader-papers"})


@frozen
class OutputVerdict:
    """What becomes of one group of outputs of one version."""

    version_label: str
    group: str
    verdict: Verdict


@frozen
class RoomVerdict:
    """What of one room has to be replaced."""

    room: str
    folder: str
    files: tuple[str, ...]
    """Names in the room's folder."""


def verdicts(old: Side, new: Side) -> tuple[OutputVerdict, ...]:
    """Return what becomes of the outputs of all versions, new and gone ones among them."""
    found: list[OutputVerdict] = []
    for name, version in new.versions.items():
        before = old.versions.get(name)
        label = version.contents.version_label
        found += [
            OutputVerdict(label, group, _verdict(group, before, version))
            for group in version.contents.outputs
        ]
    for name, version in old.versions.items():
        if name not in new.versions:
            label = version.contents.version_label
            found += [OutputVerdict(label, one, "withdraw") for one in version.contents.outputs]
    return tuple(found)


def _verdict(group: str, before: SideVersion | None, now: SideVersion) -> Verdict:
    anew: Verdict = "reprint" if group in _PRINTED else "build"
    if before is None or before.contents.version_label != now.contents.version_label:
        return anew
    return "stays" if before.contents.outputs.get(group) == now.contents.outputs[group] else anew


def in_rooms(rooms: Path, found: Iterable[OutputVerdict]) -> tuple[RoomVerdict, ...]:
    """Return what has to be replaced in each room that `needs` laid out.

    Raises
    ------
    OutputError
        If the folder holds no room.
    """
    due: defaultdict[str, set[str]] = defaultdict(set)
    for one in found:
        if one.verdict != "stays":
            kinds = set(GROUPS[one.group])
            due[one.version_label] |= kinds | _PLAYED if kinds & _PLAYED else kinds
    lists = sorted(
        file
        for file in rooms.glob(f"*/{PACKING_LIST}")
        if file.parent.name != CONFIDENTIAL and file.stat().st_size <= PACKING_LIST_KIND.most_bytes
    )
    packed = [(file, read_as(file, RoomPackingList)) for file in lists]
    if not packed:
        raise OutputError(
            f"‘{rooms}’ holds no room", "give the folder that the command needs laid out"
        )
    rows: list[RoomVerdict] = []
    for file, room in packed:
        if room is None:
            raise OutputError(f"‘{file}’ cannot be read", "lay the rooms out again")
        files = [entry.name for entry in room.files if entry.kind in due[entry.version_label]]
        rows.append(RoomVerdict(room.room, room.folder, tuple(files)))
    return tuple(rows)
