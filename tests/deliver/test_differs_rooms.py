"""What a change means for rooms that were laid out, against rooms laid out anew after it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, get_args

import pytest
from pausewright.deliver.build import build_versions
from pausewright.deliver.differs.consequences import GROUPS
from pausewright.deliver.differs.difference import differ
from pausewright.deliver.needed_rooms import make_rooms
from pausewright.deliver.outputs.job import OFFICE, FileKind
from pausewright.deliver.project import open_project
from pausewright.deliver.room_places import PLACES
from pausewright.problems import OutputError
from pausewright.records.record_files import read_as
from pausewright.records.shapes import RoomPackingList
from support.rooms.layouts import (
    OTHER_KEY,
    OTHER_SHEET,
    OTHER_WORDS,
    SCRIPT,
    VERSIONS,
    Layout,
    laid_out,
)
from support.scripts.versions import options, written

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.differs.consequences import RoomVerdict
    from pausewright.deliver.project import Project
    from support.command_line import Run

OTHER_NOTE = SCRIPT.replace("Listen.\n", 'Listen.\n\n::: staff-note {to="reader"}\nSlowly.\n:::\n')
"""Another edition that says and shows the same, and tells a person who reads something more."""

BY_NAME = {str(kind): place for kind, place in PLACES.items()}


@pytest.fixture(scope="module")
def layout(tmp_path_factory: pytest.TempPathFactory) -> Layout:
    """Return three rooms of a test in three versions."""
    return laid_out(tmp_path_factory.mktemp("rooms"))


def lists(rooms: Path) -> dict[str, RoomPackingList]:
    """Return the packing list of each room, by its folder."""
    found = {}
    for file in sorted(rooms.glob("*/packing-list.json")):
        packed = read_as(file, RoomPackingList)
        assert packed is not None
        found[packed.folder] = packed
    return found


def changed(old: Path, new: Path, editions: tuple[str, str]) -> dict[str, set[str]]:
    """Return which files of each room show or say something else, by their content marks.

    What lies on a player is one: if any of it is other, all of it is.
    """
    after = lists(new)
    found: dict[str, set[str]] = {}
    for folder, packed in lists(old).items():
        marks = {one.name: one.content_mark for one in after[folder].files}
        own = [one for one in packed.files if one.version_label]
        other = {one.name for one in own if marks[one.name.replace(*editions)] != one.content_mark}
        for player in packed.players:
            lies_on_it = {one.name for one in own if one.name.startswith(f"{player.folder}/")}
            other |= lies_on_it if other & lies_on_it else set()
        found[folder] = other
    return found


def laid_out_anew(layout: Layout, folder: Path, text: str) -> tuple[Project, Path]:
    """Return the test with another text, and rooms laid out from it."""
    script = written(folder, text, VERSIONS)
    made = options(folder)
    build_versions(script, made)
    project = open_project(script, made.profiles)
    make_rooms(project, layout.needs, folder / "out", folder / "rooms", "09:30")
    return project, folder / "rooms"


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        (OTHER_KEY, set()),
        (OTHER_SHEET, {"answer-sheet"}),
        (OTHER_NOTE, {"reader-copy", "staff"}),
        (OTHER_WORDS, {"player", "staff"}),
    ],
    ids=["key", "sheet", "note", "words"],
)
def test_each_room_is_told_what_to_replace(
    layout: Layout, tmp_path: Path, text: str, kinds: set[str]
) -> None:
    """Whatever is other in a room that is laid out anew is named; a changed key names nothing."""
    project, rooms = laid_out_anew(layout, tmp_path, text)
    built = layout.folder / "out" / "tide"
    found = differ(built, project.script.path, options(tmp_path), layout.rooms)

    told = {one.folder: set(one.files) for one in found.rooms}
    truth = changed(layout.rooms, rooms, (layout.edition, project.edition))
    assert set(told) == set(truth) == {one.folder for one in lists(layout.rooms).values()}
    named = {"answer-sheet": 0, "player": 0, "reader-copy": 0, "staff": 0}
    for folder, packed in lists(layout.rooms).items():
        assert told[folder] >= truth[folder], folder
        for one in packed.files:
            if one.name in told[folder]:
                place = BY_NAME[one.kind]
                named["answer-sheet"] += one.kind.startswith("answer-sheet")
                named["player"] += place == "player"
                named["reader-copy"] += place == "reader"
                named["staff"] += place == "staff"
    assert {kind for kind, n in named.items() if n} - {"reader-copy"} == kinds - {"reader-copy"}
    if kinds <= {"answer-sheet"}:
        assert told == truth, "nothing else is replaced"


def test_a_player_s_folder_is_replaced_as_a_whole(layout: Layout, tmp_path: Path) -> None:
    """Captions that are other take the track with them: the screen plays no other than its own."""
    shown = SCRIPT.replace(
        "# Only {", '# Only {captions="everything" captions-reason="made for a test" '
    )
    script = written(tmp_path, shown, VERSIONS)
    found = differ(layout.folder / "out" / "tide", script, options(tmp_path), layout.rooms)

    verdicts = {(one.group, one.verdict) for one in found.outputs}
    assert {("track", "stays"), ("shown-with-track", "build")} <= verdicts
    told: dict[str, RoomVerdict] = {one.folder: one for one in found.rooms}
    for folder, packed in lists(layout.rooms).items():
        on_players = {
            one.name
            for one in packed.files
            if one.version_label
            and any(one.name.startswith(f"{player.folder}/") for player in packed.players)
        }
        assert len(on_players) >= 3
        assert on_players <= set(told[folder].files)
        assert not any("answer-sheet" in name for name in told[folder].files)


def test_every_file_that_a_room_gets_belongs_to_a_group() -> None:
    """A new kind of file cannot be forgotten when rooms are compared."""
    grouped = {kind for kinds in GROUPS.values() for kind in kinds}
    assert set(get_args(FileKind)) - grouped <= OFFICE
    assert {kind for kind, place in PLACES.items() if place != "office"} <= grouped


def test_the_command_names_rooms_and_refuses_what_is_none(
    layout: Layout, tmp_path: Path, run: Run
) -> None:
    """Beside the tests' own voice: two builds; a folder without rooms is refused."""
    made = options(tmp_path)
    build_versions(written(tmp_path, OTHER_SHEET, VERSIONS), made)
    built, now = str(layout.folder / "out" / "tide"), str(tmp_path / "out" / "tide")

    code, out, err = run("differs", built, now, "--rooms", str(layout.rooms))
    assert code == 0, err
    for room in ("Hall", "Room 4", "Annexe"):
        (row,) = [line for line in out.splitlines() if f"room {room}: " in line]
        assert "answer-sheet_" in row
        assert "track" not in row
    code, out, _ = run("differs", built, now, "--rooms", str(layout.rooms), "--json")
    assert code == 0
    data = json.loads(out)
    assert {one["room"] for one in data["rooms"]} == {"Hall", "Room 4", "Annexe"}
    names = [name for one in data["rooms"] for name in one["to_replace"]]
    assert all("answer-sheet" in name or "reader-copy" in name for name in names)
    with pytest.raises(OutputError, match="holds no room"):
        differ(layout.folder / "out" / "tide", tmp_path / "out" / "tide", made, tmp_path)
