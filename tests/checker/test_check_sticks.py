"""Sticks as people hand them over: one room below their own folder, and what strays there."""

from __future__ import annotations

import shutil
import sys
from typing import TYPE_CHECKING

import pytest
from pausewright.checker.report.folder_report import as_folder_text
from pausewright.deliver.recheck import recheck
from support.rooms.layouts import codes, laid_out, remember_measuring
from support.voices.fake_voice import UNLIKE_SPEECH

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pausewright.checker.result.delivered import Delivered
    from support.rooms.layouts import Layout


@pytest.fixture(scope="module")
def today(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Layout]:
    """Return the rooms of a test."""
    with pytest.MonkeyPatch.context() as patch:
        remember_measuring(patch)
        yield laid_out(tmp_path_factory.mktemp("office") / "today")


SEATED = "Room: Hall · CONFIDENTIAL\nplayer 1 (version A): C101\n"


def own_codes(found: Delivered) -> list[str]:
    """Return severities and codes without what the voice without a model is known for."""
    return [one for one in codes(found) if one not in UNLIKE_SPEECH]


def errors(found: Delivered) -> set[str]:
    """Return the codes of all errors."""
    return {one.code for one in found.all_findings if one.severity == "error"}


# ---- one room on a stick ---------------------------------------------------------------------


@pytest.mark.parametrize("room", ["", "Hall"])
def test_one_room_below_the_stick_is_judged_as_this_room(
    today: Layout, tmp_path: Path, room: str
) -> None:
    """No other room is missed; the report says that they were not looked at."""
    stick = tmp_path / "stick"
    shutil.copytree(today.rooms / "hall", stick / "hall")
    for beside in ({}, {"needs": today.needs}, {"record": today.rooms_record}):
        found = recheck(stick, room=room, **beside)  # type: ignore[arg-type]
        assert own_codes(found) == []
        assert "Laid out together with 2 other rooms, not looked at here." in as_folder_text(found)
    assert "not looked at" not in as_folder_text(recheck(today.rooms, needs=today.needs))


def test_one_room_below_the_stick_is_judged_strictly(today: Layout, tmp_path: Path) -> None:
    """Another room than asked for, and what lies beside it, are told as ever."""
    stick = tmp_path / "stick"
    shutil.copytree(today.rooms / "hall", stick / "hall")
    assert errors(recheck(stick, room="Annexe")) == {"room-differs"}
    (stick / "song.mp3").write_bytes(b"x")
    assert errors(recheck(stick)) == {"file-unknown"}


def test_candidates_codes_beside_a_room_on_a_stick_are_told(today: Layout, tmp_path: Path) -> None:
    """That the folder of the office lies on the stick stands before the rooms that are missing."""
    stick = tmp_path / "stick"
    shutil.copytree(today.rooms / "hall", stick / "hall")
    shutil.copytree(today.rooms / "confidential", stick / "confidential")
    found = recheck(stick, needs=today.needs)

    assert found.findings[0].code == "list-on-stick"
    assert "‘confidential’" in found.findings[0].sentence


def test_the_report_says_that_the_list_was_compared(today: Layout) -> None:
    """With the list a good report says so, as without it that it was not."""
    text = as_folder_text(recheck(today.rooms / "hall", needs=today.needs))

    assert "Compared with the list of needs." in text


# ---- links and hidden files ------------------------------------------------------------------


def track_of(room: Path) -> Path:
    """Return the track of a room's first player."""
    return next(one for one in sorted(room.rglob("*.wav")) if "sound-check" not in one.name)


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_links_are_told_as_links(today: Layout, tmp_path: Path) -> None:
    """A folder, a track, also one that leads to the very bytes, a whole room; each by its name."""
    rooms = shutil.copytree(today.rooms, tmp_path / "rooms")
    (rooms / "hall" / "player-9").symlink_to(rooms / "room-4" / "player-1_version-B")
    track = track_of(rooms / "hall")
    track.rename(tmp_path / "elsewhere.wav")
    track.symlink_to(tmp_path / "elsewhere.wav")
    (rooms / "annexe").rename(tmp_path / "annexe")
    (rooms / "annexe").symlink_to(tmp_path / "annexe")
    for place, names in (
        (rooms, {"annexe", "player-9", track.relative_to(rooms / "hall").as_posix()}),
        (rooms / "hall", {"player-9", track.relative_to(rooms / "hall").as_posix()}),
        (track.parent, {track.name}),
    ):
        found = recheck(place)
        told = [one for one in found.all_findings if one.code == "file-is-link"]
        assert {one.sentence.split("’")[0][1:] for one in told} == names
        assert errors(found) == {"file-is-link"}


@pytest.mark.parametrize(
    ("name", "raw", "wanted"),
    [
        (".extra.mp3", b"x", "file-hidden"),
        (".extra", b"ID3\x04x", "file-hidden"),
        (".Trash-1000/files/a.wav", b"x", "file-hidden"),
        ("._a.mp3", b"\xff\xfbx", "file-hidden"),
        (".captions.vtt", b"WEBVTT", "file-hidden"),
        (".~needs.csv", b"candidate,arrangement,room\nC101,A,Hall\n", "list-on-stick"),
        (".Trash-1000/files/needs.csv", b"\xef\xbb\xbfCode;Version;Room\n", "list-on-stick"),
        ("plan.csv", b"candidate,arrangement,room\nC101,A,Hall\n", "list-on-stick"),
        (
            ".list",
            "Room: Hall · CONFIDENTIAL\nplayer 1 (version A): C101\n".encode(),
            "list-on-stick",
        ),
    ],
)
def test_what_is_hidden_is_told_where_it_matters(
    today: Layout, tmp_path: Path, name: str, raw: bytes, wanted: str
) -> None:
    """What plays, or holds candidates' codes, in a room, a player, and beside a room on a stick."""
    for inner, place in (("hall", "hall"), ("hall/player-1_version-A",) * 2, ("hall", "")):
        stick = tmp_path / "stick"
        shutil.copytree(today.rooms / inner, stick / inner)
        file = stick / place / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(raw)
        found = errors(recheck(stick / place))
        assert found == {wanted}
        shutil.rmtree(stick)


def test_usual_clutter_is_passed_over(today: Layout, tmp_path: Path) -> None:
    """What systems put on every stick, beside tracks and at the top."""
    stick = tmp_path / "stick"
    shutil.copytree(today.rooms / "hall", stick / "hall")
    for place in (stick, stick / "hall", stick / "hall" / "player-1_version-A"):
        for name in (".DS_Store", "Thumbs.db", "desktop.ini", "._track.mp3", "._x.wav", ".hidden"):
            (place / name).write_bytes(b"\x00\x05\x16\x07")
        for name in ("System Volume Information", ".Spotlight-V100", "$RECYCLE.BIN"):
            (place / name).mkdir()
            (place / name / "IndexerVolumeGuid").write_bytes(b"x")

    assert own_codes(recheck(stick)) == []
    assert own_codes(recheck(stick / "hall")) == []


def test_nothing_more_lies_in_the_office(today: Layout, tmp_path: Path) -> None:
    """A file that was not laid out in the folder of the office is told by its name."""
    rooms = shutil.copytree(today.rooms, tmp_path / "rooms")
    (rooms / "confidential" / "notes.txt").write_text("x", "utf-8")
    told = [one for one in recheck(rooms).all_findings if one.severity == "error"]

    assert [(one.code, one.sentence) for one in told] == [
        ("file-unknown", "‘confidential/notes.txt’ was not laid out")
    ]
