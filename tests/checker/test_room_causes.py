"""What went wrong with a room's folder is headed by the one cause that explains it."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest
from pausewright.checker.files.tags import TrackTags
from pausewright.checker.result.shared_causes import shared_causes
from pausewright.checker.rooms import room_sounds
from pausewright.deliver.recheck import recheck
from support.rooms.layouts import OTHER_WORDS, laid_out, remember_measuring
from support.rooms.slips import swap

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from pausewright.checker.result.delivered import Delivered
    from support.rooms.layouts import Layout

B, C = "player-1_version-B", "player-2_version-C"


@pytest.fixture(scope="module")
def layouts(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Mapping[str, Layout]]:
    """Return rooms of today, and of yesterday, when other words were said."""
    folder = tmp_path_factory.mktemp("office")
    with pytest.MonkeyPatch.context() as patch:
        remember_measuring(patch)
        yield {
            "today": laid_out(folder / "today"),
            "words": laid_out(folder / "words", OTHER_WORDS),
        }


@pytest.fixture
def room(layouts: Mapping[str, Layout], tmp_path: Path) -> Path:
    """Return a copy of a room with three players, on a stick."""
    return shutil.copytree(layouts["today"].rooms / "room-4", tmp_path / "room-4")


def heads(found: Delivered) -> list[str]:
    """Return the sentences of all causes that hold an error, without what follows from them."""
    told = shared_causes(found)
    return [one.cause.head.sentence for one in told if one.cause.severity == "error"]


def states(found: Delivered, name: str) -> set[str]:
    """Return how the files of one folder of a room came out."""
    return {row.state for one in found.rooms if one.name.endswith(name) for row in one.files}


@pytest.mark.parametrize("with_script", [False, True])
@pytest.mark.parametrize("renamed", [False, True])
def test_swapped_tracks(
    layouts: Mapping[str, Layout], room: Path, *, renamed: bool, with_script: bool
) -> None:
    """Each player has the other's track, under the own name or under the other's."""
    one, other = (next((room / name).glob("*[!k].wav")) for name in (B, C))
    if renamed:
        swap(one, other)
    else:
        one.rename(room / C / one.name)
        other.rename(room / B / other.name)
    found = recheck(room, script=layouts["today"].script if with_script else None)

    assert sorted(heads(found)) == [
        "player 1, version B, has a track of version C",
        "player 2, version C, has a track of version B",
    ]
    assert len(found.checks) == 3


def test_swapped_folders_of_players(room: Path) -> None:
    """All files are as built, in the wrong folder; one that was spoiled besides is told too."""
    swap(room / B, room / C)
    found = recheck(room)
    assert len(heads(found)) == 2
    assert states(found, B) == states(found, C) == {"as listed"}

    (next((room / B).glob("*.vtt"))).write_text("x", "utf-8")
    found = recheck(room)
    assert len(heads(found)) == 3
    assert "changed" in states(found, B)


def test_a_player_of_yesterday(layouts: Mapping[str, Layout], room: Path) -> None:
    """One cause, with both editions; its files are compared with the list that came with them."""
    shutil.rmtree(room / B)
    shutil.copytree(layouts["words"].rooms / "room-4" / B, room / B)
    found = recheck(room)
    (told,) = heads(found)

    assert told == (
        f"the folder of player 1, version B, is of edition {layouts['words'].edition}, the room "
        f"of edition {layouts['today'].edition}"
    )
    assert states(found, B) == {"as listed"}


@pytest.mark.parametrize(
    ("folder", "called"),
    [("papers", "PAPERS"), ("papers/staff", "papers/personnel"), ("papers", "old/papers")],
)
def test_a_folder_under_another_name(room: Path, folder: str, called: str) -> None:
    """The folder is the cause, and every file in it follows."""
    (room / called).parent.mkdir(exist_ok=True)
    (room / folder).rename(room / called)

    assert heads(recheck(room)) == [f"the folder ‘{folder}’ is called ‘{called}’ here"]


def test_one_file_under_another_name_is_told_by_itself(room: Path) -> None:
    """Where the folder is there, nobody called it otherwise."""
    sheet = next(iter(sorted((room / "papers" / "candidates").iterdir())))
    sheet.rename(sheet.with_name("sheet.pdf"))
    (told,) = heads(recheck(room))
    assert told.endswith("is called ‘papers/candidates/sheet.pdf’ here")

    sheet.with_name("sheet.pdf").rename(room / sheet.name)
    (told,) = heads(recheck(room))
    assert told.endswith(f"is called ‘{sheet.name}’ here")


def test_a_players_folder_that_lies_deeper(room: Path) -> None:
    """It is told where it lies, and its track and files are judged as ever."""
    (room / "old").mkdir()
    (room / C).rename(room / "old" / C)
    found = recheck(room)

    assert heads(found) == [
        "the folder of player 2, version C, lies in ‘old’ and not in the folder of the room"
    ]
    assert states(found, C) == {"as listed"}
    assert len(found.checks) == 3


def test_the_folder_of_the_office_in_a_room(layouts: Mapping[str, Layout], room: Path) -> None:
    """Its files follow from that it is there."""
    shutil.copytree(layouts["today"].rooms / "confidential", room / "confidential")

    assert heads(recheck(room)) == [
        "‘confidential’, with candidates' codes, lies in the folder for the room"
    ]


@pytest.mark.parametrize("inner", ["", B])
@pytest.mark.parametrize("has_tags", [False, True])
def test_a_track_of_yesterday_under_its_name_of_today(
    layouts: Mapping[str, Layout],
    room: Path,
    inner: str,
    monkeypatch: pytest.MonkeyPatch,
    *,
    has_tags: bool,
) -> None:
    """Its tags say of which edition it is, else its length: the rest follows from that."""
    edition = layouts["words"].edition
    track = next((room / B).glob("*[!k].wav"))
    old = next((layouts["words"].rooms / "room-4" / B).glob("*[!k].wav"))
    shutil.copy(old, track)
    if has_tags:
        tags = TrackTags(edition=edition)
        monkeypatch.setattr(
            room_sounds, "read_tags", lambda path: tags if path == track else TrackTags()
        )
    (told,) = heads(recheck(room / inner))

    assert (f"says that it is edition {edition}" if has_tags else "is not as long as") in told
