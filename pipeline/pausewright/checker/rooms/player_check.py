"""One player's folder in its room: is it this player's, whole, and nothing else?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.checker.result.delivered import FileRow, Room
from pausewright.checker.result.findings import Finding
from pausewright.checker.rooms.packed import LIST, list_or_none
from pausewright.checker.rooms.room_files import FileComparison
from pausewright.checker.rooms.room_sounds import PlayerSounds

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from pausewright.checker.rooms.orders import Orders
    from pausewright.checker.rooms.packed import Player, RoomList
    from pausewright.checker.rooms.room_files import Held


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
        listed = [one for one in room.files if one.folder == player.folder]
        label = player.version_label
        comparison = FileComparison(room.edition)
        comparison.compare(listed, held)
        own = held.get(f"{player.folder}/{LIST}")
        other = None if own is None else list_or_none(own.path)
        is_anothers = (
            other is not None
            and other.player > 0
            and ((other.room, other.player, other.labels) != (room.room, player.number, (label,)))
        )
        if is_anothers and other is not None:
            label = other.labels[0] if other.labels else label
            comparison.rows = [row for row in comparison.rows if row.state != "missing"]
            findings.append(
                Finding(
                    "player-differs",
                    "error",
                    f"the folder of player {player.number}, version {player.version_label}, holds "
                    f"what was laid out for player {other.player}, version {label}"
                    + ("" if other.room == room.room else f", of the room ‘{other.room}’"),
                    "copy the right folder here",
                )
            )
        else:
            findings += self._foreign()
            findings += comparison.findings
        sounds = PlayerSounds(list(held.values()), staff, label, self._orders)
        names = {one.name.rpartition("/")[2]: one for one in listed}
        sounds.measure(names if not is_anothers else {}, room.edition)
        return Room(
            name=f"{name}/{player.folder}",
            version_label=player.version_label,
            edition=room.edition,
            checks=tuple(sounds.checks),
            tracks=tuple(sounds.tracks),
            files=sorted_rows(comparison.rows),
            findings=(*findings, *sounds.findings),
            is_listed=True,
            room_at=room_at,
            player_at=at,
        )

    def _foreign(self) -> Iterator[Finding]:
        """Tell of tracks in the folder that belong to a player of another version."""
        room, player = self._room, self._player
        own = {one.sha256 for one in room.files if one.folder == player.folder}
        others = {
            one.sha256: one
            for one in room.files
            if one.folder != player.folder and one.kind in {"track", "piece", "video"}
        }
        versions = {
            others[one.sha256].version_label
            for one in self._held.values()
            if one.sha256 in others and one.sha256 not in own
        }
        for label in sorted(versions):
            yield Finding(
                "player-differs",
                "error",
                f"player {player.number}, version {player.version_label}, has a track of version "
                f"{label}",
                "copy the right folder here",
            )


def sorted_rows(rows: Iterable[FileRow]) -> tuple[FileRow, ...]:
    """Return rows of files by name."""
    return tuple(sorted(rows, key=lambda row: row.name))
