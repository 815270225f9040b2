"""Single files: whole or not at all, never over somebody else's, private whatever the mask says."""

from __future__ import annotations

import errno
import hashlib
import os
import stat
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pausewright.files import writing
from pausewright.files.writing import (
    make_folder,
    part_of,
    unwritable,
    write_file,
    write_new_file,
)
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import sha256_of

if TYPE_CHECKING:
    from collections.abc import Iterator

posix = pytest.mark.skipif(sys.platform == "win32", reason="rights work differently there")


@pytest.fixture
def no_mask() -> Iterator[None]:
    """Have the mask take nothing, then all, away."""
    before = os.umask(0)
    yield
    os.umask(before)


def test_text_is_written_with_plain_line_ends_over_an_older_file(tmp_path: Path) -> None:
    """Bytes and text; nothing is left beside the file."""
    file = tmp_path / "page.html"
    for content, held in (("é\n", b"\xc3\xa9\n"), (b"\r\n", b"\r\n"), (memoryview(b"x"), b"x")):
        write_file(file, content)
        assert file.read_bytes() == held
    assert list(tmp_path.iterdir()) == [file]


@pytest.mark.parametrize("links", [True, False], ids=["links", "no links"])
def test_a_new_file_never_takes_the_place_of_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, links: bool
) -> None:
    """Neither of one that is there, nor of one that appears while it is written, nor of a link."""

    def no_links(*_: object) -> None:
        raise OSError(errno.ENOTSUP, "no links")

    if not links:
        monkeypatch.setattr(os, "link", no_links)
    file = tmp_path / "new.vtt"
    write_new_file(file, "1")
    with pytest.raises(FileExistsError):
        write_new_file(file, "2")
    assert file.read_text("utf-8") == "1"
    late = tmp_path / "late.vtt"
    create = writing._create

    def and_another(part: Path, content: str, mode: int | None, rights: int) -> None:
        create(part, content, mode, rights)
        late.write_text("theirs", "utf-8")

    monkeypatch.setattr(writing, "_create", and_another)
    with pytest.raises(FileExistsError):
        write_new_file(late, "ours")
    assert late.read_text("utf-8") == "theirs"
    assert sorted(tmp_path.iterdir()) == [late, file]


def test_what_fails_leaves_the_older_file(tmp_path: Path) -> None:
    """If the block raises, the older file stays and the part goes."""
    file = tmp_path / "track.wav"
    write_file(file, "old")

    def fail() -> None:
        with part_of(file) as part:
            part.write_text("half", "utf-8")
            raise OSError(errno.ENOSPC, "No space left on device")

    with pytest.raises(OSError, match="No space"):
        fail()
    assert file.read_text("utf-8") == "old"
    assert list(tmp_path.iterdir()) == [file]


@posix
@pytest.mark.usefixtures("no_mask")
@pytest.mark.parametrize("mask", [0o000, 0o022, 0o377, 0o777])
def test_private_files_have_their_owners_rights_under_any_mask(tmp_path: Path, mask: int) -> None:
    """0600 and 0700, neither more nor less; `stat` of the system says the same."""
    os.umask(mask)
    write_file(tmp_path / "a", "1", private=True)
    write_new_file(tmp_path / "b", "1", private=True)
    make_folder(tmp_path / "c", private=True)
    make_folder(tmp_path / "c", private=True)

    modes = [stat.S_IMODE((tmp_path / name).stat().st_mode) for name in "abc"]
    assert modes == [0o600, 0o600, 0o700]
    if sys.platform == "linux":
        command = ["stat", "-c", "%a", *(str(tmp_path / name) for name in "abc")]
        said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        assert said.split() == ["600", "600", "700"]


@posix
@pytest.mark.usefixtures("no_mask")
def test_a_private_file_is_private_from_its_first_byte(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody can open it while it is written."""
    seen = []
    replace = Path.replace

    def look(part: Path, file: Path) -> Path:
        seen.append(stat.S_IMODE(part.stat().st_mode))
        return replace(part, file)

    monkeypatch.setattr(Path, "replace", look)
    (tmp_path / "open").write_text("1", "utf-8")
    write_file(tmp_path / "open", "2", private=True)

    assert seen == [0o600]
    assert stat.S_IMODE((tmp_path / "open").stat().st_mode) == 0o600


def test_hashes_are_those_of_a_plain_reading(tmp_path: Path) -> None:
    """Of one file and of several, one after another; larger than a block of reading."""
    (tmp_path / "a").write_bytes(b"pausewright" * 200_000)
    (tmp_path / "b").write_bytes(b"")

    for names in ("a", "b", "ab", "aba"):
        files = [tmp_path / name for name in names]
        wanted = hashlib.sha256(b"".join(file.read_bytes() for file in files)).hexdigest()
        assert sha256_of(*files, kind=BUILT_FILE) == wanted
    # the empty message, from memory
    assert sha256_of(tmp_path / "b", kind=BUILT_FILE).startswith("e3b0c44298fc1c149afbf4c8996fb924")


def test_a_full_disk_has_its_own_sentence(tmp_path: Path) -> None:
    """What cannot be written is named with the system's reason, or says that there is no room."""
    full = unwritable(tmp_path, OSError(errno.ENOSPC, "No space left on device"))
    assert full.message == f"the disk is full, so ‘{tmp_path}’ cannot be written"
    other = unwritable(tmp_path, OSError(errno.EACCES, "Permission denied"))
    assert other.message == f"‘{tmp_path}’ cannot be written (Permission denied)"
