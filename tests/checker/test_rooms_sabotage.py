"""Rooms spoiled on their way: 29 kinds of slips drawn at random, each refused under its own name.

What the check must find is stated in issue terms, not by its code: right room, player and version,
nothing missing, nothing more, nothing of another edition. That good ones stay good is held beside.
"""

from __future__ import annotations

import shutil
from random import Random
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.recheck import recheck
from support.rooms.layouts import (
    OTHER_SHEET,
    OTHER_WORDS,
    ROWS,
    codes,
    laid_out,
    remember_measuring,
)
from support.rooms.slips import PLAYERS, SLIPS, World
from support.voices.fake_voice import UNLIKE_SPEECH

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from support.rooms.layouts import Layout

N_OF_EACH = 8
SEEDS = [18, pytest.param(1907, marks=pytest.mark.long)]


@pytest.fixture(scope="module")
def layouts(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Mapping[str, Layout]]:
    """Return rooms of today, of two other editions, and from another list."""
    folder = tmp_path_factory.mktemp("office")
    rows = tuple(row.replace("C103,B", "C103,C") for row in ROWS)
    with pytest.MonkeyPatch.context() as patch:
        remember_measuring(patch)
        yield {
            "today": laid_out(folder / "today"),
            "sheet": laid_out(folder / "sheet", OTHER_SHEET),
            "words": laid_out(folder / "words", OTHER_WORDS),
            "lists": laid_out(folder / "lists", rows=rows),
        }


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", sorted(SLIPS))
def test_every_slip_is_refused(
    layouts: Mapping[str, Layout], tmp_path: Path, name: str, seed: int
) -> None:
    """Eight draws of each kind: not good, and an error with its code among the findings."""
    slip, wanted = SLIPS[name]
    missed = []
    for number in range(N_OF_EACH):
        chance = Random(f"{seed} {name} {number}")  # noqa: S311  cases, not secrets
        place = tmp_path / str(number)
        rooms = shutil.copytree(layouts["today"].rooms, place / "rooms")
        asked = slip(World(rooms, chance, layouts))
        found = recheck(asked.path, **asked.beside)
        errors = {one.code for one in found.all_findings if one.severity == "error"}
        if found.is_good or not errors & wanted:
            missed.append((number, asked.path.relative_to(place), sorted(errors)))
        shutil.rmtree(place)

    assert missed == []


def test_the_number_of_cases() -> None:
    """At least 200 spoiled ones are tried."""
    assert N_OF_EACH * len(SLIPS) >= 200


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("number", range(12))
def test_what_was_not_spoiled_is_good(
    layouts: Mapping[str, Layout], tmp_path: Path, number: int, seed: int
) -> None:
    """The whole, a room, a player; where it was laid out or on a stick; with the list or without.

    Files that systems put everywhere change nothing.
    """
    chance = Random(f"{seed} good {number}")  # noqa: S311  cases, not secrets
    today = layouts["today"]
    for _ in range(5):
        name = chance.choice(sorted(PLAYERS))
        inner = chance.choice(["", name, f"{name}/{chance.choice(PLAYERS[name])}"])
        place = today.rooms / inner
        if chance.random() < 0.7:
            stick = tmp_path / "stick"
            shutil.rmtree(stick, ignore_errors=True)
            place = shutil.copytree(place, stick / chance.choice(["", "KINGFISHER", place.name]))
            (place / ".hidden").write_text("x")
            (place / "System Volume Information").mkdir()
            (place / "System Volume Information" / "WPSettings.dat").write_text("x")
        beside: dict[str, Path | str] = {}
        if chance.random() < 0.5:
            beside["needs"] = today.needs
        if chance.random() < 0.3:
            beside["record"] = today.rooms_record
        if chance.random() < 0.3 and inner:
            beside["room"] = {"hall": "hall", "room-4": "ROOM  4", "annexe": "Annexe"}[name]
        found = recheck(place, **beside)  # type: ignore[arg-type]

        assert set(codes(found)) - UNLIKE_SPEECH == set(), (inner, beside)
        compared = {room.is_as_needed for room in found.rooms if room.player_at is None or inner}
        assert ("needs" in beside) == (True in compared)
