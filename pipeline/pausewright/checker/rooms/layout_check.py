"""All that `needs` laid out, as it is: the whole, a room or a player, and nothing else."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.checker.files.held_files import files_below, is_of_the_system, sha256_or_none
from pausewright.checker.files.strays import is_link, stray_findings
from pausewright.checker.result.delivered import Delivered, Room
from pausewright.checker.result.findings import Finding
from pausewright.checker.rooms.needed import seated_of
from pausewright.checker.rooms.packed import (
    CONFIDENTIAL,
    LIST,
    PLAYER_FOLDER,
    RECORD,
    read_list,
    read_record,
)
from pausewright.checker.rooms.room_check import AGAIN, Around, RoomCheck
from pausewright.checker.rooms.room_files import COPY, codes_finding, hidden_codes, holds_codes
from pausewright.intake.file_kinds import NEEDS
from pausewright.intake.plain_file import file_text
from pausewright.problems import PausewrightError, TrackError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from pausewright.checker.rooms.orders import Orders
    from pausewright.checker.rooms.packed import RoomsRecord

_PAPERS: Final = "papers"


def is_laid_out(folder: Path) -> bool:
    """Return whether a folder is one that `needs` laid out: all rooms, a room or a player."""
    return _is_room(folder) or bool(_rooms_in(folder))


def labels_in(folder: Path) -> set[str]:
    """Return the version labels that the packing lists of a folder name, if they can be read."""
    found: set[str] = set()
    for one in (folder, *_rooms_in(folder)):
        try:
            found.update(read_list(one / LIST).versions)
        except TrackError:
            continue
    return found


def check_rooms(folder: Path, orders: Orders) -> Delivered:
    """Compare what was laid out with its packing lists, and with all that the orders give.

    Raises
    ------
    TrackError
        If a record of rooms that was named cannot be read.
    """
    if _is_room(folder):
        return _one_room(folder, orders)
    places = _rooms_in(folder)
    if len(places) == 1 and not (folder / CONFIDENTIAL).exists():
        found = _one_room(places[0], orders)
        beside = _nothing_else(folder, [places[0].name])
        return replace(found, findings=(*beside, *found.findings))
    return _WholeLayout(folder, orders).delivered()


def _is_room(folder: Path) -> bool:
    """Return whether a folder is a room's or a player's, with its packing list or without."""
    if (folder / LIST).is_file() or PLAYER_FOLDER.fullmatch(folder.absolute().name):
        return True
    if not folder.is_dir():
        return False
    inner = [one.name for one in folder.iterdir() if one.is_dir()]
    return any(map(PLAYER_FOLDER.fullmatch, inner)) or (folder / _PAPERS / "candidates").is_dir()


def _rooms_in(folder: Path) -> list[Path]:
    if not folder.is_dir():
        return []
    return [
        one
        for one in sorted(folder.iterdir())
        if one.is_dir() and not is_of_the_system(one.name) and _is_room(one)
    ]


def _one_room(folder: Path, orders: Orders) -> Delivered:
    """Check a room or a player by itself; what lies around it helps if it is of the rooms."""
    above = folder.absolute().parent
    if (folder / LIST).is_file() and PLAYER_FOLDER.fullmatch(folder.absolute().name):
        above = above.parent
    record, findings = None, []
    file = orders.record or above / CONFIDENTIAL / RECORD
    if orders.record is not None or file.is_file():
        try:
            record = read_record(file)
        except TrackError as why:
            if orders.record is not None:
                raise
            findings.append(Finding("record-differs", "error", why.message, why.hint))
    name = folder.absolute().name
    is_beside = orders.record is None and record is not None and name in record.folders
    one = RoomCheck(folder, Around(name, is_beside, record, is_alone=True), orders)
    one.read()
    return Delivered(tuple(one.rooms()), tuple(findings), is_folder=True)


def _nothing_else(folder: Path, names: Sequence[str]) -> Iterator[Finding]:
    """Tell of what lies beside rooms and belongs to none."""
    for one in sorted(folder.iterdir()):
        is_known = one.name in names or (one.is_dir() and one.name == CONFIDENTIAL)
        if is_known or is_of_the_system(one.name):
            continue
        if one.is_file() and holds_codes(one, folder):
            yield codes_finding(one.name)
        elif not is_link(one):
            yield Finding(
                "file-unknown",
                "error",
                f"‘{one.name}’ was not laid out",
                "keep only what was laid out in the folder of the rooms",
            )
    inner = frozenset(one for one in (*names, CONFIDENTIAL) if not is_link(folder / one))
    yield from stray_findings(folder, but=inner)
    yield from hidden_codes(folder, inner)


class _WholeLayout:
    """Checks a folder with several rooms."""

    def __init__(self, folder: Path, orders: Orders) -> None:
        self._folder = folder
        self._orders = orders
        self._findings: list[Finding] = []
        self._record: RoomsRecord | None = None

    def delivered(self) -> Delivered:
        """Check every room, what belongs to all of them, and that none is missing."""
        self._read_record()
        places = _rooms_in(self._folder)
        checks = []
        for number, place in enumerate(places, 1):
            around = Around(
                place.name,
                is_beside_others=True,
                record=self._record,
                at=(number, len(places)),
            )
            checks.append(RoomCheck(place, around, self._orders))
            checks[-1].read()
        self._all_rooms(checks, [place.name for place in places])
        self._findings += _nothing_else(self._folder, [place.name for place in places])
        self._room_lists()
        rooms: list[Room] = []
        for one in checks:
            rooms += one.rooms()
        return Delivered(tuple(rooms), tuple(self._findings), is_folder=True)

    def _read_record(self) -> None:
        named = self._orders.record
        file = named or self._folder / CONFIDENTIAL / RECORD
        if named is None and not file.is_file():
            return
        try:
            self._record = read_record(file)
        except TrackError as why:
            if named is not None:
                raise
            self._error("record-differs", why.message, AGAIN)

    def _all_rooms(self, checks: Sequence[RoomCheck], names: Sequence[str]) -> None:
        lists = [one.list for one in checks if one.list is not None]
        editions = sorted({one.edition for one in lists})
        if len(editions) > 1:
            self._error(
                "editions-mixed",
                f"the rooms are of editions {' and '.join(editions)}",
                AGAIN,
            )
        if len({one.rooms for one in lists}) > 1:
            self._error("layouts-mixed", "the rooms were not all laid out together", AGAIN)
        by_record = set(self._record.folders) if self._record else set()
        missing = sorted(by_record - set(names))
        if missing and (self._folder / CONFIDENTIAL).is_dir():
            self._error(
                "list-on-stick",
                f"‘{CONFIDENTIAL}’ with candidates' codes lies here, and not all rooms do",
                "on a stick remove it: it stays in the office; else copy the missing rooms again",
            )
        for name in missing:
            self._error("room-missing", f"the folder ‘{name}’ of a room is not there", COPY)
        n_laid_out = max((len(one.rooms) for one in lists), default=0)
        if not by_record and len(names) < n_laid_out:
            here = "1 is here" if len(names) == 1 else f"{len(names)} are here"
            self._error(
                "room-missing",
                f"{n_laid_out} rooms were laid out together, and {here}",
                "copy them all, or check each room by its own folder",
            )
        elif len(set(names)) > max(n_laid_out, len(by_record)) > 0:
            self._error("room-unknown", "there are more rooms than were laid out together", COPY)
        for name in sorted(self._orders.needed or ()):
            if name not in {" ".join(one.room.split()) for one in lists}:
                self._error(
                    "room-missing", f"the room ‘{name}’ of the list of needs is not there", AGAIN
                )

    def _room_lists(self) -> None:
        """Compare the lists of who sits where with the record and with the list of needs."""
        if self._record is None:
            return
        for path, sha256 in self._record.by_path.items():
            if path.startswith(f"{CONFIDENTIAL}/"):
                found = sha256_or_none(self._folder / path, self._folder)
                if self._orders.record is None and found != sha256:
                    self._error(
                        "file-changed" if found else "file-missing",
                        f"‘{path}’ is not what was laid out" if found else f"‘{path}’ is gone",
                        AGAIN,
                    )
        self._office()
        if self._orders.needed is None or self._orders.record is not None:
            return
        wanted = set().union(*(one.seated for one in self._orders.needed.values()))
        if set(self._seated()) != wanted:
            self._error(
                "needs-differ",
                "who sits where is not as the list of needs says",
                AGAIN,
            )

    def _office(self) -> None:
        """Tell of files in the folder of the office that were not laid out."""
        if self._record is None or self._orders.record is not None:
            return
        for file in files_below(self._folder / CONFIDENTIAL):
            name = file.relative_to(self._folder).as_posix()
            if name not in {*self._record.by_path, f"{CONFIDENTIAL}/{RECORD}"}:
                self._error("file-unknown", f"‘{name}’ was not laid out", "keep it elsewhere")

    def _seated(self) -> Iterator[tuple[str, str, str]]:
        for path in sorted((self._folder / CONFIDENTIAL).glob("*_room-list.txt")):
            try:
                yield from seated_of(file_text(path, NEEDS, self._folder))
            except PausewrightError:
                continue

    def _error(self, code: str, sentence: str, hint: str) -> None:
        self._findings.append(Finding(code, "error", sentence, hint))
