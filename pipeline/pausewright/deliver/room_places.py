"""Where each kind of file goes when rooms are laid out: a new output needs a row here and no more.

A player's folder is what a machine in the room gets, so that nothing lies there which candidates
may not see. What has the place `office` stays where it was built.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, TypeAlias, get_args

from pausewright.deliver.outputs.job import FileKind
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.records.shapes import BuildRecord, RecordedFile

Place: TypeAlias = Literal["player", "candidates", "staff", "reader", "office"]
"""`reader`: among the staff's papers, in rooms where a person reads that version aloud."""

PLACES: Final[Mapping[FileKind, Place]] = {
    "track": "player",
    "piece": "player",
    "sound-check": "player",
    "captions": "player",
    "video": "player",
    "transcript": "player",
    "room-screen": "player",
    "staff-notes": "staff",
    "answer-sheet": "candidates",
    "answer-sheet-text": "candidates",
    "mark-scheme": "office",
    "running-sheet": "staff",
    "running-sheet-text": "staff",
    "instructions": "staff",
    "instructions-paper": "staff",
    "reader-screen": "reader",
    "reader-copy": "reader",
    "interpreter-copy": "office",
    "pausing-sheet": "office",
    "measured": "office",
    "running-times": "office",
    "contents": "office",
    "full-transcript": "office",
    "basis": "office",
    "report": "office",
    "packing-list": "office",
    "record": "office",
}
PAPERS: Final[Mapping[Place, str]] = {
    "candidates": "papers/candidates",
    "staff": "papers/staff",
    "reader": "papers/staff",
}
"""Folder of papers in a room's folder, by place."""

_BY_NAME: Final[Mapping[str, Place]] = {kind: PLACES[kind] for kind in get_args(FileKind)}


def files_for(record: BuildRecord, place: Place) -> list[RecordedFile]:
    """Return the files of a build that go to a place.

    Raises
    ------
    OutputError
        If a file is of a kind that has no place: the build is of another version of this program.
    """
    for file in record.files:
        if file.kind not in _BY_NAME:
            raise OutputError(
                f"version {record.version_label} was built by another version of this program "
                f"(it holds a file of the kind ‘{file.kind}’)",
                "build the script again",
            )
    return [file for file in record.files if _BY_NAME[file.kind] == place]
