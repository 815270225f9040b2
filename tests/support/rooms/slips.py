"""What goes wrong between the office and the room: each changes a copy of what was laid out.

A slip takes the copy, the layouts to draw from and a source of chance. It returns what the check is
given: the folder, and what stands beside it. The codes say which findings name it; one is enough.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from support.rooms.layouts import ROWS, list_text

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path
    from random import Random

    from support.rooms.layouts import Layout

LIST: Final = "packing-list.json"
SUMS: Final = "SHA256SUMS"
PLAYERS: Final = {
    "hall": ["player-1_version-A"],
    "room-4": ["player-1_version-B", "player-2_version-C", "player-3_version-B"],
    "annexe": ["player-1_version-B"],
}


@dataclass(slots=True)
class World:
    """A copy of rooms to spoil, and what else there is."""

    rooms: Path
    chance: Random
    layouts: Mapping[str, Layout]
    """`today`, `sheet`, `words` (other editions), `lists` (another list of needs)."""

    def room(self) -> Path:
        """Return one of the rooms."""
        return self.rooms / self.chance.choice(sorted(PLAYERS))

    def player(self, room: Path) -> Path:
        """Return one of a room's players."""
        return room / self.chance.choice(PLAYERS[room.name])

    def file(self, folder: Path, pattern: str = "*", *, but: tuple[str, ...] = ()) -> Path:
        """Return one of the files below a folder."""
        found = [one for one in sorted(folder.rglob(pattern)) if one.is_file()]
        return self.chance.choice([one for one in found if one.name not in but])

    def around(self, room: Path, inner: Path | None = None) -> Path:
        """Return the whole, the room, or the player if something is inside one."""
        places = [self.rooms, room]
        if inner is not None and inner.is_relative_to(room) and inner != room:
            first = room / inner.relative_to(room).parts[0]
            if first.name in PLAYERS[room.name] and first.is_dir():
                places.append(first)
        return self.chance.choice(places)


@dataclass(slots=True)
class Asked:
    """What the check is called with."""

    path: Path
    beside: dict[str, Any] = field(default_factory=dict)


def swap(one: Path, other: Path) -> None:
    """Let two files or folders change their names."""
    aside = one.with_name("aside")
    one.rename(aside)
    other.rename(one)
    aside.rename(other)


def put(source: Path, target: Path) -> None:
    """Put a folder in the place of another."""
    shutil.rmtree(target)
    shutil.copytree(source, target)


def _swap_players(world: World) -> Asked:
    room = world.rooms / "room-4"
    one, other = world.chance.sample(PLAYERS["room-4"], 2)
    swap(room / one, room / other)
    return Asked(world.chance.choice([world.rooms, room, room / one, room / other]))


def _swap_tracks(world: World) -> Asked:
    room = world.rooms / "room-4"
    one, other = room / "player-1_version-B", room / "player-2_version-C"
    tracks = [next(folder.glob("*[!k].wav")) for folder in (one, other)]
    if world.chance.random() < 0.5:
        swap(*tracks)
    else:
        for track, folder in zip(tracks, (other, one), strict=True):
            track.rename(folder / track.name)
    return Asked(world.chance.choice([world.rooms, room, one, other]))


def _swap_players_of_rooms(world: World) -> Asked:
    one = world.rooms / "room-4" / world.chance.choice(PLAYERS["room-4"][::2])
    other = world.rooms / "annexe" / "player-1_version-B"
    swap(one, other)
    return Asked(world.chance.choice([world.rooms, one.parent, other.parent, one, other]))


def _swap_rooms(world: World) -> Asked:
    one, other = world.chance.sample(sorted(PLAYERS), 2)
    swap(world.rooms / one, world.rooms / other)
    return Asked(world.chance.choice([world.rooms, world.rooms / one, world.rooms / other]))


def _swap_sticks(world: World) -> Asked:
    """Call a stick after one room and put another on it; nothing else is near."""
    one, other = world.chance.sample(sorted(PLAYERS), 2)
    stick = world.rooms.parent / "stick" / one
    shutil.copytree(world.rooms / other, stick)
    return Asked(stick)


def _stick_of_another_room(world: World) -> Asked:
    """Give a stick without a name to somebody who says where they are."""
    names = {"hall": "Hall", "room-4": "Room 4", "annexe": "Annexe"}
    here, other = world.chance.sample(sorted(PLAYERS), 2)
    stick = world.rooms.parent / "KINGFISHER"
    source = world.rooms / other
    shutil.copytree(world.player(source) if world.chance.random() < 0.5 else source, stick)
    return Asked(stick, {"room": names[here]})


def _stick_of_another_centre(world: World) -> Asked:
    """Take the stick of a room of the same name, laid out from another list."""
    source = world.layouts["lists"].rooms
    stick = world.rooms.parent / "stick"
    shutil.copytree(source / "room-4", stick)
    beside = world.chance.choice(
        [{"needs": world.layouts["today"].needs}, {"record": world.layouts["today"].rooms_record}]
    )
    return Asked(stick, beside)


def _room_of_another_layout(world: World) -> Asked:
    name = world.chance.choice(["room-4", "hall", "annexe"])
    layout = world.layouts[world.chance.choice(["sheet", "words"])]
    put(layout.rooms / name, world.rooms / name)
    return Asked(world.chance.choice([world.rooms, world.rooms / name]))


def _player_of_another_edition(world: World) -> Asked:
    room = world.room()
    player = world.player(room)
    layout = world.layouts[world.chance.choice(["sheet", "words"])]
    put(layout.rooms / room.name / player.name, player)
    return Asked(
        world.chance.choice([world.rooms, room, player]), {"script": world.layouts["today"].script}
    )


def _papers_of_yesterday(world: World) -> Asked:
    """Put in the papers of an edition that shows something else, under their own names."""
    room = world.room()
    put(world.layouts["sheet"].rooms / room.name / "papers", room / "papers")
    return Asked(world.chance.choice([world.rooms, room]))


def _paper_of_yesterday_renamed(world: World) -> Asked:
    room = world.room()
    today = world.file(room / "papers" / "candidates")
    layouts = world.layouts
    old = today.name.replace(layouts["today"].edition, layouts["sheet"].edition)
    shutil.copy(layouts["sheet"].rooms / room.name / "papers" / "candidates" / old, today)
    return Asked(world.chance.choice([world.rooms, room]))


def _rename(world: World) -> Asked:
    room = world.room()
    file = world.file(room, but=(LIST,))
    name = world.chance.choice(["TRACK01.WAV", f"x{file.name}", file.name + ".bak", "copy.txt"])
    file.rename(file.with_name(name))
    return Asked(world.around(room, file))


def _one_byte(world: World) -> Asked:
    room = world.room()
    file = world.file(room)
    raw = bytearray(file.read_bytes())
    raw[world.chance.randrange(len(raw))] ^= 1 << world.chance.randrange(8)
    file.write_bytes(raw)
    return Asked(world.around(room, file))


def _one_byte_of_the_office(world: World) -> Asked:
    file = world.file(world.rooms / "confidential")
    raw = bytearray(file.read_bytes())
    raw[world.chance.randrange(len(raw))] ^= 1 << world.chance.randrange(8)
    file.write_bytes(raw)
    return Asked(world.rooms)


def _cut(world: World) -> Asked:
    room = world.room()
    file = world.file(room)
    raw = file.read_bytes()
    file.write_bytes(raw[: world.chance.randrange(len(raw))])
    return Asked(world.around(room, file))


def _lose(world: World) -> Asked:
    room = world.room()
    file = world.file(room)
    file.unlink()
    return Asked(world.around(room, file))


def _lose_folder(world: World) -> Asked:
    room = world.room()
    lost = world.chance.choice([world.player(room), room / "papers", room / "papers" / "staff"])
    shutil.rmtree(lost)
    return Asked(world.chance.choice([world.rooms, room]))


def _lose_room(world: World) -> Asked:
    shutil.rmtree(world.room())
    if world.chance.random() < 0.5:
        shutil.rmtree(world.rooms / "confidential")
    return Asked(world.rooms)


def _add(world: World) -> Asked:
    room = world.room()
    folder = world.chance.choice([room, world.player(room), room / "papers" / "candidates"])
    name = world.chance.choice(["song.ogg", "note.txt", "TRACK02.mp3", "answers.html", "a.docx"])
    (folder / name).write_bytes(b"x" * world.chance.randrange(1, 99))
    return Asked(world.around(room, folder))


def _add_track(world: World) -> Asked:
    """Copy the standard track beside the version, or that of another edition."""
    room = world.chance.choice([world.rooms / "room-4", world.rooms / "annexe"])
    player = world.player(room)
    layout = world.layouts[world.chance.choice(["today", "words"])]
    shutil.copy(next((layout.rooms / "hall").rglob("*[!k].wav")), player)
    return Asked(world.around(room, player))


def _add_folder(world: World) -> Asked:
    room = world.room()
    shutil.copytree(world.player(room), room / "player-9_version-B")
    return Asked(world.chance.choice([world.rooms, room]))


def _player_for_a_room(world: World) -> Asked:
    room = world.room()
    player = shutil.copytree(world.player(room), world.rooms.parent / "player")
    shutil.rmtree(room)
    player.rename(room)
    return Asked(world.chance.choice([world.rooms, room]))


def _list_of_codes_on_the_stick(world: World) -> Asked:
    room = world.room()
    source = world.rooms / "confidential" / f"{room.name}_room-list.txt"
    folder = world.chance.choice([room, world.player(room), room / "papers" / "staff"])
    name = world.chance.choice([source.name, "room-list_CONFIDENTIAL.txt", "x.txt"])
    shutil.copy(source, folder / name)
    return Asked(world.chance.choice([world.rooms, room]))


def _forge_list(world: World) -> Asked:
    """List and hashes agree with a changed file; only the record of the office knows better."""
    room = world.room()
    paper = world.file(room / "papers" / "candidates")
    paper.write_bytes(paper.read_bytes() + b"one line more\n")
    data = json.loads((room / LIST).read_text("utf-8"))
    for one in data["files"]:
        if one["name"] == paper.relative_to(room).as_posix():
            one["sha256"] = hashlib.sha256(paper.read_bytes()).hexdigest()
    _seal(room, data)
    if world.chance.random() < 0.5:
        return Asked(world.chance.choice([world.rooms, room]))
    stick = world.rooms.parent / "stick"
    shutil.copytree(room, stick)
    return Asked(stick, {"record": world.layouts["today"].rooms_record})


def _forge_room(world: World) -> Asked:
    """Edit the list of one room to name another."""
    room = world.rooms / "hall"
    data = json.loads((room / LIST).read_text("utf-8"))
    data["room"], data["folder"] = "Room 4", "room-4"
    _seal(room, data)
    return Asked(world.chance.choice([world.rooms, room]), {"needs": world.layouts["today"].needs})


def _seal(room: Path, data: dict[str, Any]) -> None:
    (room / LIST).write_text(json.dumps(data), "utf-8")
    sums = {(one["sha256"], one["name"]) for one in data["files"]}
    sums.add((hashlib.sha256((room / LIST).read_bytes()).hexdigest(), LIST))
    (room / SUMS).write_text("".join(f"{sha}  {name}\n" for sha, name in sorted(sums)), "utf-8")


def _lose_list(world: World) -> Asked:
    room = world.room()
    folder = world.chance.choice([room, world.player(room)])
    (folder / LIST).unlink()
    return Asked(world.around(room, folder))


def _change_needs(world: World) -> Asked:
    """Change a row after the rooms were laid out, so that another player or place is needed."""
    rows = list(ROWS)
    change = world.chance.choice(list(_CHANGES))
    rooms = _CHANGES[change](rows, world.chance)
    needs = world.rooms.parent / "needs.csv"
    needs.write_text(list_text(tuple(rows)), "utf-8")
    room = world.chance.choice(rooms)
    return Asked(world.chance.choice([world.rooms, world.rooms / room]), {"needs": needs})


def _other_version(rows: list[str], chance: Random) -> list[str]:
    at = chance.choice([2, 3, 4])
    cells = rows[at].split(",")
    cells[1] = "C" if cells[1] == "B" else "B"
    rows[at] = ",".join(cells)
    return ["room-4"]


def _other_room(rows: list[str], chance: Random) -> list[str]:
    at = chance.choice([2, 4])
    rows[at] = rows[at].replace("Room 4", "Annexe")
    return ["room-4", "annexe"]


def _new_candidate(rows: list[str], chance: Random) -> list[str]:
    rows.append(chance.choice(["C120,A,Hall,,", "C121,C,Hall,yes,"]))
    return ["hall"]


def _one_less(rows: list[str], chance: Random) -> list[str]:
    at = chance.choice([0, 1, 3, 4])
    room = "hall" if at < 2 else "room-4"
    del rows[at]
    return [room]


def _no_reader(rows: list[str], chance: Random) -> list[str]:
    rows[5] = chance.choice(["C106,C,Annexe,,", "C106,B,Annexe,,R7", "C106,C,Annexe,yes,"])
    return ["annexe"]


_CHANGES: Final[dict[str, Callable[[list[str], Random], list[str]]]] = {
    "another version": _other_version,
    "another room": _other_room,
    "one more": _new_candidate,
    "one less": _one_less,
    "no reader": _no_reader,
}


def _change_seats(world: World) -> Asked:
    """Change only who sits where: the room's folder is the same, the list of the room is not."""
    rows = list(ROWS)
    if world.chance.random() < 0.5:
        rows[2], rows[4] = rows[4], rows[2]
    else:
        at = world.chance.randrange(len(rows))
        rows[at] = rows[at].replace("C10", "K10")
    needs = world.rooms.parent / "needs.csv"
    needs.write_text(list_text(tuple(rows)), "utf-8")
    return Asked(world.rooms, {"needs": needs})


def _older_layout(world: World) -> Asked:
    """Take the lists away: rooms as they were laid out before there were any."""
    for one in [*world.rooms.rglob(LIST), *world.rooms.rglob(SUMS)]:
        one.unlink()
    room = world.room()
    return Asked(world.chance.choice([world.rooms, room, world.player(room)]))


FILES: Final = frozenset(
    {"file-changed", "file-missing", "file-unknown", "file-renamed", "packing-list-form",
     "packing-list-missing", "sums-differ", "track-unreadable"}
)  # fmt: skip
SLIPS: Final[Mapping[str, tuple[Callable[[World], Asked], frozenset[str]]]] = {
    "players swapped": (_swap_players, frozenset({"player-differs"})),
    "tracks of players swapped": (
        _swap_tracks, frozenset({"player-differs", "file-changed", "file-unknown"}),
    ),
    "players of rooms swapped": (
        _swap_players_of_rooms, frozenset({"player-differs", "room-differs"}),
    ),
    "rooms swapped": (_swap_rooms, frozenset({"room-differs"})),
    "sticks of rooms swapped": (_swap_sticks, frozenset({"room-differs"})),
    "another room's stick": (_stick_of_another_room, frozenset({"room-differs"})),
    "another centre's stick": (
        _stick_of_another_centre, frozenset({"needs-differ", "record-differs"}),
    ),
    "a room of another edition": (
        _room_of_another_layout, frozenset({"editions-mixed", "record-differs"}),
    ),
    "a player of another edition": (
        _player_of_another_edition,
        frozenset({"file-unknown", "edition-differs", "record-differs", "room-differs"}),
    ),
    "yesterday's papers": (_papers_of_yesterday, frozenset({"paper-differs"})),
    "yesterday's paper renamed": (_paper_of_yesterday_renamed, frozenset({"file-changed"})),
    "a file renamed": (_rename, FILES),
    "one byte changed": (_one_byte, FILES),
    "one byte of the office changed": (
        _one_byte_of_the_office, frozenset({"file-changed", "record-differs"}),
    ),
    "a file cut short": (_cut, FILES),
    "a file lost": (_lose, FILES),
    "a folder lost": (_lose_folder, frozenset({"player-missing", "file-missing"})),
    "a room lost": (_lose_room, frozenset({"room-missing"})),
    "a file added": (_add, frozenset({"file-unknown"})),
    "a track added": (_add_track, frozenset({"file-unknown"})),
    "a player's folder added": (_add_folder, frozenset({"player-unknown"})),
    "a player in place of a room": (_player_for_a_room, frozenset({"room-differs"})),
    "the list of codes on the stick": (
        _list_of_codes_on_the_stick, frozenset({"list-on-stick"}),
    ),
    "a list forged": (_forge_list, frozenset({"record-differs"})),
    "a room forged": (_forge_room, frozenset({"room-differs", "needs-differ", "record-differs"})),
    "a packing list lost": (_lose_list, FILES),
    "the list of needs changed": (_change_needs, frozenset({"needs-differ", "room-missing"})),
    "seats changed": (_change_seats, frozenset({"needs-differ"})),
    "laid out by an earlier version": (_older_layout, frozenset({"packing-list-missing"})),
}  # fmt: skip
"""Name, slip, and codes of which one must be among the errors."""
