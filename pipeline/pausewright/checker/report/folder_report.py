"""The result of the check of a folder, for people and for programs."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from pausewright.checker.report.lines import cause_lines, finding_lines, wrapped
from pausewright.checker.report.report import (
    MOST_IN_HEAD,
    as_data,
    as_short_text,
    as_text,
    finding_data,
)
from pausewright.checker.result.causes import causes
from pausewright.checker.result.shared_causes import shared_causes, told_above
from pausewright.package_data import package_folder

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.result.delivered import Delivered, Room
    from pausewright.checker.result.shared_causes import SharedCause, Sign

SCHEMA_NAME = "check_folder.schema.json"


def as_folder_text(delivered: Delivered, *, is_short: bool = False) -> str:
    """Return the report of all rooms and their tracks; `is_short` leaves the tables out."""
    found = shared_causes(delivered)
    head = [_verdict(delivered), *_titles(delivered), *_first(found), *_told(found)]
    blocks = ["\n".join(head) + "\n"]
    above = told_above(delivered)
    as_track = as_short_text if is_short else as_text
    for room in delivered.rooms:
        blocks.append("\n".join(_room(room, above, is_paper=delivered.is_paper)) + "\n")
        blocks += [as_track(check, above) for check in room.checks]
    if len(delivered.rooms) > 1 or delivered.checks:
        blocks.append(_verdict(delivered) + "\n")
    return "\n".join(blocks)


def _verdict(delivered: Delivered) -> str:
    n_errors = sum(f.severity == "error" for f in delivered.all_findings)
    n_warnings = len(delivered.all_findings) - n_errors
    return (
        f"{'GOOD' if delivered.is_good else 'NOT GOOD'}: {_what(delivered)}, "
        f"{_count(n_errors, 'error')}, {_count(n_warnings, 'warning')}"
    )


def _titles(delivered: Delivered) -> list[str]:
    """Return the titles of the tests that the tracks are of, in a line; none where none is said."""
    titles = dict.fromkeys(check.title for check in delivered.checks if check.title)
    return wrapped(f"  {', '.join(titles)}", "  ") if titles else []


def _first(found: Sequence[SharedCause]) -> list[str]:
    """Return the causes that the head names, those of several versions with their places."""
    lines: list[str] = []
    for n, one in enumerate(found[:MOST_IN_HEAD], 1):
        where = f" ({one.places[0]})" if len(one.places) == 1 else ""
        lines += wrapped(f"  {n}. {one.cause.severity}: {one.sentence}{where}", "     ")
    if len(found) > MOST_IN_HEAD:
        lines.append(f"  … and {_count(len(found) - MOST_IN_HEAD, 'more cause')}")
    return lines


def _told(found: Sequence[SharedCause]) -> list[str]:
    """Return in full what is about the whole delivery, or at several places of it."""
    lines: list[str] = []
    for one in found:
        if len(one.places) != 1:
            lines += ["", *finding_lines(one.cause.head, one.sentence)]
    return lines


def _what(delivered: Delivered) -> str:
    """Return what was checked, in numbers."""
    if delivered.is_paper:
        return _count(len(delivered.rooms), "paper")
    tracks = _count(len(delivered.checks), "track")
    n_players = sum(room.player_at is not None for room in delivered.rooms)
    n_rooms = sum(room.room_at is not None for room in delivered.rooms) - n_players
    if n_rooms or n_players:
        parts = [_count(n_rooms, "room")] if n_rooms else []
        return ", ".join([*parts, _count(n_players, "player"), tracks])
    return f"{_count(len(delivered.rooms), 'folder')} for the room, {tracks}"


def _room(room: Room, above: frozenset[Sign], *, is_paper: bool) -> list[str]:
    lines = [
        (
            f"{'Paper' if is_paper else 'Folder'} {room.name}: "
            f"version {room.version_label or 'not known'}, edition {room.edition or 'not known'}"
        )
    ]
    if room.is_listed:
        n_as_listed = sum(row.state == "as listed" for row in room.files)
        lines.append(f"  {n_as_listed} of {_count(len(room.files), 'file')} as built")
    lines += [f"  {caution}" for caution in room.cautions]
    lines += cause_lines(causes(room.findings), above) if room.findings else []
    return lines


def _count(n: int, word: str) -> str:
    return f"{n} {word}" + ("" if n == 1 else "s")


def as_folder_data(delivered: Delivered) -> dict[str, object]:
    """Return the report as plain data that follows the published schema."""
    return {
        "schema": 2,
        "verdict": "good" if delivered.is_good else "not good",
        "findings": [finding_data(finding) for finding in delivered.findings],
        "causes": [
            {
                "code": one.cause.head.code,
                "severity": one.cause.severity,
                "sentence": one.sentence,
                "versions": list(one.places),
            }
            for one in shared_causes(delivered)
        ],
        "rooms": [
            {
                "folder": room.name,
                "verdict": "good" if room.is_good else "not good",
                "version_label": room.version_label or None,
                "edition": room.edition or None,
                "is_listed": room.is_listed,
                "player": room.player_at[0] if room.player_at else None,
                "is_as_needed": room.is_as_needed,
                "files": [
                    {"name": row.name, "state": row.state, "sha256": row.sha256 or None}
                    for row in room.files
                ],
                "findings": [finding_data(finding) for finding in room.findings],
                "tracks": [as_data(check) for check in room.checks],
                "cautions": list(room.cautions),
            }
            for room in delivered.rooms
        ],
    }


def folder_schema() -> dict[str, object]:
    """Return the JSON Schema (2020-12) of folder reports; tracks follow the schema of tracks."""
    text = (package_folder("pausewright.checker") / SCHEMA_NAME).read_text("utf-8")
    found: dict[str, object] = json.loads(text)
    return found
