"""Rooms laid out in folders: a track a player, papers, a checklist, a packing list, hashes.

Where a kind of file goes stands in `deliver.room_places`. Candidates' codes stand in the lists of
rooms, which lie in `confidential` and in no room's folder. All of it can be opened by its owner
only.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from pausewright.deliver.output_folder import CONFIDENTIAL, staged
from pausewright.deliver.room_places import PAPERS, files_for
from pausewright.deliver.room_sheets import checklist, room_list
from pausewright.files.writing import keep_private, make_folder, write_file
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import opened, sha256_of
from pausewright.problems import OutputError, TrackError
from pausewright.records.record_files import record_text
from pausewright.records.shapes import (
    ROOM_PACKING_LIST_FORMAT,
    LaidOutFile,
    PackedPlayer,
    PackedReader,
    RoomFile,
    RoomPackingList,
    RoomsRecord,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from pausewright.deliver.rooms import Room
    from pausewright.papers.typeset.typst_compiler import Paper
    from pausewright.records.shapes import BuildRecord, RecordedFile

_READ_BYTES: Final = 1 << 20
RECORD: Final = "build-record_rooms.json"
PACKING_LIST: Final = "packing-list.json"
SUMS: Final = "SHA256SUMS"
DAY_PLAN: Final = "day-plan.pdf"
CHECKLIST: Final = "checklist.txt"


@frozen
class DayPapers:
    """What is printed for one day."""

    start: str
    """Time of day at which the tracks start; "" if it is not known."""
    day_plan: bytes
    """As PDF."""
    running_sheets: Mapping[tuple[str, str], Paper] = field(default_factory=dict)
    """With times of day, by the room's folder and the version's label; empty without a start."""


def lay_out(
    rooms: Sequence[Room],
    records: Mapping[str, BuildRecord],
    built: Path,
    target: Path,
    papers: DayPapers,
) -> tuple[Path, ...]:
    """Copy tracks and papers into a folder a room, with all that lets it prove itself.

    Parameters
    ----------
    rooms : as planned
    records : build records by version label, all of one edition
    built : the folder of the build
    target : what is written, whole or not at all
    papers : what is printed for this day

    Raises
    ------
    OutputError
        If something cannot be read or written.
    """
    with staged(target) as stage:
        keep_private(stage)
        names = tuple(sorted(hashlib.sha256(one.folder.encode()).hexdigest() for one in rooms))
        for room in rooms:
            _RoomFolder(room, records, built, stage / room.folder, names, papers).write()
            name = f"{room.folder}_room-list.txt"
            _write(stage / CONFIDENTIAL / name, room_list(room))
        _write(stage / CONFIDENTIAL / DAY_PLAN, papers.day_plan)
        files = sorted(p.relative_to(stage) for p in stage.rglob("*") if p.is_file())
        record = RoomsRecord(
            rooms_record=1,
            edition=next(iter(records.values())).edition,
            folders=tuple(room.folder for room in rooms),
            files=tuple(
                LaidOutFile(path.as_posix(), sha256_of(stage / path, kind=BUILT_FILE))
                for path in files
            ),
        )
        _write(stage / CONFIDENTIAL / RECORD, record_text(record))
    return tuple(target / path for path in files)


def _write(file: Path, content: str | bytes) -> None:
    make_folder(file.parent, private=True)
    write_file(file, content, private=True)


@dataclass(slots=True)
class _RoomFolder:
    """The folder of one room while it is written."""

    room: Room
    records: Mapping[str, BuildRecord]
    built: Path
    folder: Path
    names: tuple[str, ...]
    """Hashes of the folder names of all rooms."""
    papers: DayPapers
    files: list[RoomFile] = field(default_factory=list)

    def write(self) -> None:
        make_folder(self.folder, private=True)
        for player in self.room.players:
            self._player(player.number, player.folder, player.label)
        for label in self.room.labels:
            for place in ("candidates", "staff"):
                for file in files_for(self.records[label], place):
                    self._copy(file, PAPERS[place], label)
            self._time(label)
        for label in sorted({reader.label for reader in self.room.readers}):
            for file in files_for(self.records[label], "reader"):
                self._copy(file, PAPERS["reader"], label)
        in_pieces = {one for one in self.room.labels if self.records[one].paths("piece")}
        _write(self.folder / CHECKLIST, checklist(self.room, self.papers.start, in_pieces))
        self._add(CHECKLIST, "checklist")
        self._close(self.folder, self.files, 0)

    def _time(self, label: str) -> None:
        """Put the running sheet with this day's times in the place of the one without."""
        sheet = self.papers.running_sheets.get((self.room.folder, label))
        if sheet is None:
            return
        at = next(at for at, one in enumerate(self.files) if _is_sheet(one, label))
        path = self.folder / self.files[at].name
        _write(path, sheet.pdf)
        n_bytes, sha256 = len(sheet.pdf), sha256_of(path, kind=BUILT_FILE)
        self.files[at] = RoomFile(
            self.files[at].name, "running-sheet", n_bytes, sha256, label, sheet.mark
        )

    def _player(self, number: int, name: str, label: str) -> None:
        before = len(self.files)
        for file in files_for(self.records[label], "player"):
            self._copy(file, name, label)
        own = self.files[before:]
        self._close(self.folder / name, own, number)
        self._add(f"{name}/{PACKING_LIST}", "packing-list")
        self._add(f"{name}/{SUMS}", "hashes")

    def _copy(self, file: RecordedFile, folder: str, label: str) -> None:
        name = f"{folder}/{file.path.rpartition('/')[2]}"
        place = self.folder
        for part in folder.split("/"):
            place /= part
            make_folder(place, private=True)
        _copy(self.built, file, self.folder / name)
        entry = RoomFile(
            name,
            file.kind,
            file.n_bytes,
            file.sha256,
            label,
            file.content_mark,
            file.measured,
        )
        self.files.append(entry)

    def _add(self, name: str, kind: str) -> None:
        """Note a file that was written for the room itself."""
        path = self.folder / name
        sha256 = sha256_of(path, kind=BUILT_FILE)
        self.files.append(RoomFile(name, kind, path.stat().st_size, sha256))

    def _close(self, folder: Path, files: Sequence[RoomFile], player: int) -> None:
        """Write the packing list of a folder and the hashes of all that is in it."""
        below = folder.relative_to(self.folder).as_posix()
        start = "" if below == "." else f"{below}/"
        own = [
            RoomFile(
                one.name.removeprefix(start),
                one.kind,
                one.n_bytes,
                one.sha256,
                one.version_label,
                one.content_mark,
                one.measured,
            )
            for one in sorted(files, key=lambda one: one.name)
        ]
        players = [one for one in self.room.players if player in {0, one.number}]
        packed = RoomPackingList(
            packing_list=ROOM_PACKING_LIST_FORMAT,
            room=self.room.name,
            folder=self.room.folder,
            player=player,
            edition=next(iter(self.records.values())).edition,
            rooms=self.names,
            versions=tuple(sorted(self.records)),
            players=tuple(
                PackedPlayer(
                    one.number, one.folder, one.label, one.by_loudspeaker, len(one.candidates)
                )
                for one in players
            ),
            readers=tuple(
                PackedReader(one.number, one.label, len(one.candidates))
                for one in self.room.readers
                if not player
            ),
            files=tuple(own),
        )
        _write(folder / PACKING_LIST, record_text(packed))
        sums = [(one.sha256, one.name) for one in own]
        sums.append((sha256_of(folder / PACKING_LIST, kind=BUILT_FILE), PACKING_LIST))
        _write(folder / SUMS, "".join(f"{sha256}  {name}\n" for sha256, name in sorted(sums)))


def _is_sheet(file: RoomFile, label: str) -> bool:
    return file.kind == "running-sheet" and file.version_label == label


def _copy(built: Path, file: RecordedFile, target: Path) -> None:
    """Copy a file of a build that must be the one that was built and checked."""
    source = built / file.path
    try:
        found = hashlib.sha256()
        with opened(source, BUILT_FILE, built) as held, target.open("xb") as copy:
            while part := held.read(_READ_BYTES):
                found.update(part)
                copy.write(part)
        keep_private(target)
    except TrackError as error:
        raise OutputError(error.message, "build the script again") from error
    except OSError as error:
        raise OutputError(
            f"‘{source}’ cannot be copied ({error.strerror})", "build the script again"
        ) from error
    if found.hexdigest() != file.sha256:
        raise OutputError(
            f"‘{source}’ was changed since it was built and checked", "build the script again"
        )
