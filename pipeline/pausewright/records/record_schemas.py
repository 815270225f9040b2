"""The published JSON Schemas of records, made from their shapes.

The files beside this module are what `schema_text` returns; after a change of a shape write them
anew with: python -m pausewright.records.record_schemas
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Final

import msgspec

from pausewright.records.season_shapes import SeasonTable
from pausewright.records.shapes import (
    BuildRecord,
    Contents,
    PackingList,
    RoomPackingList,
    RoomsRecord,
    RunningTimes,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

PUBLISHED: Final[Mapping[str, tuple[type[msgspec.Struct], str, str]]] = {
    "build_record.schema.json": (BuildRecord, "urn:pausewright:build-record:1", "Build record"),
    "packing_list.schema.json": (
        PackingList,
        "urn:pausewright:packing-list:1",
        "Packing list of a version's folder",
    ),
    "room_packing_list.schema.json": (
        RoomPackingList,
        "urn:pausewright:packing-list:2",
        "Packing list of a room's or a player's folder",
    ),
    "running_times.schema.json": (
        RunningTimes,
        "urn:pausewright:running-times:1",
        "What is on a track and when",
    ),
    "contents.schema.json": (Contents, "urn:pausewright:contents:1", "Contents of a version"),
    "rooms_record.schema.json": (RoomsRecord, "urn:pausewright:rooms-record:1", "Record of rooms"),
    "season_table.schema.json": (
        SeasonTable,
        "urn:pausewright:season-table:1",
        "Table of a season",
    ),
}
"""Shape, name and title of each published schema, by file."""


def published_schema(file: str) -> dict[str, object]:
    """Return the JSON Schema (2020-12) that a file holds."""
    shape, name, title = PUBLISHED[file]
    _, shared = msgspec.json.schema_components([shape], ref_template="#/$defs/{name}")
    own: dict[str, object] = shared.pop(shape.__name__)
    head: dict[str, object] = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": name,
    }
    return head | own | {"title": title, "$defs": shared}


def schema_text(file: str) -> str:
    """Return a published schema as its file holds it."""
    return json.dumps(published_schema(file), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    for name in PUBLISHED:
        Path(__file__).with_name(name).write_text(schema_text(name), encoding="utf-8", newline="\n")
