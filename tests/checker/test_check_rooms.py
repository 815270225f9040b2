"""What `needs` laid out, taken as it is: by list, by script, blind, and by tools of others."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import jsonschema
import pytest
from pausewright.checker.report.blind import (
    UNITS,
    WORDS,
    as_blind_data,
    as_blind_text,
    blind_schema,
)
from pausewright.checker.report.folder_report import as_folder_data, as_folder_text, folder_schema
from pausewright.checker.report.page import as_page
from pausewright.checker.report.report import schema
from pausewright.deliver.outputs.job import FileKind
from pausewright.deliver.recheck import recheck
from pausewright.deliver.room_places import PLACES
from pausewright.problems import TrackError
from pausewright.records.record_schemas import published_schema
from referencing import Registry, Resource
from support.places import ROOT
from support.rooms.layouts import (
    OTHER_KEY,
    OTHER_SHEET,
    codes,
    laid_out,
    list_text,
    remember_measuring,
)
from support.rooms.slips import PLAYERS, swap
from support.voices.fake_voice import UNLIKE_SPEECH

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from pausewright.checker.result.delivered import Delivered
    from support.rooms.layouts import Layout


@pytest.fixture(scope="module")
def layouts(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Mapping[str, Layout]]:
    """Return rooms of a test, of one with another key, and of one with another sheet."""
    folder = tmp_path_factory.mktemp("office")
    with pytest.MonkeyPatch.context() as patch:
        remember_measuring(patch)
        yield {
            "today": laid_out(folder / "today"),
            "key": laid_out(folder / "key", OTHER_KEY),
            "sheet": laid_out(folder / "sheet", OTHER_SHEET),
        }


@pytest.fixture
def today(layouts: Mapping[str, Layout]) -> Layout:
    """Return the rooms of the test."""
    return layouts["today"]


def own_codes(found: Delivered) -> list[str]:
    """Return severities and codes without what the voice without a model is known for."""
    return [one for one in codes(found) if one not in UNLIKE_SPEECH]


def test_sha256sum_verifies_every_folder(today: Layout) -> None:
    """The lists of hashes are those of GNU coreutils' `sha256sum -c`, and name every file."""
    if shutil.which("sha256sum") is None:
        pytest.skip("no sha256sum here")
    sums = sorted(today.rooms.rglob("SHA256SUMS"))
    assert len(sums) == 3 + sum(map(len, PLAYERS.values()))
    for file in sums:
        done = subprocess.run(
            ["sha256sum", "-c", "--strict", file.name],
            cwd=file.parent, capture_output=True, text=True, check=True,
        )  # fmt: skip
        held = {
            p.relative_to(file.parent).as_posix() for p in file.parent.rglob("*") if p.is_file()
        }
        assert {row.removesuffix(": OK") for row in done.stdout.splitlines()} == held - {
            "SHA256SUMS"
        }


def test_lists_keep_to_the_published_schema_and_name_no_need(today: Layout) -> None:
    """Room, players, versions, hashes, marks and measured lengths stand there; no arrangement."""
    shape = published_schema("room_packing_list.schema.json")
    assert shape["$id"] == "urn:pausewright:packing-list:2"
    for file in today.rooms.rglob("packing-list.json"):
        text = file.read_text("utf-8")
        jsonschema.validate(json.loads(text), shape)
        assert not re.search("standard|quarter|slower|C10[0-9]|R7|rivers|Lantern", text)
    data = json.loads((today.rooms / "room-4" / "packing-list.json").read_text("utf-8"))
    assert (data["room"], data["edition"]) == ("Room 4", today.edition)
    assert [(p["number"], p["version_label"], p["places"]) for p in data["players"]] == [
        (1, "B", 1), (2, "C", 1), (3, "B", 1),
    ]  # fmt: skip
    assert {p["kind"] for p in data["files"] if "measured" in p} == {"track"}
    assert all(p["content_mark"] for p in data["files"] if p["name"].startswith("papers/"))
    jsonschema.validate(
        json.loads(today.rooms_record.read_text("utf-8")),
        published_schema("rooms_record.schema.json"),
    )


def test_every_kind_of_file_has_a_place() -> None:
    """An output that is added needs one row: no kind is without, and no row without a kind."""
    assert set(PLACES) == set(FileKind.__args__)  # type: ignore[attr-defined]


def test_all_of_it_is_good_with_script_and_list(today: Layout) -> None:
    """The whole, a room and a player; the tracks are judged by the version of their player."""
    beside: dict[str, Any] = {"needs": today.needs, "script": today.script}
    for inner, n_tracks in (("", 5), ("room-4", 3), ("annexe/player-1_version-B", 1)):
        found = recheck(today.rooms / inner, **beside)
        assert own_codes(found) == []
        assert len(found.checks) == n_tracks
        assert all(check.rows for check in found.checks)
        assert {room.is_as_needed for room in found.rooms} <= {True, None}


def test_the_list_may_name_arrangements_if_the_script_is_given(
    today: Layout, tmp_path: Path
) -> None:
    """Names of arrangements are in the script alone; the folder knows labels."""
    needs = tmp_path / "needs.csv"
    needs.write_text(list_text().replace(",B,", ",quarter,").replace(",A,", ",standard,"), "utf-8")

    assert own_codes(recheck(today.rooms, needs=needs, script=today.script)) == []
    with pytest.raises(TrackError, match="names arrangements") as refused:
        recheck(today.rooms, needs=needs)
    assert "--script" in refused.value.hint


def test_without_the_list_it_says_so(today: Layout) -> None:
    """In text, JSON, page and blind."""
    found = recheck(today.rooms / "hall")

    assert "Not compared with the list of needs" in as_folder_text(found)
    assert "Not compared with the list of needs" in as_page(found)
    assert "needs list not compared" in as_blind_text(found)
    assert as_folder_data(found)["rooms"][0]["is_as_needed"] is None  # type: ignore[index]
    good = recheck(today.rooms / "hall", needs=today.needs)
    assert "Not compared" not in as_folder_text(good)
    assert "needs list good" in as_blind_text(good)


def test_swapped_players_are_told_by_the_cause(today: Layout, tmp_path: Path) -> None:
    """One finding for each of the two folders, and none about its files; with the script too."""
    rooms = shutil.copytree(today.rooms, tmp_path / "rooms")
    swap(rooms / "room-4" / "player-1_version-B", rooms / "room-4" / "player-2_version-C")
    for script in (None, today.script):
        found = recheck(rooms / "room-4", script=script)
        told = [one for one in found.all_findings if one.severity == "error"]
        assert [one.code for one in told] == ["player-differs"] * 2
        assert "player 2, version C" in told[0].sentence


def test_tracks_of_a_version_are_judged_by_their_player(today: Layout, tmp_path: Path) -> None:
    """A track that was overwritten with another version's is that version's by the script too."""
    rooms = shutil.copytree(today.rooms, tmp_path / "rooms")
    player = rooms / "hall" / "player-1_version-A"
    track = next(player.glob("*[!k].wav"))
    shutil.copy(next((rooms / "room-4").rglob("*_B_*.wav")), track)
    for path in (rooms / "hall", player):
        told = codes(recheck(path, script=today.script))
        assert "error file-changed" in told
        assert any("answer" in one or "silence" in one or "total" in one for one in told)
        assert "error file-changed" in codes(recheck(path))


@pytest.mark.parametrize(
    ("older", "expected"), [("key", ["warning paper-older"]), ("sheet", ["error paper-differs"])]
)
def test_older_papers_are_judged_by_what_they_show(
    layouts: Mapping[str, Layout], tmp_path: Path, older: str, expected: list[str]
) -> None:
    """The same mark need not be reprinted; another one must."""
    rooms = shutil.copytree(layouts["today"].rooms, tmp_path / "rooms")
    papers = rooms / "hall" / "papers" / "candidates"
    shutil.rmtree(papers)
    shutil.copytree(layouts[older].rooms / "hall" / "papers" / "candidates", papers)
    found = recheck(rooms / "hall")

    assert own_codes(found) == expected
    (told,) = [one for one in found.all_findings if one.code.startswith("paper-")]
    assert ("need not be reprinted" in told.hint) == (older == "key")
    assert f"is of edition {layouts[older].edition}" in told.sentence
    assert ("older" in {row.state for row in found.rooms[0].files}) == (older == "key")


def test_rooms_of_another_edition_than_the_script_say_which_papers_hold(
    layouts: Mapping[str, Layout],
) -> None:
    """The rooms must be laid out again; sheets that are the same need not be printed again."""
    for older, expected in (("key", "paper-older"), ("sheet", "paper-differs")):
        found = recheck(layouts[older].rooms / "hall", script=layouts["today"].script)
        told = {one.code for one in found.rooms[0].findings}
        assert told == {"edition-differs", expected}


def test_one_paper_is_judged_by_itself(layouts: Mapping[str, Layout], tmp_path: Path) -> None:
    """An answer sheet by the script; any paper by the build record of the wanted edition."""
    today = layouts["today"]

    def verdicts(paper: Path, label: str) -> list[list[str]]:
        by_record = recheck(paper, record=today.record(label))
        if not paper.name.startswith("answer-sheet"):
            return [codes(by_record)]
        return [codes(by_record), codes(recheck(paper, script=today.script))]

    for name, expected in (("today", []), ("key", ["warning paper-older"])):
        papers = layouts[name].rooms / "room-4" / "papers"
        for paper in (p for p in papers.rglob("*") if p.is_file()):
            label = paper.name.split("_")[1]
            assert verdicts(paper, label) == [expected] * len(verdicts(paper, label))
    sheet = next((layouts["sheet"].rooms / "hall").rglob("answer-sheet*"))
    assert verdicts(sheet, "A") == [["error paper-differs"]] * 2
    text = as_folder_text(recheck(sheet, script=today.script))
    assert text.startswith("NOT GOOD: 1 paper, 1 error")
    mine = tmp_path / sheet.name
    mine.write_text("mine", "utf-8")
    with pytest.raises(TrackError, match="does not say which version"):
        recheck(mine, script=today.script)
    with pytest.raises(TrackError, match="the script alone gives the answer sheet"):
        recheck(next((today.rooms / "hall").rglob("running-sheet*")), script=today.script)


def test_rooms_of_an_earlier_version_are_told_plainly(today: Layout, tmp_path: Path) -> None:
    """No traceback and no shower of errors: each room says that it has no list, and what to do."""
    rooms = shutil.copytree(today.rooms, tmp_path / "rooms")
    for one in [*rooms.rglob("packing-list.json"), *rooms.rglob("SHA256SUMS")]:
        one.unlink()
    for room in PLAYERS:
        for paper in [p for p in (rooms / room / "papers").rglob("*") if p.is_file()]:
            paper.rename(rooms / room / "papers" / paper.name)
    shutil.copy(rooms / "confidential" / "hall_room-list.txt", rooms / "hall")
    found = recheck(rooms / "hall")

    assert codes(found) == ["error packing-list-missing"]
    assert found.all_findings[0].hint.endswith("pausewright needs NEEDS.csv SCRIPT")
    assert "earlier version" in found.all_findings[0].sentence


@pytest.mark.parametrize("text", ["", "[]", "{", "null", "[" * 100_000, '{"packing_list": 2}'])
def test_any_packing_list_is_read(today: Layout, tmp_path: Path, text: str) -> None:
    """A damaged list is a finding, never a crash; of the record too."""
    rooms = shutil.copytree(today.rooms, tmp_path / "rooms")
    (rooms / "hall" / "packing-list.json").write_text(text, "utf-8")
    assert "error packing-list-form" in codes(recheck(rooms / "hall"))
    (rooms / "confidential" / "build-record_rooms.json").write_text(text, "utf-8")
    assert "error record-differs" in codes(recheck(rooms))
    with pytest.raises(TrackError, match="no record of rooms"):
        recheck(rooms, record=rooms / "confidential" / "build-record_rooms.json")


def test_a_list_that_leads_out_of_its_folder_is_refused(today: Layout, tmp_path: Path) -> None:
    """Names in a list are names below its folder."""
    hall = shutil.copytree(today.rooms / "hall", tmp_path / "hall")
    file = hall / "packing-list.json"
    data = json.loads(file.read_text("utf-8"))
    data["files"][0]["name"] = "../secret"
    file.write_text(json.dumps(data), "utf-8")

    assert "error packing-list-form" in codes(recheck(hall))


def test_blind_says_which_is_wrong_and_nothing_else(today: Layout, tmp_path: Path) -> None:
    """Codes, numbers of room and player; no name of a room, a file or a candidate, no title."""
    rooms = shutil.copytree(today.rooms, tmp_path / "rooms")
    swap(rooms / "hall", rooms / "annexe")
    swap(rooms / "room-4" / "player-1_version-B", rooms / "room-4" / "player-2_version-C")
    next((rooms / "room-4").rglob("answer-sheet*")).unlink()
    needs = tmp_path / "needs.csv"
    needs.write_text(list_text().replace("C104,C", "C104,B"), "utf-8")
    found = recheck(rooms, needs=needs)
    text = as_blind_text(found)

    for code in ("room-differs", "player-differs", "file-missing", "needs-differ"):
        assert code in text
    assert "room 3-of-3, player 1-of-3, version B" in text
    assert "needs list WRONG" in text
    documented = re.findall(
        r"`([a-z]+(?:-[a-z]+)*)`", (ROOT / "docs/the-check.md").read_text("utf-8")
    )
    own = WORDS | {part for code in documented for part in code.split("-")}
    own |= {word.lower() for unit in UNITS for word in unit.split()} | {"flac"}
    own |= {word.lower() for word in re.findall("[A-Z]{4,}", found.rooms[0].edition)}
    hashless = re.sub("#[0-9a-f]{12}", "", text)
    assert {word.lower() for word in re.findall("[A-Za-z]{4,}", hashless)} - own == set()
    data = as_blind_data(found)
    jsonschema.validate(data, blind_schema())
    seen = text + json.dumps(data) + re.sub("<style>.*?</style>", "", as_page(found, is_blind=True))
    assert not re.search("(?i)annexe|lantern|rivers|C10[0-9]|answer-sheet|tide", seen)


def test_no_report_holds_a_candidates_code(today: Layout, tmp_path: Path) -> None:
    """Not even where the list of needs and the seats do not agree."""
    needs = tmp_path / "needs.csv"
    needs.write_text(list_text().replace("C103,B", "K103,C"), "utf-8")
    found = recheck(today.rooms, needs=needs)

    assert "error needs-differ" in codes(found)
    seen = as_folder_text(found) + as_page(found) + json.dumps(as_folder_data(found))
    assert not re.search("[CK]10[0-9]|R7", seen)


def test_the_json_keeps_to_its_schema(today: Layout, tmp_path: Path) -> None:
    """Good and bad rooms, and a paper."""
    registry: Registry[Any] = Registry().with_resource(
        str(schema()["$id"]), Resource.from_contents(schema())
    )
    validator = jsonschema.Draft202012Validator(folder_schema(), registry=registry)
    rooms = shutil.copytree(today.rooms, tmp_path / "rooms")
    next((rooms / "hall").rglob("running-sheet*")).unlink()
    sheet = next((rooms / "hall").rglob("answer-sheet*"))
    for found, verdict in (
        (recheck(rooms), "not good"),
        (recheck(today.rooms / "hall", needs=today.needs), "good"),
        (recheck(sheet, script=today.script), "good"),
    ):
        data = as_folder_data(found)
        validator.validate(data)
        assert data["verdict"] == verdict


def test_a_list_of_needs_belongs_to_rooms(today: Layout) -> None:
    """Another folder cannot be compared with it, and says which ones can."""
    with pytest.raises(TrackError, match="is no folder that the command needs laid out") as refused:
        recheck(today.folder / "out" / "tide", needs=today.needs)
    assert "rooms" in refused.value.hint


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such rights")
def test_everything_is_private(today: Layout) -> None:
    """Rights of files and folders by `find -perm` of GNU findutils: none for anybody else."""
    done = subprocess.run(
        ["find", str(today.rooms), "-perm", "/077"], capture_output=True, text=True, check=True
    )
    assert done.stdout == ""


def test_hashes_of_room_names_tell_a_folder_that_is_called_after_another_room(
    today: Layout,
) -> None:
    """They are SHA-256 of the folders' names, so that a list names no other room."""
    data = json.loads((today.rooms / "hall" / "packing-list.json").read_text("utf-8"))

    assert data["rooms"] == sorted(hashlib.sha256(name.encode()).hexdigest() for name in PLAYERS)
