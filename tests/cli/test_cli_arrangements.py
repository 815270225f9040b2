"""The command line with arrangements: outline, compare, needs, and checks of versions."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.build import build_versions
from support.scripts.short_scripts import SMALL
from support.scripts.versions import options, written

if TYPE_CHECKING:
    from pathlib import Path

    from support.command_line import Run

VERSIONS = """
quarter: {label: B, basis: "Access file 7", extra-time: 25 %, stretch: [answer-time],
  share-of: listed-silences, where: each-gap}
slower: {label: C, basis: "Access file 8", pace: 80 %}
"""


@pytest.fixture
def script(tmp_path: Path) -> Path:
    """Return a script with three versions, not built."""
    return written(tmp_path, SMALL, VERSIONS)


@pytest.fixture
def tracks(script: Path) -> dict[str, str]:
    """Return the built FLAC tracks by label."""
    built = build_versions(script, options(script.parent, formats=("flac",)))
    return {one.label: str(next(f for f in one.files if f.suffix == ".flac")) for one in built}


def test_outline_of_a_version(run: Run, script: Path) -> None:
    """The outline of a version has its silences, its words and the line of its sum."""
    code, out, _ = run("outline", script.name, "--arrangement", "quarter")

    assert code == 0
    assert "version B" in out
    assert "extra time: 2.125 s (2 gaps) = 25 % of 8.5 s, in 2 places, none inside speech" in out
    assert "You have seven and a half seconds." in out
    code, out, _ = run("outline", script.name, "--arrangement", "B", "--json")
    assert json.loads(out)["silences"]["answer-time"]["total_s"] == "10.625"


def test_compare_as_text_data_and_page(run: Run, script: Path, tmp_path: Path) -> None:
    """All versions side by side, in three forms; a page of another's is not overwritten."""
    code, out, err = run("compare", script.name, "--html", "compare.html")
    assert code == 0
    assert "2.125 s (2 gaps) = 25 % of 8.5 s" in out
    assert "can hurt" in err
    assert (tmp_path / "compare.html").read_text("utf-8").startswith("<!DOCTYPE html>")

    code, out, _ = run("compare", script.name, "--json", "--quiet")
    assert [v["label"] for v in json.loads(out)["versions"]] == ["A", "B", "C"]
    (tmp_path / "other.html").write_text("mine", "utf-8")
    code, _, err = run("compare", script.name, "--html", "other.html")
    assert code == 2
    assert "left as it is" in err


def test_check_takes_the_version_from_the_label(
    run: Run, script: Path, tracks: dict[str, str]
) -> None:
    """A version's own label in the file says what it is checked against."""
    code, out, _ = run("check", tracks["B"], "--script", script.name, "--quiet")
    assert code == 0
    assert "entitled 2.125 s" in out
    code, out, _ = run(
        "check", tracks["B"], "--script", script.name, "--arrangement", "standard", "--quiet"
    )
    assert code == 1
    assert "too long" in out


def test_check_against_the_standard_track(run: Run, script: Path, tracks: dict[str, str]) -> None:
    """With --standard the report says what is the same and at which pace."""
    code, out, _ = run(
        "check", tracks["C"], "--script", script.name, "--standard", tracks["A"], "--quiet"
    )

    assert code == 0
    assert "80 % declared" in out


def test_an_undeclared_label_is_said_plainly(
    run: Run, script: Path, tracks: dict[str, str]
) -> None:
    """A track of a version that is no longer declared: one sentence, exit code 2."""
    written(script.parent, SMALL, "")
    code, _, err = run("check", tracks["C"], "--script", script.name)

    assert code == 2
    assert "the arrangement ‘C’ is not declared" in err


def test_needs_lays_out_rooms(
    run: Run, script: Path, tracks: dict[str, str], tmp_path: Path
) -> None:
    """Rooms are laid out; codes stand neither in what is printed nor in messages."""
    assert set(tracks) == {"A", "B", "C"}
    (tmp_path / "needs.csv").write_text(
        "candidate,arrangement,room\nPLOVER7,standard,Hall\nHERON8,quarter,Room 4\n", "utf-8"
    )
    code, out, err = run("needs", "needs.csv", script.name, "--start", "09:30")
    assert code == 0
    assert "versions needed: A, B" in out
    assert "ends at 09:3" in out
    player = tmp_path / "rooms" / "room-4" / "player-1_version-B"
    assert player.is_dir()
    asked = ("--needs", "needs.csv", "--script", script.name, "--quiet")
    code, out, _ = run("check", "rooms", *asked)
    assert code == 0
    assert out.startswith("GOOD: 2 rooms, 2 players, ")
    code, out, _ = run("check", "rooms/hall", "--room", "Room 4", "--quiet")
    assert (code, "was laid out for the room ‘Hall’, not for ‘Room 4’" in out) == (1, True)
    code, _, err = run("check", "rooms/room-4", "--record", "no.json")
    assert (code, "no.json" in err) == (2, True)
    next(player.glob("*_room-screen.html")).unlink()
    code, out, err = run("check", "rooms", *asked, "--blind")
    assert (code, "file-missing" in out) == (1, True)
    assert "PLOVER7" not in out + err

    (tmp_path / "needs.csv").write_text(
        "candidate,arrangement,room\nPLOVER7,standart,Hall\nHERON8,quarter,\n", "utf-8"
    )
    code, out, err = run("needs", "needs.csv", script.name)
    assert code == 2
    assert "needs.csv:2:1: error: the arrangement ‘standart’ is not declared" in err
    assert "needs.csv:3:1: error: this row has no room" in err
    assert "PLOVER7" not in out + err
    assert "HERON8" not in out + err


def test_problems_of_a_declaration_have_their_place(run: Run, script: Path) -> None:
    """What does not add up is told with file, line and caret, and nothing is built."""
    written(
        script.parent, SMALL, "x: {label: B, basis: f, extra-time: 9 s, where: {test-end: 8 s}}"
    )
    code, _, err = run("build", script.name)

    assert code == 2
    assert "tide.arrangements.yaml:2:" in err
    assert "the split adds up to 8 s (8 s), but 9 s are entitled" in err
    assert "^" in err
    assert not (script.parent / "out").exists()
