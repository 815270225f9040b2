"""Lists of needs, as spreadsheets export them, and the rooms that are laid out from them."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from pausewright.arrange.arrangement import Arrangement
from pausewright.deliver.build import build_versions
from pausewright.deliver.needed_rooms import make_rooms, rooms_data, rooms_text
from pausewright.deliver.needs_list import read_needs
from pausewright.deliver.project import open_project
from pausewright.deliver.rooms import plan_rooms
from pausewright.papers.timed.day_time import read_day_time
from pausewright.problems import OutputError, ScriptError
from support.scripts.short_scripts import SMALL
from support.scripts.versions import options, written

if TYPE_CHECKING:
    from fractions import Fraction  # noqa: F401
    from pathlib import Path

    from pausewright.deliver.needed_rooms import Rooms
    from pausewright.problems import Problem

DECLARED = (Arrangement("standard", "A"), Arrangement("quarter", "B"))
VERSIONS = """
quarter: {label: B, basis: f, extra-time: 25 %, stretch: [answer-time],
  share-of: listed-silences, where: each-gap}
slower: {label: C, basis: f, pace: 80 %}
"""
GOOD = "candidate,arrangement,room\n1001,standard,Hall\n1002,quarter,Room 4\n1003,B,Room 4\n"


def read(folder: Path, content: bytes) -> tuple[list[tuple[str, str, str]], tuple[Problem, ...]]:
    """Return rows and problems of a list."""
    file = folder / "needs.csv"
    file.write_bytes(content)
    rows, problems = read_needs(file, DECLARED)
    return [(row.candidate, row.label, row.room) for row in rows], problems.all


@pytest.mark.parametrize(
    "content",
    [
        GOOD.encode(),
        b"\xef\xbb\xbf" + GOOD.encode(),
        GOOD.replace(",", ";").encode(),
        GOOD.replace(",", "\t").replace("\n", "\r\n").encode("utf-16"),
        GOOD.replace("\n", "\r\n").encode("cp1252"),
        ("\n" + GOOD.replace("1001,", '"1001" ,') + "\n,,\n").encode(),
        GOOD.replace("candidate,arrangement,room", "Room,Version , Candidate Code")
        .replace("1001,standard,Hall", "Hall,A,1001")
        .replace("1002,quarter,Room 4", "Room 4,B,1002")
        .replace("1003,B,Room 4", "Room 4,quarter,1003")
        .encode(),
    ],
    ids=["plain", "mark", "semicolons", "tabs utf-16", "windows", "blank rows", "columns"],
)
def test_exports_of_all_kinds_mean_the_same(tmp_path: Path, content: bytes) -> None:
    """Marks, separators, encodings, blank rows and the order of columns do not matter."""
    rows, problems = read(tmp_path, content)

    assert problems == ()
    assert rows == [("1001", "A", "Hall"), ("1002", "B", "Room 4"), ("1003", "B", "Room 4")]


def test_accents_in_windows_encoding(tmp_path: Path) -> None:
    """A room's name from a Windows export is read as it was written."""
    rows, problems = read(tmp_path, GOOD.replace("Hall", "Café").encode("cp1252"))

    assert problems == ()
    assert rows[0][2] == "Café"


def test_all_bad_rows_come_at_once(tmp_path: Path) -> None:
    """Each row that cannot be meant is one problem with its line; good rows do not hide them."""
    content = GOOD + (
        "1001,standard,Hall\n1005,quater,Hall\n,standard,Hall\n1006,standard,\n"
        "1007,nothing,Hall\n1008\n"
    )
    _, problems = read(tmp_path, content.encode())

    assert [(p.place.line, p.message) for p in problems] == [
        (5, "the candidate of line 2 stands here once more"),
        (6, "the arrangement ‘quater’ is not declared"),
        (7, "this row has no candidate"),
        (8, "this row has no room"),
        (9, "the arrangement ‘nothing’ is not declared"),
        (10, "this row has no arrangement"),
        (10, "this row has no room"),
    ]
    assert problems[1].hint == "did you mean quarter?"
    assert all(p.hint for p in problems)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "the list holds no candidates"),
        ("candidate,room\n1,Hall\n", "there is no column ‘arrangement’"),
        ("code,candidate,arrangement,room\n1,2,A,Hall\n", "two columns could be the candidate"),
        ("candidate,arrangement,room,headphones\n1,A,Hall,maybe\n", "‘maybe’ is neither yes nor"),
    ],
)
def test_lists_that_are_none(tmp_path: Path, content: str, words: str) -> None:
    """A list without what is needed says what the first row must be."""
    _, problems = read(tmp_path, content.encode())

    assert any(words in p.message for p in problems)


def test_names_are_a_warning(tmp_path: Path) -> None:
    """No names are needed: a column of them is told, and the list is still read."""
    named = "Name," + GOOD.replace("\n1", "\nX,1")
    as_codes = GOOD.replace("1001", "Wren Fern").replace("1002", "Ash Moss")
    for content in (named, as_codes):
        rows, problems = read(tmp_path, content.encode())
        assert len(rows) == 3
        assert [(p.code, p.severity) for p in problems] == [("needs-names", "warning")]


def test_a_spreadsheet_is_no_list(tmp_path: Path) -> None:
    """A file of a spreadsheet itself is told to be saved as CSV."""
    with pytest.raises(OutputError, match="is a spreadsheet"):
        read(tmp_path, b"PK\x03\x04....")


def rooms(folder: Path, content: str, start: str = "09:30", labels: tuple[str, ...] = ()) -> Rooms:
    """Build versions and lay rooms out."""
    script = written(folder, SMALL, VERSIONS)
    made = options(folder)
    build_versions(script, made, labels)
    listed = folder / "needs.csv"
    listed.write_text(content, "utf-8")
    project = open_project(script, made.profiles)
    return make_rooms(project, listed, folder / "out", folder / "rooms", start)


def test_rooms_hold_one_track_a_player(tmp_path: Path) -> None:
    """Only needed versions, papers of each, a checklist; a second run replaces the first."""
    for _ in range(2):
        found = rooms(tmp_path, GOOD)

    assert found.labels == ("A", "B")
    folder = tmp_path / "rooms"
    assert sorted(p.name for p in folder.iterdir()) == ["confidential", "hall", "room-4"]
    players = sorted(p.name for p in (folder / "room-4").iterdir() if p.is_dir())
    assert players == ["papers", "player-1_version-B"]
    tracks = list((folder / "room-4").rglob("*[!k].wav"))
    assert len(tracks) == 1
    papers = {
        place.name: [p.name.partition("_")[0] for p in sorted(place.iterdir())]
        for place in (folder / "room-4" / "papers").iterdir()
    }
    assert papers == {
        "candidates": ["answer-sheet"],
        "staff": ["instructions", "instructions", "running-sheet"],
    }
    assert next((folder / "room-4" / players[1]).glob("*_room-screen.html"))
    assert not list(folder.rglob("*_reader-screen.html"))
    assert "start 09:30, end 09:31" in (folder / "hall" / "checklist.txt").read_text("utf-8")
    assert "versions needed: A, B" in rooms_text(found)
    assert json.loads(json.dumps(rooms_data(found)))["rooms"][1]["players"] == [
        {"number": 1, "version": "B", "loudspeaker": True}
    ]


def test_codes_stand_in_the_room_list_alone(tmp_path: Path) -> None:
    """No track, paper, checklist, record or summary holds a candidate's code."""
    codes = ("PLOVEKITE77", "HERON8", "CURLEW9")
    content = GOOD
    for plain, code in zip(("1001", "1002", "1003"), codes, strict=True):
        content = content.replace(plain, code)
    found = rooms(tmp_path, content)

    holders = [
        file
        for file in (tmp_path / "rooms").rglob("*")
        if file.is_file() and any(code.encode() in file.read_bytes() for code in codes)
    ]
    assert {file.relative_to(tmp_path / "rooms").as_posix() for file in holders} == {
        "confidential/hall_room-list.txt",
        "confidential/room-4_room-list.txt",
    }
    for code in codes:
        assert code not in rooms_text(found)
        assert code not in str(rooms_data(found))
        assert code not in "".join(str(file) for file in found.files)


def test_two_versions_need_headphones(tmp_path: Path) -> None:
    """One loudspeaker cannot play two versions; with headphones each has a player."""
    mixed = GOOD.replace("1001,standard,Hall", "1001,standard,Room 4")
    with pytest.raises(ScriptError) as caught:
        rooms(tmp_path, mixed)
    assert "through one loudspeaker" in caught.value.problems[0].message
    assert not (tmp_path / "rooms").exists()

    wide = "".join(
        f"{row},{'headphones' if not n else 'yes' if n == 1 else 'no'}\n"
        for n, row in enumerate(mixed.splitlines())
    )
    found = rooms(tmp_path, wide)
    assert [(p.label, p.by_loudspeaker) for p in found.rooms[0].players] == [
        ("B", True), ("A", False),
    ]  # fmt: skip


def test_a_live_reader_gets_the_readers_screen(tmp_path: Path) -> None:
    """Who reads is named in the confidential list alone; the reader's screen is private."""
    content = GOOD.replace("room\n", "room,reader\n")
    content = content.replace("1001,standard,Hall", "1001,standard,Hall,KITE77")
    content = content.replace("1002,quarter,Room 4", "1002,quarter,Room 4,no")
    found = rooms(tmp_path, content + "1004,A,Hall,KITE77\n1005,B,Annexe,yes\n")
    folder = tmp_path / "rooms"

    assert [(r.name, len(r.players), len(r.readers)) for r in found.rooms] == [
        ("Annexe", 0, 1), ("Hall", 0, 1), ("Room 4", 1, 0),
    ]  # fmt: skip
    screens = sorted(folder.rglob("*_reader-screen.html"))
    assert [f.parent.relative_to(folder).as_posix() for f in screens] == [
        "annexe/papers/staff", "hall/papers/staff",
    ]  # fmt: skip
    listed = (folder / "confidential" / "hall_room-list.txt").read_text("utf-8")
    assert "reader 1 is KITE77\nreader 1 (version A): 1001\nreader 1 (version A): 1004\n" in listed
    assert "reader 1: version A" in (folder / "hall" / "checklist.txt").read_text("utf-8")
    holders = [f for f in folder.rglob("*") if f.is_file() and b"KITE77" in f.read_bytes()]
    assert [f.name for f in holders] == ["hall_room-list.txt"]
    assert "places 2, versions A, players 0, readers 1" in rooms_text(found)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("1,A,Hall,,R1\n2,B,Hall,,R2\n", "aloud from 2 places at once"),
        ("1,A,Hall,,R1\n2,A,Hall,,\n", "aloud from 2 places at once"),
        ("1,A,Hall,yes,R1\n", "has no headphones"),
        ("1,A,Confidential,,\n", "the folder of the room lists"),
    ],
)
def test_readers_that_cannot_be(tmp_path: Path, rows: str, words: str) -> None:
    """Nobody can listen to two voices in one room, or to a reader through headphones."""
    with pytest.raises(ScriptError) as caught:
        rooms(tmp_path, f"candidate,arrangement,room,headphones,reader\n{rows}")
    assert words in caught.value.problems[0].message


def test_more_than_thirty_in_a_room_are_a_warning(tmp_path: Path) -> None:
    """Two bodies allow thirty by loudspeaker (CV-29); those with headphones do not count."""
    rows = [f"K{n},A,Hall,no" for n in range(30)] + [f"L{n},A,Hall,yes" for n in range(3)]
    for more, expected in ((0, []), (1, ["needs-many"])):
        content = "\n".join(
            ["candidate,arrangement,room,headphones", *rows, *["K30,A,Hall,"] * more]
        )
        _, problems = read(tmp_path, content.encode())
        assert problems == ()
        needs, found = read_needs(tmp_path / "needs.csv", DECLARED)
        plan_rooms(needs, {}, tmp_path / "needs.csv", found)
        assert [problem.code for problem in found.all] == expected


def test_a_build_of_another_version_of_the_program_is_told(tmp_path: Path) -> None:
    """A file of a kind that has no place is never left out in silence."""
    rooms(tmp_path, GOOD)
    record = tmp_path / "out" / "tide" / "confidential" / "build-record_B.json"
    record.write_text(record.read_text("utf-8").replace('"answer-sheet"', '"paper"'), "utf-8")
    project = open_project(tmp_path / "tide.md", options(tmp_path).profiles)
    with pytest.raises(OutputError, match="another version of this program") as caught:
        make_rooms(project, tmp_path / "needs.csv", tmp_path / "out", tmp_path / "rooms")
    assert caught.value.hint == "build the script again"


def test_rooms_of_an_earlier_version_are_replaced(tmp_path: Path) -> None:
    """What it recorded as written goes, its lists of codes in the rooms' folders too."""
    old = tmp_path / "rooms"
    for name in ("hall/room-list_CONFIDENTIAL.txt", "hall/papers/answer-sheet_A_X.txt"):
        (old / name).parent.mkdir(parents=True, exist_ok=True)
        (old / name).write_text("old", "utf-8")
    files = [{"path": f.relative_to(old).as_posix()} for f in old.rglob("*.txt")]
    (old / "confidential").mkdir()
    record = old / "confidential" / "build-record_rooms.json"
    record.write_text(json.dumps({"files": files}), "utf-8")
    rooms(tmp_path, GOOD)

    assert not list(old.rglob("room-list_CONFIDENTIAL.txt"))
    assert sorted(p.name for p in (old / "hall" / "papers").iterdir()) == ["candidates", "staff"]


def test_versions_that_are_not_built_are_named(tmp_path: Path) -> None:
    """Nothing is laid out until every needed version is there, in this edition."""
    with pytest.raises(OutputError, match="not built in edition") as caught:
        rooms(tmp_path, GOOD, labels=("A",))
    assert caught.value.hint.endswith("--arrangement B")


def test_a_track_that_was_changed_is_not_handed_out(tmp_path: Path) -> None:
    """What is copied is what was built and checked."""
    rooms(tmp_path, GOOD)
    track = next((tmp_path / "out" / "tide" / "version-B").glob("*[!k].wav"))
    track.write_bytes(track.read_bytes()[:-2])
    project = open_project(tmp_path / "tide.md", options(tmp_path).profiles)
    with pytest.raises(OutputError, match="was changed since"):
        make_rooms(project, tmp_path / "needs.csv", tmp_path / "out", tmp_path / "rooms")
    assert list((tmp_path / "rooms" / "room-4").rglob("*[!k].wav"))


@pytest.mark.parametrize("start", ["9", "25:00", "09:7", "x:30"])
def test_a_start_that_is_no_time(start: str) -> None:
    """A time of day has hours and two figures of minutes."""
    with pytest.raises(OutputError, match="no time of day"):
        read_day_time(start)
