"""One room's folder, or one player's alone: is it the right one, whole, and nothing else?"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Final

from pausewright.checker.files.held_files import files_below, sha256_or_none
from pausewright.checker.files.strays import stray_findings
from pausewright.checker.result.delivered import FileRow, Room
from pausewright.checker.result.findings import Finding
from pausewright.checker.rooms.needed import differences
from pausewright.checker.rooms.out_of_place import (
    lies_in,
    marks_of_office,
    moved_finding,
    office_findings,
    put_back,
)
from pausewright.checker.rooms.packed import (
    LIST,
    PLAYER_FOLDER,
    SUMS,
    RoomList,
    list_or_none,
    read_list,
)
from pausewright.checker.rooms.player_check import PlayerCheck, marks_of, sorted_rows
from pausewright.checker.rooms.room_files import COPY, FileComparison, Held, hidden_codes
from pausewright.checker.rooms.room_findings import by_record, by_script, by_sums
from pausewright.checker.rooms.room_sounds import PlayerSounds
from pausewright.frozen import frozen
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.rooms.orders import Orders
    from pausewright.checker.rooms.packed import RoomsRecord

NOT_COMPARED: Final = "Not compared with the list of needs: add --needs NEEDS.csv."
COMPARED: Final = "Compared with the list of needs."
AGAIN: Final = "lay the rooms out again: pausewright needs NEEDS.csv SCRIPT"
_STAFF: Final = "papers/staff/"


@frozen
class Around:
    """What is known of the folders around a room's."""

    name: str
    """What the report calls the folder."""
    is_beside_others: bool = False
    """Whether it lies where the rooms were laid out, so that its name must be right."""
    record: RoomsRecord | None = None
    at: tuple[int, int] = (1, 1)
    """Which room of how many."""
    is_alone: bool = False
    """Whether nothing else was looked at, though other rooms may have been laid out with it."""


class RoomCheck:
    """Checks one folder that has, or should have, a packing list of rooms."""

    def __init__(self, place: Path, around: Around, orders: Orders) -> None:
        """Take the folder; nothing is read yet."""
        self._place = place
        self._around = around
        self._orders = orders
        self._findings: list[Finding] = []
        self._held: dict[str, Held] = {}
        self._is_as_needed: bool | None = None
        self.list: RoomList | None = None
        """Its packing list, once it was read and if it could be."""

    def read(self) -> None:
        """Read the folder's packing list and hash its files."""
        file = self._place / LIST
        if file.is_file():
            try:
                self.list = read_list(file)
            except TrackError as why:
                self._error("packing-list-form", why.message, why.hint)
        else:
            self._error(
                "packing-list-missing",
                f"‘{self._around.name}’ has no packing list: it was taken away, or the rooms were "
                "laid out by an earlier version",
                AGAIN,
            )
        self._findings += [*stray_findings(self._place), *hidden_codes(self._place)]
        for path in files_below(self._place):
            name = path.relative_to(self._place).as_posix()
            self._held[name] = Held(path, name, sha256_or_none(path))

    def rooms(self) -> list[Room]:
        """Return what was found: of the room itself first, then of each player."""
        if self.list is None:
            return self._without_list()
        self._right_place(self.list)
        if self._around.record is not None:
            self._findings += by_record(self.list, self._held[LIST], self._around.record)
        self._is_as_needed = self._against_needs(self.list)
        self._findings += by_script(self.list, self._orders, self._held)
        self._findings += by_sums(self.list, self._held[LIST], self._held.pop(SUMS, None))
        if self.list.player:
            return [self._lone_player(self.list)]
        return self._whole_room(self.list)

    # ---- the folder as a whole ---------------------------------------------------------------

    def _right_place(self, room: RoomList) -> None:
        orders = self._orders
        if orders.room and _plain(orders.room) not in {_plain(room.room), _plain(room.folder)}:
            self._error(
                "room-differs",
                f"this is what was laid out for the room ‘{room.room}’, not for ‘{orders.room}’",
                "fetch the folder of this room",
            )
        name = self._place.absolute().name
        is_a_room = hashlib.sha256(name.encode()).hexdigest() in room.rooms
        if room.player and (is_a_room or self._around.is_beside_others):
            self._error(
                "room-differs",
                f"the folder ‘{name}’ holds what was laid out for player {room.player} alone",
                COPY,
            )
        if room.player:
            self._right_player(room)
        elif name != room.folder and (is_a_room or self._around.is_beside_others):
            self._error(
                "room-differs",
                f"the folder ‘{name}’ holds what was laid out for the room ‘{room.room}’",
                f"make sure that this is the folder for this room; it was called ‘{room.folder}’",
            )

    def _right_player(self, room: RoomList) -> None:
        """Compare a player's folder with its name and with the room's list above it."""
        place = self._place.absolute()
        packed = room.players[0] if room.players else None
        if packed is None or packed.number != room.player:
            self._error("packing-list-form", "the packing list names no player", COPY)
            return
        named = PLAYER_FOLDER.fullmatch(place.name)
        if named is not None and place.name != packed.folder:
            self._error(
                "player-differs",
                f"the folder ‘{place.name}’ holds what was laid out for player {packed.number}, "
                f"version {packed.version_label}",
                "make sure that this is the folder for this player",
            )
        above = list_or_none(place.parent / LIST)
        if above is None or above.player:
            return
        if above.room == room.room and packed not in above.players:
            self._error(
                "player-differs",
                f"the packing list of the room names no player {packed.number} with version "
                f"{packed.version_label}",
                COPY,
            )
        elif above.room != room.room:
            self._error(
                "room-differs",
                f"this player belongs to the room ‘{room.room}’, the folder around it to "
                f"‘{above.room}’",
                COPY,
            )

    def _against_needs(self, room: RoomList) -> bool | None:
        needed = self._orders.needed
        if needed is None:
            return None
        wanted = needed.get(" ".join(room.room.split()))
        if wanted is None:
            self._error(
                "room-unknown",
                f"the list of needs has no room ‘{room.room}’",
                "use the list of the day, or lay the rooms out again",
            )
            return False
        wrong = list(differences(room, wanted))
        for what in wrong:
            self._error("needs-differ", f"by the list of needs {what}", AGAIN)
        return not wrong

    # ---- players -----------------------------------------------------------------------------

    def _whole_room(self, room: RoomList) -> list[Room]:
        held = {name: one for name, one in self._held.items() if name != LIST}
        folders = {player.folder: player for player in room.players}
        for player in room.players:
            if around := lies_in(player, held):
                self._findings.append(moved_finding(player, around))
                held = put_back(player, around, held)
        there = {name.partition("/")[0] for name in held if "/" in name}
        staff = [one for name, one in held.items() if name.startswith(_STAFF)]
        players = []
        for number, player in enumerate(room.players, 1):
            if player.folder not in there:
                self._error(
                    "player-missing",
                    f"the folder of player {player.number}, version {player.version_label}, is "
                    "not there",
                    COPY,
                )
                continue
            own = {name: one for name, one in held.items() if _first(name) == player.folder}
            at = (number, len(room.players))
            check = PlayerCheck(room, player, own, self._orders)
            players.append(check.room(self._around.name, staff, self._around.at, at))
        strange = {name for name in there if PLAYER_FOLDER.fullmatch(name)} - folders.keys()
        for name in sorted(strange):
            self._error(
                "player-unknown", f"the folder ‘{name}’ belongs to no player of this room", COPY
            )
        elsewhere = folders.keys() | strange
        own = {name: one for name, one in held.items() if _first(name) not in elsewhere}
        self._findings += office_findings(own)
        comparison = FileComparison(room.edition, marks_of_office(own))
        comparison.compare([one for one in room.files if one.folder not in folders], own)
        labels = room.labels
        own_room = Room(
            name=self._around.name,
            version_label=labels[0] if len(labels) == 1 else " and ".join(labels),
            edition=room.edition,
            checks=(),
            tracks=(),
            files=sorted_rows(comparison.rows),
            findings=(*self._findings, *comparison.findings),
            is_listed=True,
            cautions=self._cautions(room),
            room_at=self._around.at,
            is_as_needed=self._is_as_needed,
        )
        return [own_room, *players]

    def _lone_player(self, room: RoomList) -> Room:
        """Check a player's folder by its own packing list."""
        held = {name: one for name, one in self._held.items() if name != LIST}
        label = room.labels[0] if room.labels else ""
        staff = [
            Held(path, path.name, sha256_or_none(path))
            for path in sorted((self._place.absolute().parent / "papers" / "staff").glob("*"))
            if path.is_file()
        ]
        sounds = PlayerSounds(list(held.values()), staff, label, self._orders)
        sounds.measure({one.name: one for one in room.files}, room.edition)
        comparison = FileComparison(room.edition, marks_of(sounds, held))
        comparison.compare(room.files, held)
        return Room(
            name=self._around.name,
            version_label=label,
            edition=room.edition,
            checks=tuple(sounds.checks),
            tracks=tuple(sounds.tracks),
            files=sorted_rows(comparison.rows),
            findings=(*self._findings, *sounds.findings, *comparison.findings),
            is_listed=True,
            cautions=self._cautions(room),
            room_at=self._around.at,
            player_at=(room.player, max(room.player, 1)),
            is_as_needed=self._is_as_needed,
        )

    def _without_list(self) -> list[Room]:
        """Return what can be told of a folder whose packing list is lost."""
        rows = [FileRow(name, "not listed", one.sha256) for name, one in self._held.items()]
        return [
            Room(
                name=self._around.name,
                version_label="",
                edition="",
                checks=(),
                tracks=(),
                files=sorted_rows(rows),
                findings=tuple(self._findings),
                room_at=self._around.at,
            )
        ]

    def _cautions(self, room: RoomList) -> tuple[str, ...]:
        of_player = f", player {room.player}" if room.player else ""
        what = f"Laid out for the room ‘{room.room}’{of_player}: make sure that you are there."
        found = [what]
        n_others = len(room.rooms) - 1
        if self._around.is_alone and not room.player and n_others > 0:
            rooms = "1 other room" if n_others == 1 else f"{n_others} other rooms"
            found.append(f"Laid out together with {rooms}, not looked at here.")
        found.append(COMPARED if self._is_as_needed is not None else NOT_COMPARED)
        return tuple(found)

    def _error(self, code: str, sentence: str, hint: str) -> None:
        self._findings.append(Finding(code, "error", sentence, hint))


def _first(name: str) -> str:
    first, slash, _ = name.partition("/")
    return first if slash else ""


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()
