"""Sticks as people hand them over: one room below their own folder, and what strays there."""

from __future__ import annotations

import shutil
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
