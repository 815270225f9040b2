"""What rooms need by the list of candidates: worked out here once more, apart from who lays out.

The rule stands in docs/arrangements.md, "Who needs which": all who listen without headphones hear
one player, each with headphones has one, and those of one reader have that reader.
"""

from __future__ import annotations

import re
from collections import defaultdict
from typing import TYPE_CHECKING

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from pausewright.checker.rooms.packed import RoomList

_SEATED = re.compile(
    r"(?P<what>player|reader) (?P<number>\d+) \(version (?P<label>[^)]+)\): (?P<who>.+)"
)
_ROOM = re.compile(r"Room: (?P<room>.+) · CONFIDENTIAL")
_CODE_COLUMNS = frozenset({"candidate", "code", "candidate code", "candidate number", "number"})
"""Names under which a list of needs has its codes."""
_READS = re.compile(r"reader (?P<number>\d+) is (?P<who>.+)")


@frozen
class Seat:
    """One row of the list of needs."""

    candidate: str
    label: str
    room: str
    headphones: bool
    reader: str
    """"yes" or a person's code; "" for a candidate who hears a track."""


@frozen
class NeededRoom:
    """What one room needs."""

    players: tuple[tuple[str, bool, int], ...]
    """Version label, by loudspeaker, places; in the order of their numbers."""
    readers: tuple[tuple[str, int], ...]
    """Version label and places."""
    seated: frozenset[tuple[str, str, str]]
    """Who sits where: room, "player 1 (version B)" and candidate; room, "reader 1 is" and code."""


def needed_rooms(seats: Iterable[Seat]) -> dict[str, NeededRoom]:
    """Return what each room needs, by its name with single blanks."""
    by_room: defaultdict[str, list[Seat]] = defaultdict(list)
    for seat in seats:
        by_room[" ".join(seat.room.split())].append(seat)
    return {name: _needed(name, rows) for name, rows in by_room.items()}


def _needed(room: str, rows: list[Seat]) -> NeededRoom:
    plain = [row for row in rows if not row.reader and not row.headphones]
    sources = [
        (label, True, [row for row in plain if row.label == label])
        for label in sorted({row.label for row in plain})
    ]
    alone = (row for row in rows if row.headphones and not row.reader)
    sources += [(row.label, False, [row]) for row in alone]
    read: dict[tuple[str, str], list[Seat]] = {}
    for row in rows:
        if row.reader:
            read.setdefault((row.label, row.reader), []).append(row)
    seated = {
        (room, f"player {number} (version {label})", one.candidate)
        for number, (label, _, heard) in enumerate(sources, 1)
        for one in heard
    }
    for number, ((label, reader), heard) in enumerate(read.items(), 1):
        seated |= {(room, f"reader {number} (version {label})", one.candidate) for one in heard}
        if reader != "yes":
            seated.add((room, f"reader {number} is", reader))
    return NeededRoom(
        tuple((label, aloud, len(heard)) for label, aloud, heard in sources),
        tuple((label, len(heard)) for (label, _), heard in read.items()),
        frozenset(seated),
    )


def seated_of(room_list: str) -> frozenset[tuple[str, str, str]]:
    """Return who sits where by the text of a room's list, in the form of `NeededRoom.seated`."""
    found = set()
    room = ""
    for row in room_list.splitlines():
        if named := _ROOM.fullmatch(row):
            room = " ".join(named["room"].split())
        elif seated := _SEATED.fullmatch(row):
            place = f"{seated['what']} {seated['number']} (version {seated['label']})"
            found.add((room, place, seated["who"]))
        elif reads := _READS.fullmatch(row):
            found.add((room, f"reader {reads['number']} is", reads["who"]))
    return frozenset(found)


def names_candidates(text: str) -> bool:
    """Return whether a text is a list with candidates' codes: of a room, or a list of needs."""
    head = next((row for row in text.lstrip("\ufeff").splitlines() if row.strip()), "")
    cells = {cell.strip(' "').casefold() for cell in re.split("[,;\t]", head)}
    return bool(seated_of(text)) or ("room" in cells and not cells.isdisjoint(_CODE_COLUMNS))


def differences(room: RoomList, needed: NeededRoom) -> Iterator[str]:
    """Give what is otherwise by the list of needs, without candidates."""
    laid = [(one.version_label, one.loudspeaker, one.places) for one in room.players]
    wanted = list(needed.players)
    if room.player:
        at = room.player - 1
        wanted = wanted[at : at + 1]
        if not wanted:
            yield f"there is no player {room.player}"
            return
    elif len(laid) != len(wanted):
        are = "is 1 player" if len(wanted) == 1 else f"are {len(wanted)} players"
        yield f"there {are}, and {len(laid)} {'was' if len(laid) == 1 else 'were'} laid out"
        return
    for number, (have, want) in enumerate(zip(laid, wanted, strict=False), room.player or 1):
        if have[0] != want[0]:
            yield f"player {number} plays version {want[0]}, and version {have[0]} was laid out"
        elif have[1] != want[1]:
            yield f"player {number} has {'a loudspeaker' if want[1] else 'headphones'}"
        elif have[2] != want[2]:
            hear = "1 candidate hears" if want[2] == 1 else f"{want[2]} candidates hear"
            laid_out = "1 place was" if have[2] == 1 else f"{have[2]} places were"
            yield f"{hear} player {number}, and {laid_out} laid out"
    readers = [(one.version_label, one.places) for one in room.readers]
    if not room.player and readers != list(needed.readers):
        yield "other versions are read aloud, or to other numbers of candidates"
