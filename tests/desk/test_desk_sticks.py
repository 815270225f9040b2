"""Sticks: written whole or not at all, read back against what was laid out, never overwritten."""

from __future__ import annotations

import errno
import os
import shutil
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver import sticks
from pausewright.deliver.sticks import laid_out_folders, read_stick, write_stick
from pausewright.problems import OutputError
from support.rooms.layouts import Layout, laid_out

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


@pytest.fixture(scope="module")
def layout(tmp_path_factory: pytest.TempPathFactory) -> Layout:
    """Return rooms that were laid out; nothing changes them."""
    return laid_out(tmp_path_factory.mktemp("rooms") / "tests")


@pytest.fixture
def player(layout: Layout) -> Path:
    """Return the folder of a player."""
    return next(one for one in laid_out_folders(layout.rooms) if "player-" in one.name)


def content(folder: Path) -> dict[str, bytes]:
    """Return every file below a folder, hidden ones too."""
    return {
        one.relative_to(folder).as_posix(): one.read_bytes()
        for one in folder.rglob("*")
        if one.is_file()
    }


def test_what_is_written_is_right(layout: Layout, player: Path, tmp_path: Path) -> None:
    """The same bytes, nothing beside them; read back by itself it is right too."""
    found = write_stick(player, tmp_path)
    (again,) = read_stick(layout.rooms, tmp_path)

    assert found.is_right
    assert again == found
    assert found.edition == layout.edition
    assert "player 1" in found.what
    assert content(tmp_path / player.name) == content(player)
    assert sorted(one.name for one in tmp_path.iterdir()) == [player.name]


def test_a_whole_room_and_the_stick_itself(layout: Layout, tmp_path: Path) -> None:
    """A room with its papers; and a stick whose first level is the player's own folder."""
    room = next(iter(laid_out_folders(layout.rooms)))
    assert write_stick(room, tmp_path).is_right
    assert read_stick(layout.rooms, tmp_path / room.name)[0].name == "."
    names = " ".join(content(tmp_path))
    assert "room-list" not in names  # who sits where is on no stick
    assert "C101" not in b" ".join(content(tmp_path).values()).decode("latin-1")


def _kept_beside(file: Path) -> None:
    """Keep a copy under another name, and change the file."""
    shutil.copy(file, file.with_name("a.bak"))
    _flip(file)


def _flip(file: Path) -> None:
    data = bytearray(file.read_bytes())
    data[len(data) // 2] ^= 1
    file.write_bytes(data)


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (lambda folder: _flip(next(folder.glob("*.wav"))), "not the one that is laid out"),
        (lambda folder: next(folder.glob("*.wav")).unlink(), "is missing"),
        (lambda folder: (folder / "other.mp3").write_bytes(b"x"), "does not belong there"),
        (lambda folder: (folder / "SHA256SUMS").write_text("", "utf-8"), "SHA256SUMS is not"),
        (lambda folder: _kept_beside(next(folder.glob("*.wav"))), "does not belong there"),
    ],
)
def test_every_damage_is_named(
    layout: Layout, player: Path, tmp_path: Path, spoil: Callable[[Path], object], told: str
) -> None:
    """One bit, a file too few, one too many, another list: none of it is right."""
    write_stick(player, tmp_path)
    spoil(tmp_path / player.name)
    (found,) = read_stick(layout.rooms, tmp_path)

    assert not found.is_right
    assert any(told in one for one in found.wrong), found.wrong


def test_files_of_the_system_are_no_damage(layout: Layout, player: Path, tmp_path: Path) -> None:
    """What every system puts on a stick."""
    write_stick(player, tmp_path)
    (tmp_path / player.name / ".DS_Store").write_bytes(b"x")
    (tmp_path / "System Volume Information").mkdir()

    assert read_stick(layout.rooms, tmp_path)[0].is_right


def test_nothing_is_overwritten_silently(player: Path, tmp_path: Path) -> None:
    """An older copy stays until it may be replaced; what is not ours stays in any case."""
    write_stick(player, tmp_path)
    copy = tmp_path / player.name
    _flip(next(copy.glob("*.wav")))
    before = content(tmp_path)
    with pytest.raises(OutputError, match="from another time"):
        write_stick(player, tmp_path)
    assert content(tmp_path) == before
    assert write_stick(player, tmp_path, replace=True).is_right
    assert content(copy) == content(player)

    shutil.rmtree(copy)
    copy.mkdir()
    (copy / "holiday.txt").write_text("mine", "utf-8")
    before = content(tmp_path)
    for replace in (False, True):
        with pytest.raises(OutputError, match="left as it is"):
            write_stick(player, tmp_path, replace=replace)
    assert content(tmp_path) == before


@pytest.mark.parametrize(
    ("number", "told"),
    [
        (errno.ENOSPC, "the stick is full"),
        (errno.EIO, "was it pulled out"),
        (errno.ENOENT, "was it pulled out"),
        (errno.EROFS, "write-protected"),
    ],
)
@pytest.mark.parametrize("at", ["pack", "brought_to_disk", "move"])
def test_a_stick_that_fails_is_told_plainly(
    player: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, told: str, at: str
) -> None:
    """Full, pulled out, write-protected, at any step: what was there stays, no half is left."""
    write_stick(player, tmp_path)
    _flip(next((tmp_path / player.name).glob("*.wav")))
    before = content(tmp_path)

    def fail(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(sticks, at, fail)
    with pytest.raises(OutputError, match=told):
        write_stick(player, tmp_path, replace=True)
    assert content(tmp_path) == before


def test_a_stick_without_room_is_refused_before(
    player: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By what the system says is free."""
    usage = shutil.disk_usage(tmp_path)._replace(free=10)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage)
    with pytest.raises(OutputError, match="too little room"):
        write_stick(player, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_stick_of_another_day_is_told(layout: Layout, player: Path, tmp_path: Path) -> None:
    """Rooms that were laid out again from other words: the old stick is not right."""
    write_stick(player, tmp_path / "." if tmp_path.exists() else tmp_path)
    other = laid_out(tmp_path.parent / f"{tmp_path.name}-other", text=_other_words())
    (found,) = read_stick(other.rooms, tmp_path)
    assert not found.is_right

    with pytest.raises(OutputError, match="holds nothing"):
        read_stick(layout.rooms, layout.folder / "out")
    with pytest.raises(OutputError, match="is not there"):
        read_stick(layout.rooms, tmp_path / "gone")
    with pytest.raises(OutputError, match="is not there"):
        write_stick(player, tmp_path / "gone")


def _other_words() -> str:
    from support.rooms.layouts import OTHER_WORDS  # noqa: PLC0415  beside its use

    return OTHER_WORDS


def test_what_was_changed_here_is_not_written(layout: Layout, tmp_path: Path) -> None:
    """A laid-out folder in which a file is another is refused before the stick is touched."""
    copy = tmp_path / "rooms"
    shutil.copytree(layout.rooms, copy)
    own = next(one for one in laid_out_folders(copy) if "player-" in one.name)
    _flip(next(own.glob("*.wav")))
    stick = tmp_path / "stick"
    stick.mkdir()
    with pytest.raises(OutputError, match="not as it was laid out"):
        write_stick(own, stick)
    assert list(stick.iterdir()) == []
