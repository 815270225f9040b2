"""Whole folders that are out of place in a room's: a player's that lies deeper, the office's."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.checker.result.findings import Finding
from pausewright.checker.rooms.packed import CONFIDENTIAL

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from pausewright.checker.rooms.packed import Player
    from pausewright.checker.rooms.room_files import Held

_OFFICE: Final = f"{CONFIDENTIAL}/"


def lies_in(player: Player, held: Iterable[str]) -> str:
    """Return the folder in which a player's folder lies; "" if in its place, or in none or two."""
    inner = f"/{player.folder}/"
    around = {f"/{name}".partition(inner)[0] for name in held if inner in f"/{name}"}
    return around.pop().removeprefix("/") if len(around) == 1 else ""


def moved_finding(player: Player, around: str) -> Finding:
    """Return what to say of a player's folder that lies in another."""
    return Finding(
        "player-missing",
        "error",
        f"the folder of player {player.number}, version {player.version_label}, lies in "
        f"‘{around}’ and not in the folder of the room",
        "move it to its place",
    )


def put_back(player: Player, around: str, held: Mapping[str, Held]) -> dict[str, Held]:
    """Return files with those of a player's folder as if they lay in its place."""
    inner = f"{around}/{player.folder}/"
    return {
        name.removeprefix(f"{around}/") if name.startswith(inner) else name: one
        for name, one in held.items()
    }


def office_findings(held: Iterable[str]) -> Iterator[Finding]:
    """Tell of the folder of the office in a room's folder, once, before its files."""
    if any(name.startswith(_OFFICE) for name in held):
        yield Finding(
            "list-on-stick",
            "error",
            f"‘{CONFIDENTIAL}’, with candidates' codes, lies in the folder for the room",
            "remove it here, and from the bin: it stays in the office",
            one_cause=CONFIDENTIAL,
        )


def marks_of_office(held: Iterable[str]) -> dict[str, str]:
    """Return the mark of what the folder of the office explains, by file name."""
    return {name: CONFIDENTIAL for name in held if name.startswith(_OFFICE)}
