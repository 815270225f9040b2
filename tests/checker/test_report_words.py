"""Small words of reports: one is one, levels are apart by dB, no hint names what is not there."""

from __future__ import annotations

import zipfile
from typing import TYPE_CHECKING

import numpy as np
import pytest
import soundfile
from pausewright.checker.report.blind import as_blind_text
from pausewright.checker.report.folder_report import as_folder_text
from pausewright.checker.report.report import as_text
from pausewright.checker.result.delivered import Delivered, Room
from pausewright.checker.result.findings import CheckResult
from pausewright.checker.rooms.needed import Seat, differences, needed_rooms
from pausewright.checker.rooms.packed import Player, RoomList
from pausewright.deliver.recheck import recheck
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.result.delivered import Delivered as Whole

RATE_HZ = 44_100


def told(path: Path, samples: np.ndarray) -> Whole:
    """Return what a track without a script comes to."""
    soundfile.write(path, samples.astype(np.float32), RATE_HZ, subtype="FLOAT")
    return recheck(path)


def test_levels_are_apart_by_decibels(tmp_path: Path) -> None:
    """A peak is in dBTP, how far it is over the ceiling in dB; blind too."""
    loud = np.random.default_rng(3).normal(0, 1.2, 6 * RATE_HZ)
    loud[2 * RATE_HZ : 3 * RATE_HZ] = 0
    found = told(tmp_path / "loud.wav", loud)
    text = as_text(found.checks[0])

    assert "expected -1.0 dBTP" in text
    assert "allowed 0.1 dB\n" in text
    assert "difference" in text
    assert not any(
        "dBTP" in row.split("difference")[1] for row in text.splitlines() if "diff" in row
    )
    assert "allowed 0.10dB\n" in as_blind_text(found)


def test_a_click_without_speech_is_two_causes_and_no_script_is_named(tmp_path: Path) -> None:
    """A peak over the ceiling does not follow from missing speech; there is no script to build."""
    click = np.zeros(2 * RATE_HZ)
    click[RATE_HZ : RATE_HZ + 40] = 1.0
    text = as_text(told(tmp_path / "click.wav", click).checks[0])

    assert "no speech is heard on the track\n" in text
    assert "follow" not in text
    assert "2 causes" in text
    assert "this script" not in text


def test_one_candidate_hears_one_player() -> None:
    """Numbers of one have their own words."""
    two = needed_rooms([Seat(code, "A", "Hall", headphones=False, reader="") for code in "KL"])
    one = needed_rooms([Seat("K", "A", "Hall", headphones=False, reader="")])

    def laid_out(*places: int) -> RoomList:
        players = [
            Player(n, f"player-{n}_version-A", "A", loudspeaker=n == 1, places=held)
            for n, held in enumerate(places, 1)
        ]
        return RoomList(2, "Hall", "hall", 0, "E", (), ("A",), tuple(players), (), ())

    assert [*differences(laid_out(2), one["Hall"])] == [
        "1 candidate hears player 1, and 2 places were laid out"
    ]
    assert [*differences(laid_out(1), two["Hall"])] == [
        "2 candidates hear player 1, and 1 place was laid out"
    ]
    assert [*differences(laid_out(1, 1), one["Hall"])] == ["there is 1 player, and 2 were laid out"]


def test_the_head_of_a_folders_report_has_the_title() -> None:
    """Each title once, below the verdict."""
    check = CheckResult(
        "a.mp3", "0" * 64, "MP3", RATE_HZ, 1, 9, None, None, None, None, "E", (), (), (), (),
        title="Lantern walk",
    )  # fmt: skip
    room = Room("hall", "A", "E", (check, check), ())
    lines = as_folder_text(Delivered((room,), is_folder=True)).splitlines()

    assert lines[1] == "  Lantern walk"


def test_an_error_about_a_pack_names_no_temporary_place(tmp_path: Path) -> None:
    """What was unpacked is gone when the error is read."""
    with zipfile.ZipFile(tmp_path / "bad.zip", "w") as held:
        held.writestr("things/notes.txt", b"x")
    with pytest.raises(TrackError) as refused:
        recheck(tmp_path / "bad.zip", room="Hall")

    assert "‘bad.zip/things’" in refused.value.message
    assert "tmp" not in refused.value.message.replace(str(tmp_path), "")
