"""One player's folder in its room: is it this player's, whole, and nothing else?"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from msgspec import structs

from pausewright.checker.result.delivered import FileRow, Room
from pausewright.checker.result.findings import Finding
from pausewright.checker.rooms.packed import LIST, SUMS, list_or_none
from pausewright.checker.rooms.room_files import FileComparison
from pausewright.checker.rooms.room_sounds import PlayerSounds

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from pausewright.checker.rooms.orders import Orders
    from pausewright.checker.rooms.packed import Packed, Player, RoomList
    from pausewright.checker.rooms.room_files import Held


RIGHT: Final = "copy the right folder here"
_SOUNDS: Final = frozenset({"track", "piece", "video"})


class PlayerCheck:
    """Checks the folder of one player by the room's packing list."""

    def __init__(
        self, room: RoomList, player: Player, held: Mapping[str, Held], orders: Orders
    ) -> None:
        """Take the room's list, the player, and the files that lie in the player's folder."""
        self._room = room
        self._player = player
        self._held = held
        self._orders = orders

    def room(
        self, name: str, staff: Sequence[Held], room_at: tuple[int, int], at: tuple[int, int]
    ) -> Room:
        """Return what was found.

        Parameters
        ----------
        name : what the report calls the room's folder
        staff : papers of the staff, of which the instructions are checked with the track
        room_at, at : which room of how many, which player of how many
        """
        room, player, held = self._room, self._player, self._held
        findings: list[Finding] = []
        own = held.get(f"{player.folder}/{LIST}")
        other = None if own is None else list_or_none(own.path)
        of_others = self._of_others()
        if other is not None and (told := self._as_another(other)) is not None:
            findings.append(told)
            edition, label = other.edition, (other.labels or (player.version_label,))[0]
            listed = self._listed_for(other)
            of_others = {}
            held = {name: one for name, one in held.items() if self._is_of(other, name)}
        else:
            findings += self._foreign(of_others)
            edition, label = room.edition, player.version_label
            listed = [one for one in room.files if one.folder == player.folder]
        sounds = PlayerSounds(list(held.values()), staff, label, self._orders)
        names = {one.name.rpartition("/")[2]: one for one in (*listed, *of_others.values())}
        names |= {held[name].path.name: one for name, one in of_others.items()}
        others = {held[name].path: one.version_label for name, one in of_others.items()}
        sounds.measure(names, edition, others)
        marks = self._marks(of_others, listed, held) | marks_of(sounds, held)
        comparison = FileComparison(edition, marks)
        comparison.compare(listed, held)
        return Room(
            name=f"{name}/{player.folder}",
            version_label=player.version_label,
            edition=room.edition,
            checks=tuple(sounds.checks),
            tracks=tuple(sounds.tracks),
            files=sorted_rows(comparison.rows),
            findings=(*findings, *sounds.findings, *comparison.findings),
            is_listed=True,
            room_at=room_at,
            player_at=at,
        )

    # ---- a whole folder that is another's ----------------------------------------------------

    def _as_another(self, other: RoomList) -> Finding | None:
        """Tell of a folder that was laid out for another player, or from another edition."""
        room, player = self._room, self._player
        here = f"the folder of player {player.number}, version {player.version_label},"
        mine = (room.room, player.number, (player.version_label,))
        label = (other.labels or (player.version_label,))[0]
        if other.player > 0 and (other.room, other.player, other.labels) != mine:
            sentence = f"{here} holds what was laid out for player {other.player}, version {label}"
            if other.room != room.room:
                sentence += f", of the room ‘{other.room}’"
            if other.edition != room.edition:
                sentence += f", of edition {other.edition}"
            return Finding("player-differs", "error", sentence, RIGHT)
        if other.player > 0 and other.edition != room.edition:
            sentence = f"{here} is of edition {other.edition}, the room of edition {room.edition}"
            return Finding("edition-differs", "error", sentence, RIGHT)
        return None

    def _listed_for(self, other: RoomList) -> list[Packed]:
        """Return what should be in the folder by the list that lies in it."""
        folder = self._player.folder
        if self._is_of_room(other):
            start = other.players[0].folder + "/"
            return [
                structs.replace(one, name=f"{folder}/{one.name.removeprefix(start)}")
                for one in self._room.files
                if one.name.startswith(start)
            ]
        return [structs.replace(one, name=f"{folder}/{one.name}") for one in other.files]

    def _is_of_room(self, other: RoomList) -> bool:
        """Return whether the list of the room has the files of this player too."""
        room = self._room
        is_same = (other.room, other.edition) == (room.room, room.edition)
        return is_same and bool(other.players) and other.players[0] in room.players

    def _is_of(self, other: RoomList, name: str) -> bool:
        """Return whether a file is compared: a list does not name itself and its sums."""
        return self._is_of_room(other) or name.rpartition("/")[2] not in {LIST, SUMS}

    # ---- single tracks that are another's ----------------------------------------------------

    def _of_others(self) -> dict[str, Packed]:
        """Return what the room's list says of tracks here that belong to another player."""
        room, player = self._room, self._player
        own = {one.sha256 for one in room.files if one.folder == player.folder}
        others = {
            one.sha256: one
            for one in room.files
            if one.folder != player.folder and one.kind in _SOUNDS and one.sha256 not in own
        }
        return {
            name: others[one.sha256] for name, one in self._held.items() if one.sha256 in others
        }

    def _foreign(self, of_others: Mapping[str, Packed]) -> Iterator[Finding]:
        """Tell of tracks in the folder that belong to a player of another version."""
        player = self._player
        for label in sorted({one.version_label for one in of_others.values()}):
            yield Finding(
                "player-differs",
                "error",
                f"player {player.number}, version {player.version_label}, has a track of version "
                f"{label}",
                RIGHT,
                one_cause=f"track of {label}",
            )

    @staticmethod
    def _marks(
        of_others: Mapping[str, Packed], listed: Sequence[Packed], held: Mapping[str, Held]
    ) -> dict[str, str]:
        """Return which files another's track explains: itself, and an own one that is missing."""
        marks = {name: f"track of {one.version_label}" for name, one in of_others.items()}
        first = next(iter(marks.values()), "")
        lost = (one.name for one in listed if one.kind in _SOUNDS and one.name not in held)
        return marks | (dict.fromkeys(lost, first) if first else {})


def marks_of(sounds: PlayerSounds, held: Mapping[str, Held]) -> dict[str, str]:
    """Return the marks of tracks that are not those of their names, by name in the folder."""
    return {name: sounds.marks[one.path] for name, one in held.items() if one.path in sounds.marks}


def sorted_rows(rows: Iterable[FileRow]) -> tuple[FileRow, ...]:
    """Return rows of files by name."""
    return tuple(sorted(rows, key=lambda row: row.name))
