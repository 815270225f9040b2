"""Rooms laid out from a list of needs: one folder a room, one track a player, papers, a checklist.

Candidates' codes stand in each room's list and nowhere else.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.deliver.output_folder import slug, staged, write_text
from pausewright.files.writing import is_private, keep_private
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import opened
from pausewright.problems import OutputError, Place, Problems, TrackError
from pausewright.records.record_files import read_record, record_text
from pausewright.records.shapes import WrittenFile, WrittenFiles

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from collections.abc import Set as AbstractSet
    from pathlib import Path

    from pausewright.deliver.needs_list import Need
    from pausewright.records.shapes import BuildRecord

_READ_BYTES: Final = 1 << 20
LIST_NAME: Final = "room-list_CONFIDENTIAL.txt"
_RECORD: Final = "build-record_rooms.json"
_MINUTES_A_DAY: Final = 24 * 60
_PLAYED: Final = ("track", "piece", "video", "captions", "transcript")
"""Kinds of files that a player gets."""


@dataclass(frozen=True, slots=True)
class Player:
    """A machine that plays one track."""

    number: int
    label: str
    candidates: tuple[str, ...]
    by_loudspeaker: bool


@dataclass(frozen=True, slots=True)
class Room:
    """A room with its players."""

    name: str
    folder: str
    players: tuple[Player, ...]
    length_s: Fraction
    """Of its longest track."""

    @property
    def labels(self) -> tuple[str, ...]:
        """Versions that are heard in it."""
        return tuple(sorted({player.label for player in self.players}))

    @property
    def n_candidates(self) -> int:
        """How many sit in it."""
        return sum(len(player.candidates) for player in self.players)


def plan_rooms(
    needs: Sequence[Need], lengths_s: dict[str, Fraction], file: Path, problems: Problems
) -> tuple[Room, ...]:
    """Return the rooms of a list, by name.

    Parameters
    ----------
    needs : the rows
    lengths_s : length of each version's track in seconds, by label
    file : the list, for problems
    problems : takes rooms in which one loudspeaker would have to play two versions
    """
    by_room: defaultdict[str, list[Need]] = defaultdict(list)
    for need in needs:
        by_room[" ".join(need.room.split())].append(need)
    folders: dict[str, str] = {}
    rooms = []
    for name in sorted(by_room):
        rows = by_room[name]
        folder = slug(name)
        if folder in folders:
            problems.error(
                Place(file, rows[0].line, 1),
                f"the rooms ‘{folders[folder]}’ and ‘{name}’ would have the same folder",
                "name them differently, in letters and figures",
                code="needs-rooms",
            )
        folders[folder] = name
        rooms.append(_room(name, folder, rows, lengths_s, file, problems))
    return tuple(rooms)


def _room(
    name: str,
    folder: str,
    rows: Sequence[Need],
    lengths_s: dict[str, Fraction],
    file: Path,
    problems: Problems,
) -> Room:
    aloud: defaultdict[str, list[Need]] = defaultdict(list)
    for need in rows:
        if not need.headphones:
            aloud[need.label].append(need)
    if len(aloud) > 1:
        odd = min(aloud.values(), key=len)
        labels = ", ".join(sorted(aloud))
        problems.error(
            Place(file, odd[0].line, 1),
            f"the room ‘{name}’ would hear versions {labels} through one loudspeaker",
            "declare headphones in these rows (headphones: yes), or use another room",
            code="needs-loudspeaker",
        )
    players = [
        Player(number, label, tuple(n.candidate for n in aloud[label]), by_loudspeaker=True)
        for number, label in enumerate(sorted(aloud), 1)
    ]
    for need in rows:
        if need.headphones:
            number = len(players) + 1
            players.append(Player(number, need.label, (need.candidate,), by_loudspeaker=False))
    longest_s = max((lengths_s.get(p.label, Fraction(0)) for p in players), default=Fraction(0))
    return Room(name, folder, tuple(players), longest_s)


def ends_at(start: str, length_s: Fraction) -> str:
    """Return when a track ends that starts at `start` ("09:30"), to the minute, rounded up.

    Raises
    ------
    OutputError
        If `start` is no time of day.
    """
    hours, colon, minutes = start.partition(":")
    if not (colon and hours.isdigit() and minutes.isdigit() and len(minutes) == 2):
        raise OutputError(f"‘{start}’ is no time of day", "for example: --start 09:30")
    if int(hours) > 23 or int(minutes) > 59:
        raise OutputError(f"‘{start}’ is no time of day", "for example: --start 09:30")
    at = int(hours) * 60 + int(minutes) + -(-length_s.numerator // (60 * length_s.denominator))
    at %= _MINUTES_A_DAY
    return f"{at // 60:02d}:{at % 60:02d}"


# ---- folders ----------------------------------------------------------------------------------


def delivered(folder: Path, label: str, edition: str) -> BuildRecord | None:
    """Return the record of a version that lies in a build's folder in this edition, or None."""
    record = read_record(folder / "confidential" / f"build-record_{label}.json")
    if record is None or record.edition != edition:
        return None
    return record


def lay_out(
    rooms: Sequence[Room], records: Mapping[str, BuildRecord], built: Path, target: Path, start: str
) -> tuple[Path, ...]:
    """Copy tracks and papers into a folder a room, with a checklist and the room's list.

    Parameters
    ----------
    rooms : as planned
    records : build records by version label
    built : the folder of the build
    target : what is written, whole or not at all
    start : time of day at which the tracks start; "" if it is not known

    Raises
    ------
    OutputError
        If something cannot be read or written.
    """
    with staged(target) as stage:
        for room in rooms:
            _lay_out_room(room, records, built, stage / room.folder, start)
        files = sorted(p.relative_to(stage) for p in stage.rglob("*") if p.is_file())
        written = WrittenFiles(tuple(WrittenFile(path.as_posix()) for path in files))
        write_text(stage / "confidential" / _RECORD, record_text(written), private=True)
    return tuple(target / path for path in files)


def _lay_out_room(
    room: Room, records: Mapping[str, BuildRecord], built: Path, folder: Path, start: str
) -> None:
    for player in room.players:
        place = folder / f"player-{player.number}_version-{player.label}"
        place.mkdir(parents=True)
        for path, sha256 in records[player.label].paths(*_PLAYED):
            if path.startswith(f"version-{player.label}/"):
                _copy(built, path, place / path.rpartition("/")[2], sha256)
    papers = folder / "papers"
    papers.mkdir(parents=True)
    for label in room.labels:
        for path, sha256 in records[label].paths("paper"):
            if path.startswith("print/"):
                _copy(built, path, papers / path.rpartition("/")[2], sha256)
    in_pieces = {label for label in room.labels if records[label].paths("piece")}
    write_text(folder / "checklist.txt", checklist(room, start, in_pieces))
    write_text(folder / LIST_NAME, room_list(room), private=True)


def _copy(built: Path, path: str, target: Path, sha256: str) -> None:
    """Copy a file of a build that must be the one that was built and checked."""
    source = built / path
    try:
        found = hashlib.sha256()
        with opened(source, BUILT_FILE, built) as file, target.open("xb") as copy:
            while part := file.read(_READ_BYTES):
                found.update(part)
                copy.write(part)
        if is_private(source):
            keep_private(target)
        is_same = found.hexdigest() == sha256
    except TrackError as error:
        raise OutputError(error.message, "build the script again") from error
    except OSError as error:
        raise OutputError(
            f"‘{source}’ cannot be copied ({error.strerror})", "build the script again"
        ) from error
    if not is_same:
        raise OutputError(
            f"‘{source}’ was changed since it was built and checked", "build the script again"
        )


def checklist(room: Room, start: str, in_pieces: AbstractSet[str] = frozenset()) -> str:
    """Return what staff tick off in a room: versions, players and times, no candidate.

    `in_pieces` are the labels of versions that are also there in one file per stretch.
    """
    minutes = -(-room.length_s.numerator // (60 * room.length_s.denominator))
    rows = [
        f"Room: {room.name}",
        "",
        f"[ ] places: {room.n_candidates}; versions: {', '.join(room.labels)}",
    ]
    for player in room.players:
        how = "loudspeaker" if player.by_loudspeaker else "headphones: start low"
        rows.append(f"[ ] player {player.number}: version {player.label}, {how}")
        if player.label in in_pieces:
            rows += [
                f"[ ] player {player.number} plays the whole track or its files, never both",
                "    (in files: the running sheet says when to start the next one; the player does",
                "    not go on by itself, which was tried out)",
            ]
    rows += [
        "[ ] label and edition are the same on track and papers",
        "[ ] a spare copy and a person who can read the test are there",
        f"[ ] the longest track takes {minutes} minutes; add the time spent at stops",
    ]
    if start:
        rows.append(f"[ ] start {start}, end {ends_at(start, room.length_s)} at the earliest")
    return "\n".join(rows) + "\n"


def room_list(room: Room) -> str:
    """Return who sits at which player: confidential."""
    rows = [f"Room: {room.name} · CONFIDENTIAL", ""]
    for player in room.players:
        rows += [
            f"player {player.number} (version {player.label}): {candidate}"
            for candidate in player.candidates
        ]
    return "\n".join(rows) + "\n"
