"""The gate: a plain file in its place and of a sane size, or one sentence and a hint."""

from __future__ import annotations

import contextlib
import os
import sys
import tempfile
import threading
from pathlib import Path

import pytest
from pausewright.intake import file_kinds, plain_file
from pausewright.intake.file_kinds import BUILD_RECORD, CAPTIONS, SCRIPT, SOUND, TRACK, Kind
from pausewright.intake.plain_file import file_bytes, file_text, mark, opened, sha256_of
from pausewright.problems import FileError, PausewrightError, SoundError, TrackError
from support.damage.bad_files import BAD_FILES, OUTSIDE

pytestmark = [
    pytest.mark.timeout(60),
    pytest.mark.skipif(sys.platform == "win32", reason="pipes and links of POSIX"),
]
ALL_KINDS = [value for value in vars(file_kinds).values() if isinstance(value, Kind)]


@pytest.mark.parametrize("name", BAD_FILES)
@pytest.mark.parametrize("kind", ALL_KINDS, ids=lambda kind: f"{kind.name} {kind.most}")
def test_what_is_no_plain_file_is_one_sentence(tmp_path: Path, kind: Kind, name: str) -> None:
    """Typed by a user: refused at once, with the kind's own error, its name and a hint."""
    path = tmp_path / "x.bin"
    BAD_FILES[name].make(path)

    with pytest.raises(kind.error, match=BAD_FILES[name].said) as refused:
        opened(path, kind)

    assert str(path) in refused.value.message
    assert kind.name in refused.value.message
    assert refused.value.hint
    assert "\n" not in refused.value.message


@pytest.mark.parametrize("name", BAD_FILES)
def test_what_a_file_names_is_judged_so_too(tmp_path: Path, name: str) -> None:
    """Named by a file: the same sentences, but no folder is told, and links must stay inside."""
    bad = BAD_FILES[name]
    path = tmp_path / "x.wav"
    bad.make(path)

    with pytest.raises(SoundError, match=bad.said_inside or bad.said) as refused:
        opened(path, SOUND, tmp_path)

    assert str(tmp_path) not in refused.value.message


def test_a_link_out_is_good_for_a_user_and_not_for_a_script(tmp_path: Path) -> None:
    """What a user types may be a link to anywhere; what a script names may not, by any link."""
    inside = tmp_path / "in"
    inside.mkdir()
    OUTSIDE.make(inside / "a.md")
    (inside / "sub").symlink_to(tmp_path)
    (tmp_path / "b.md").write_text("b", encoding="utf-8")

    assert file_bytes(inside / "a.md", SCRIPT).startswith(b"SECRET")
    for name in ("a.md", "sub/b.md", "../b.md", "sub/in/../b.md"):
        with pytest.raises(FileError, match=r"out of the folder|lies outside the folder"):
            file_bytes(inside / name, SCRIPT, inside)


def test_links_that_stay_inside_are_followed(tmp_path: Path) -> None:
    """A link to a file, or by a folder, of the same place; and a place that is a link itself."""
    (tmp_path / "real" / "sub").mkdir(parents=True)
    (tmp_path / "real" / "sub" / "a.md").write_text("good", encoding="utf-8")
    (tmp_path / "real" / "b.md").symlink_to("sub/a.md")
    (tmp_path / "real" / "other").symlink_to("sub")
    (tmp_path / "place").symlink_to("real")

    for name in ("b.md", "other/a.md", "sub/a.md"):
        assert file_text(tmp_path / "place" / name, SCRIPT, tmp_path / "place") == "good"


@pytest.mark.parametrize("kind", ALL_KINDS, ids=lambda kind: f"{kind.name} {kind.most}")
def test_limits_are_exact(tmp_path: Path, kind: Kind) -> None:
    """A sparse file of the limit is opened, one byte more is not; nothing is read for that."""
    path = tmp_path / "x"
    with path.open("wb") as file:
        file.truncate(kind.most_bytes)
    opened(path, kind).close()
    os.truncate(path, kind.most_bytes + 1)

    with pytest.raises(kind.error, match=f"is larger than {kind.most}, the most"):
        opened(path, kind)


def test_a_file_without_a_byte(tmp_path: Path) -> None:
    """An empty sound is refused; an empty text is left to its reader."""
    path = tmp_path / "x"
    path.touch()

    assert file_bytes(path, CAPTIONS) == b""
    with pytest.raises(TrackError, match="is empty"):
        opened(path, TRACK)


@pytest.mark.parametrize(
    ("name", "said"),
    [("a\0b", "a name that no file can have"), ("n" * 300, "a name that is too long")],
)
@pytest.mark.parametrize("is_named", [False, True])
def test_names_that_cannot_be(tmp_path: Path, name: str, said: str, *, is_named: bool) -> None:
    """A name with a NUL, or of 300 letters."""
    with pytest.raises(FileError, match=said):
        file_bytes(tmp_path / name, SCRIPT, tmp_path if is_named else None)


@pytest.mark.parametrize("other", [b"\xff\xfe\x00", b"good \xc3", b"\xed\xa0\x80"])
def test_text_is_utf_8(tmp_path: Path, other: bytes) -> None:
    """Other bytes are refused; a byte-order mark is left out."""
    path = tmp_path / "x"
    path.write_bytes(other)
    with pytest.raises(FileError, match="is not UTF-8 text"):
        file_text(path, SCRIPT)

    path.write_bytes(b"\xef\xbb\xbfgood")
    assert file_text(path, SCRIPT) == "good"


@pytest.mark.parametrize("name", ["pipe", "device", "folder"])
def test_what_is_put_in_its_place_after_the_look_is_judged(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """Between the look at a name and its opening something else is put there: it is refused."""
    path = tmp_path / "x.md"
    path.write_text("good", encoding="utf-8")
    real_open = os.open

    def swapped(file: str | Path, flags: int, **others: int) -> int:
        if str(file).endswith("x.md"):
            path.unlink()
            BAD_FILES[name].make(path)
        return real_open(file, flags, **others)

    monkeypatch.setattr("os.open", swapped)
    monkeypatch.setattr("os.supports_dir_fd", {swapped})

    with pytest.raises(FileError, match=BAD_FILES[name].said):
        file_bytes(path, SCRIPT)
    path.unlink(missing_ok=True) if name != "folder" else path.rmdir()
    path.write_text("good", encoding="utf-8")
    with pytest.raises(FileError, match=r"leads nowhere|" + BAD_FILES[name].said):
        file_bytes(path, SCRIPT, tmp_path)


def test_a_folder_that_becomes_a_link_is_not_followed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After links were resolved a folder is swapped for a link out: nothing outside is read."""
    place, secret = tmp_path / "place", tmp_path / "secret"
    (place / "sub").mkdir(parents=True)
    secret.mkdir()
    (place / "sub" / "x.md").write_text("good", encoding="utf-8")
    (secret / "x.md").write_text("SECRET", encoding="utf-8")
    real = plain_file._opened_within

    def swapped(parts: tuple[str, ...]) -> int:
        (place / "sub").rename(place / "old")
        (place / "sub").symlink_to(secret)
        return real(parts)

    monkeypatch.setattr(plain_file, "_opened_within", swapped)

    with pytest.raises(FileError, match=r"is not there|leads nowhere|cannot be read"):
        file_bytes(place / "sub" / "x.md", SCRIPT, place)


def test_a_file_that_grows_ends_where_it_ended(tmp_path: Path) -> None:
    """Whoever appends without end cannot keep a reader busy: it reaches the old end."""
    path = tmp_path / "x.wav"
    path.write_bytes(b"a" * 300_000)
    with opened(path, TRACK) as file, path.open("ab") as grown:
        n_read = 0
        while part := file.read(10_000):
            n_read += len(part)
            grown.write(b"b" * 20_000)
            grown.flush()
        assert n_read == 300_000
        assert file.seek(0, os.SEEK_END) == 300_000
        assert file.seek(-5, os.SEEK_END) == 299_995
        assert file.read() == b"a" * 5
        file.seek(0)
        assert len(file.read()) == 300_000
        file.seek(400_000)
        assert file.read(10) == b""


def test_a_writer_without_end(tmp_path: Path) -> None:
    """The same with a writer beside it that never stops: sums and bytes come to an end."""
    path, ends = tmp_path / "x", threading.Event()
    path.write_bytes(b"a" * 2_000_000)

    def write() -> None:
        with path.open("ab", buffering=0) as file:
            for _ in range(2000):
                if ends.is_set():
                    return
                file.write(b"b" * 100_000)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        assert len(sha256_of(path, kind=TRACK)) == 64
        with contextlib.suppress(PausewrightError):  # it may be too large by now
            file_bytes(path, BUILD_RECORD)
    finally:
        ends.set()
        writer.join()


def test_a_file_cut_while_it_is_read(tmp_path: Path) -> None:
    """What is gone is not read; nothing waits for it."""
    path = tmp_path / "x"
    path.write_bytes(b"a" * 1_000_000)
    with opened(path, TRACK) as file:
        assert len(file.read(10)) == 10
        os.truncate(path, 20)
        assert len(file.read()) < 1_000_000


def test_a_mark_tells_a_replaced_file(tmp_path: Path) -> None:
    """Another file under the name, other bytes, none: the mark differs."""
    path = tmp_path / "x"
    assert mark(path) is None
    path.write_bytes(b"1")
    first = mark(path)
    assert first == mark(path)
    (tmp_path / "y").write_bytes(b"1")
    (tmp_path / "y").replace(path)
    assert mark(path) not in {first, None}


def test_a_file_without_rights() -> None:
    """As a user without rights: one sentence for a file, and for one in a closed folder."""
    is_root = os.geteuid() == 0
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        folder.chmod(0o755)
        closed = folder / "closed"
        closed.mkdir()
        for file in (folder / "x.md", closed / "x.md"):
            file.write_text("secret", encoding="utf-8")
            file.chmod(0)
            closed.chmod(0)
            try:
                if is_root:
                    os.seteuid(65_534)
                for inside in (None, file.parent):
                    with pytest.raises(FileError, match="may not be read") as refused:
                        file_bytes(file, SCRIPT, inside)
                    assert refused.value.hint
            finally:
                if is_root:
                    os.seteuid(0)
                closed.chmod(0o755)
