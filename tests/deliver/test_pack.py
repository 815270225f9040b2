"""A pack of a room: its zip against readers that are not ours, its hashes by sha256sum."""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import zipfile
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.build import build_versions
from pausewright.deliver.needed_rooms import make_rooms
from pausewright.deliver.pack import pack
from pausewright.deliver.project import open_project
from pausewright.deliver.recheck import recheck
from pausewright.problems import OutputError, PausewrightError, TrackError
from support.scripts.short_scripts import SMALL
from support.scripts.versions import options, written
from support.voices.fake_voice import UNLIKE_SPEECH

if TYPE_CHECKING:
    from pathlib import Path

    from support.command_line import Run

NEEDS = "candidate,arrangement,room,headphones\n1001,standard,Hall,no\n1002,large,Annex,yes\n"
PHRASE = "nine pears in a crate"


@pytest.fixture(scope="module")
def rooms(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return rooms as they were laid out."""
    folder = tmp_path_factory.mktemp("rooms")
    script = written(folder, SMALL, "large: {label: B, basis: f, print: {size: 18 pt}}")
    how = options(folder)
    build_versions(script, how)
    needs = folder / "NEEDS.csv"
    needs.write_text(NEEDS, "utf-8")
    make_rooms(open_project(script, how.profiles), needs, how.out, folder / "rooms")
    return folder / "rooms"


def room_of(rooms: Path) -> Path:
    """Return the folder of the hall."""
    (found,) = (one for one in rooms.iterdir() if one.name.lower() == "hall")
    return found


def test_a_zip_is_whole_for_other_readers(rooms: Path, tmp_path: Path) -> None:
    """Python's zipfile and unzip read it; sha256sum finds every file as listed; twice the same."""
    room, target = room_of(rooms), tmp_path / "hall.zip"
    made = pack(room, target)
    assert made.sha256 == hashlib.sha256(target.read_bytes()).hexdigest()
    with zipfile.ZipFile(target) as held:
        assert held.testzip() is None
        held.extractall(tmp_path / "by-python")
    copies = [tmp_path / "by-python" / room.name]
    unzip = shutil.which("unzip")
    if unzip is not None:
        subprocess.run([unzip, "-q", str(target), "-d", str(tmp_path / "by-unzip")], check=True)
        copies.append(tmp_path / "by-unzip" / room.name)
    sums = shutil.which("sha256sum")
    for copy in copies:
        there = {file.relative_to(copy) for file in copy.rglob("*") if file.is_file()}
        assert there == {file.relative_to(room) for file in room.rglob("*") if file.is_file()}
        if sums is not None:
            subprocess.run([sums, "--quiet", "-c", "SHA256SUMS"], cwd=copy, check=True)
    pack(room, tmp_path / "again.zip")
    assert (tmp_path / "again.zip").read_bytes() == target.read_bytes()
    assert not [name for name in zipfile.ZipFile(target).namelist() if "1001" in name]
    pack(room, tmp_path / "folder")
    assert (tmp_path / "folder" / "SHA256SUMS").read_bytes() == (room / "SHA256SUMS").read_bytes()


def test_the_check_reads_a_pack(rooms: Path, tmp_path: Path) -> None:
    """It finds in a pack what it finds in the folder; a changed pack is told."""
    room, target = room_of(rooms), tmp_path / "hall.zip"
    pack(room, target)
    expected = sorted(f"{one.severity} {one.code}" for one in recheck(room).all_findings)
    found = recheck(target)
    assert sorted(f"{one.severity} {one.code}" for one in found.all_findings) == expected
    assert set(expected) <= UNLIKE_SPEECH
    with zipfile.ZipFile(target) as held:
        contents = {name: held.read(name) for name in held.namelist()}
    name = next(one for one in contents if one.endswith("checklist.txt"))
    with zipfile.ZipFile(tmp_path / "other.zip", "w") as held:
        for one, content in contents.items():
            held.writestr(one, content + b"!" * (one == name))
    codes = {one.code for one in recheck(tmp_path / "other.zip").all_findings}
    assert "file-changed" in codes


@pytest.mark.parametrize("name", ["../hall/a", "/hall/a", "hall\\..\\a", "a", "hall/../../a"])
def test_names_that_lead_elsewhere_are_refused(tmp_path: Path, name: str) -> None:
    """Nothing is unpacked outside of the private place."""
    with zipfile.ZipFile(tmp_path / "bad.zip", "w") as held:
        held.writestr(name, b"x")
    with pytest.raises(TrackError):
        recheck(tmp_path / "bad.zip")
    (tmp_path / "none.zip").write_bytes(b"PK no zip")
    with pytest.raises(TrackError, match="cannot be unpacked"):
        recheck(tmp_path / "none.zip")


def test_only_what_was_laid_out_is_packed(rooms: Path, tmp_path: Path) -> None:
    """A file too many, a changed one, the office's folder, a short password: refused, none made."""
    copy = tmp_path / "hall"
    shutil.copytree(room_of(rooms), copy)
    (copy / "notes.txt").write_text("who sits where", "utf-8")
    target = tmp_path / "hall.zip"
    with pytest.raises(OutputError, match=r"notes\.txt"):
        pack(copy, target)
    (copy / "notes.txt").unlink()
    (copy / "checklist.txt").write_text("other", "utf-8")
    for room, password in ((copy, ""), (rooms / "confidential", ""), (room_of(rooms), "short")):
        with pytest.raises(OutputError):
            pack(room, target, password)
    assert not target.exists()
    target.write_bytes(b"mine")
    with pytest.raises(OutputError, match="left as it is"):
        pack(room_of(rooms), target)
    assert target.read_bytes() == b"mine"


def test_an_encrypted_pack_opens_with_its_password_only(
    rooms: Path, tmp_path: Path, run: Run
) -> None:
    """AES-256; the standard library sees names and no contents."""
    pytest.importorskip("pyzipper")
    target = tmp_path / "hall.zip"
    secret = tmp_path / "password.txt"
    secret.write_text(f"{PHRASE}\n", "utf-8")
    asked = ("pack", str(room_of(rooms)), "--as", str(target), "--password-file", str(secret))
    code, out, err = run(*asked)
    assert (code, "encrypted" in out) == (0, True), err
    plain = (room_of(rooms) / "checklist.txt").read_bytes()
    assert plain not in target.read_bytes()
    with zipfile.ZipFile(target) as held, pytest.raises((RuntimeError, NotImplementedError)):
        held.read(held.namelist()[0])
    assert recheck(target, password=PHRASE).all_findings is not None
    for wrong in ("", "another one altogether"):
        with pytest.raises(PausewrightError):
            recheck(target, password=wrong)
