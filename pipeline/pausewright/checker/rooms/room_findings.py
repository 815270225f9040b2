"""A packing list against the script of today, and against the file for `sha256sum -c`."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from pausewright.checker.result.findings import Finding
from pausewright.checker.rooms.packed import LIST, SUMS
from pausewright.checker.rooms.room_files import COPY, paper_finding
from pausewright.intake.file_kinds import PACKING_LIST
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from pausewright.checker.rooms.orders import Orders
    from pausewright.checker.rooms.packed import RoomList, RoomsRecord
    from pausewright.checker.rooms.room_files import Held


def by_script(room: RoomList, orders: Orders, held: Mapping[str, Held]) -> Iterator[Finding]:
    """Compare edition and answer sheets with what the script gives now; nothing without one.

    A sheet that is not the listed one has a finding of its own: by the list nothing is said of it.
    """
    edition = orders.edition
    if edition is None:
        return
    if edition != room.edition:
        yield Finding(
            "edition-differs",
            "error",
            f"this was laid out from edition {room.edition}, the script is edition {edition}",
            "build the script and lay the rooms out again; papers are judged by themselves",
        )
    for one in room.files:
        wanted = orders.sheet_marks.get(one.version_label)
        there = held.get(one.name)
        is_listed = there is not None and there.sha256 == one.sha256
        if one.kind != "answer-sheet" or wanted is None or not is_listed:
            continue
        is_same = one.content_mark == wanted
        if edition != room.edition:
            yield paper_finding(one.name, room.edition, edition, is_same=is_same)
        elif not is_same:
            yield Finding(
                "paper-differs",
                "error",
                f"‘{one.name}’ shows something else than the script gives",
                "build the script again and lay the rooms out again",
            )


def by_record(room: RoomList, own: Held, record: RoomsRecord) -> Iterator[Finding]:
    """Compare the list with the record of rooms, entry by entry; `own` is the list's own file."""
    folders = [room.folder, *(one.folder for one in room.players if room.player)]
    start = "/".join(folders) + "/"
    sums = hashlib.sha256(_sums_text(room, own).encode()).hexdigest()
    wanted = {one.name: one.sha256 for one in room.files} | {LIST: own.sha256, SUMS: sums}
    recorded = {
        path.removeprefix(start): sha256
        for path, sha256 in record.by_path.items()
        if path.startswith(start)
    }
    if recorded != wanted or record.edition != room.edition:
        yield Finding(
            "record-differs",
            "error",
            "the packing list is not what was laid out, by the record of rooms",
            COPY,
        )


def by_sums(room: RoomList, own: Held, held: Held | None) -> Iterator[Finding]:
    """Compare the file for `sha256sum -c` with the list; `own` is the list's own file."""
    if held is None:
        yield Finding("file-missing", "error", f"‘{SUMS}’ is not there", COPY)
        return
    try:
        is_same = file_bytes(held.path, PACKING_LIST) == _sums_text(room, own).encode()
    except TrackError:
        is_same = False
    if not is_same:
        yield Finding("sums-differ", "error", f"‘{SUMS}’ and the packing list do not agree", COPY)


def _sums_text(room: RoomList, own: Held) -> str:
    """Return the file for `sha256sum -c` that belongs to a list."""
    listed = {(one.sha256, one.name) for one in room.files} | {(own.sha256, LIST)}
    return "".join(f"{sha256}  {name}\n" for sha256, name in sorted(listed))
