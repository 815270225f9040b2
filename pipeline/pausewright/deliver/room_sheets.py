"""What is written for a room itself: the checklist for staff and the list of who sits where."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.papers.timed.day_time import read_day_time

if TYPE_CHECKING:
    from collections.abc import Set as AbstractSet

    from pausewright.deliver.rooms import Room


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
    for reader in room.readers:
        rows += [
            f"[ ] reader {reader.number}: version {reader.label}, in place of a track",
            "    (from the reader's screen or copy in papers/staff: confidential, every sentence)",
        ]
    rows += [
        "[ ] label and edition are the same on track and papers",
        "[ ] a spare copy and a person who can read the test are there",
        f"[ ] the longest track takes {minutes} minutes; add the time spent at stops",
    ]
    if start:
        end = read_day_time(start).minute_after(room.length_s)
        rows.append(f"[ ] start {start}, end {end} at the earliest")
    return "\n".join(rows) + "\n"


def room_list(room: Room) -> str:
    """Return who sits at which player or listens to which reader: confidential."""
    rows = [f"Room: {room.name} · CONFIDENTIAL", ""]
    for player in room.players:
        rows += [
            f"player {player.number} (version {player.label}): {candidate}"
            for candidate in player.candidates
        ]
    for reader in room.readers:
        if reader.code:
            rows.append(f"reader {reader.number} is {reader.code}")
        rows += [
            f"reader {reader.number} (version {reader.label}): {candidate}"
            for candidate in reader.candidates
        ]
    return "\n".join(rows) + "\n"
