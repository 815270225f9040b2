"""Stages beside a folder: none is left, nobody else's is touched, no user's file is moved."""

from __future__ import annotations

import os
import shutil
import stat
import sys
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from pausewright.files.leftovers import leftovers, remove_leftovers
from pausewright.files.owner import Owner, this_process
from pausewright.files.stage import OWNER, settle, staged, stages_in
from pausewright.files.swap import JOURNAL
from pausewright.problems import OutputError
from support.processes.swap_stops import (
    NEW,
    OLD,
    OWN,
    build,
    held,
    lay,
    own_inodes,
    record,
    whole,
    world,
)

if TYPE_CHECKING:
    from pathlib import Path

posix = pytest.mark.skipif(sys.platform == "win32", reason="rights work differently there")
ELSEWHERE = Owner("elsewhere", "another", 7, "1")


def stage_of(target: Path, owner: Owner | None) -> Path:
    """Lay a stage beside a folder as a command leaves it that was stopped while it built."""
    stage = target.with_name(f".{target.name}.0123abcd.stage")
    lay(stage, {"new/version-A/half.wav": "half"})
    if owner is not None:
        lay(stage, {OWNER: owner.as_text()})
    return stage


def half_way(target: Path, owner: Owner, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Leave a swap half-way, of an owner."""
    from pausewright.files import stage as stages  # noqa: PLC0415
    from pausewright.files import swap  # noqa: PLC0415

    n_moves = [0]

    def move(file: Path, place: Path) -> None:
        n_moves[0] += 1
        if n_moves[0] > 3:
            raise KeyboardInterrupt
        file.rename(place)

    with monkeypatch.context() as patched:
        patched.setattr(swap, "move", move)
        patched.setattr(swap, "take_back", lambda *_: None)
        patched.setattr(stages, "this_process", lambda: owner)
        with pytest.raises(KeyboardInterrupt):
            build(target)
    (stage,) = stages_in(target.parent)
    assert whole(target).startswith("mixed")
    return stage


def dead() -> Owner:
    """Return an owner that is gone."""
    return replace(this_process(), started="1")


def _raising(target: Path, fault: BaseException) -> None:
    with staged(target, ours=frozenset) as stage:
        lay(stage, NEW)
        raise fault


def seen(target: Path) -> dict[Path, tuple[int, int]]:
    """Return which file or folder each path is, and when it was changed last."""
    found = {path: path.lstat() for path in sorted(target.rglob("*"))}
    return {path: (one.st_ino, one.st_mtime_ns) for path, one in found.items()}


def test_a_first_build_appears_whole(tmp_path: Path) -> None:
    """Where nothing is yet, the folder appears in one step, and nothing else."""
    with staged(tmp_path / "out" / "tide", ours=frozenset) as stage:
        lay(stage, NEW)
        assert not (tmp_path / "out" / "tide").exists()

    assert held(tmp_path / "out" / "tide") == NEW
    assert [one.name for one in (tmp_path / "out").iterdir()] == ["tide"]


def test_a_build_that_raises_leaves_nothing(tmp_path: Path) -> None:
    """Whatever happens in the block: old results, own files, nothing beside them."""
    target = world(tmp_path)
    inodes = own_inodes(target)
    for fault in (KeyboardInterrupt(), ValueError("x")):
        with pytest.raises(type(fault)):
            _raising(target, fault)

    assert whole(target) == "old"
    assert own_inodes(target) == inodes
    assert [one.name for one in target.parent.iterdir()] == ["tide"]


@pytest.mark.parametrize(
    "path",
    ["version-D/tide_D_NEW2.srt", "version-D", "version-D/deep", "version-D/tide_D_NEW2.srt/mine"],
)
def test_what_stands_in_the_way_is_found_before_anything_moves(tmp_path: Path, path: str) -> None:
    """A file for a file, for a folder, for an inner folder; a folder for a file: all is left."""
    target = world(tmp_path)
    lay(target, {path: "in the way"})
    before = seen(target)

    with pytest.raises(OutputError, match="was not written by a build") as caught:
        build(target)
    assert str(target / "version-D") in caught.value.message
    assert seen(target) == before
    assert [one.name for one in target.parent.iterdir()] == ["tide"]


@posix
def test_links_are_not_followed(tmp_path: Path) -> None:
    """A link to a folder elsewhere stands in the way like a file; nothing is written through it."""
    target = world(tmp_path)
    (tmp_path / "elsewhere").mkdir()
    (target / "version-D").symlink_to(tmp_path / "elsewhere")

    with pytest.raises(OutputError, match=r"version-D’ was not written by a build"):
        build(target)
    assert list((tmp_path / "elsewhere").iterdir()) == []


@posix
def test_a_folder_behind_a_link_is_written_where_it_is(tmp_path: Path) -> None:
    """An output folder that is a link stays one, and its stage lies on the other file system."""
    real = world(tmp_path)
    (tmp_path / "shown").symlink_to(real)
    build(tmp_path / "shown")

    assert (tmp_path / "shown").is_symlink()
    assert whole(real) == "new"


@posix
def test_a_confidential_folder_that_was_open_is_closed(tmp_path: Path) -> None:
    """Folders of an earlier build that others could open get the rights of the new one."""
    target = world(tmp_path)
    (target / "confidential").chmod(0o755)
    (target / "version-A").chmod(0o775)
    build(target)

    assert stat.S_IMODE((target / "confidential").stat().st_mode) == 0o700
    assert stat.S_IMODE((target / "version-A").stat().st_mode) == 0o775


def test_a_dead_stage_goes_and_a_living_one_stays(tmp_path: Path) -> None:
    """Only what a dead process of this machine left is removed, by whatever looks at the folder."""
    target = world(tmp_path)
    for owner in (dead(), None):
        stage = stage_of(target, owner)
        if owner is None:  # it was stopped before it wrote its mark
            shutil.rmtree(stage / "new")
        settle(target / "version-A" / "tide_A_OLD1.wav", around=True)
        assert not stage.exists()
    for owner in (this_process(), ELSEWHERE):
        stage = stage_of(target, owner)
        settle(target)
        build(target)
        assert (stage / "new" / "version-A" / "half.wav").exists()
    other = stage_of(target.with_name("other"), dead())
    shutil.rmtree(stage)
    alike = stage_of(target, None)
    settle(target)
    assert other.exists()
    assert (alike / "new" / "version-A" / "half.wav").exists()  # without a mark it is not ours


def test_what_was_stopped_half_way_is_taken_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The next look at a room folder puts the old results back, whole."""
    target = world(tmp_path)
    inodes = own_inodes(target)
    half_way(target, dead(), monkeypatch)
    assert all((target / path).read_text("utf-8") == text for path, text in OWN.items())

    settle(target / "version-A", around=True)
    assert whole(target) == "old"
    assert own_inodes(target) == inodes
    assert [one.name for one in target.parent.iterdir()] == ["tide"]


def test_another_machines_half_way_is_told_and_taken_back_when_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither a check nor a build goes on there; `forget` puts the old results back first."""
    target = world(tmp_path)
    half_way(target, ELSEWHERE, monkeypatch)
    for act in (settle, build):
        with pytest.raises(OutputError, match="half-way between two builds of another machine"):
            act(target)
    (found,) = leftovers([target.parent])
    assert found.note == "another machine made it and may still be at work"

    remove_leftovers([found])
    assert whole(target) == "old"
    assert [one.name for one in target.parent.iterdir()] == ["tide"]


@posix
def test_a_half_way_folder_that_cannot_be_put_right_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the check may not write, it says so instead of judging a mixture."""
    from pausewright.files import stage as stages  # noqa: PLC0415

    def read_only(*_: object) -> None:
        raise OSError(30, "Read-only file system")

    target = world(tmp_path)
    half_way(target, dead(), monkeypatch)
    with monkeypatch.context() as patched:
        patched.setattr(stages, "claimed", read_only)
        with pytest.raises(OutputError, match=r"cannot be put right here \(Read-only"):
            settle(target)
    settle(target)
    assert whole(target) == "old"


def test_a_file_that_came_into_the_way_is_not_overwritten(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a user put where an old result belongs stays; nothing is lost, and it is said."""
    target = world(tmp_path)
    stage = half_way(target, dead(), monkeypatch)
    moved = min(file for file in (stage / "old").rglob("*") if file.is_file())
    place = target / moved.relative_to(stage / "old")
    place.unlink(missing_ok=True)
    lay(target, {place.relative_to(target).as_posix(): "just written by hand"})

    with pytest.raises(OutputError, match="stands where results are to be put back"):
        settle(target)
    assert place.read_text("utf-8") == "just written by hand"
    assert moved.read_text("utf-8") == record(OLD)
    place.unlink()
    settle(target)
    assert whole(target) == "old"


def test_a_damaged_journal_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is removed where it is not known what was moved."""
    target = world(tmp_path)
    stage = half_way(target, dead(), monkeypatch)
    (stage / JOURNAL).write_text("{", "utf-8")

    with pytest.raises(OutputError, match="is damaged"):
        settle(target)
    assert stage.is_dir()


def test_leftovers_are_listed_and_removed(tmp_path: Path) -> None:
    """Stages, what older versions left and half-written files; nothing that only looks alike."""
    target = world(tmp_path)
    out = target.parent
    stage_of(target, dead())
    stage_of(out / "other", this_process())
    lay(out, {".tide.0123abcd.building/mine.txt": "m", ".tide.0123abcd.old/x.wav": "12345",
              ".page.html.0123abcd.part": "p", ".page.html.0123abce.part": "p",
              ".hidden": "h", ".tide.old": "o", "tide.0123abcd.old": "t"})  # fmt: skip
    os.utime(out / ".page.html.0123abcd.part", (0, 0))
    found = leftovers([out, out])

    assert [one.path.name for one in found] == [
        ".tide.0123abcd.stage", ".page.html.0123abcd.part", ".tide.0123abcd.building",
        ".tide.0123abcd.old",
    ]  # fmt: skip
    assert found[3].n_bytes == 5
    assert "your last results" in found[3].note
    remove_leftovers(found)
    assert sorted(one.name for one in out.iterdir()) == [
        ".hidden", ".other.0123abcd.stage", ".page.html.0123abce.part", ".tide.old", "tide",
        "tide.0123abcd.old",
    ]  # fmt: skip
