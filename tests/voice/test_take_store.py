"""The take store: whole entries or none, whatever happens to the files."""

from __future__ import annotations

import json
import os
import stat
import sys
import threading
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pausewright.problems import OutputError
from pausewright.voice.store import TakeStore, digest, forget, list_kept, sync_warning

if TYPE_CHECKING:
    from collections.abc import Callable

KEY = digest({"a": 1})
CONTENT = bytes(range(256)) * 40


@pytest.fixture
def store(tmp_path: Path) -> TakeStore:
    """Return a store with one entry."""
    made = TakeStore(tmp_path)
    made.write("raw", KEY, CONTENT, {"rate_hz": 22_050})
    return made


def files(store: TakeStore, ending: str) -> list[Path]:
    """Return the files of the store with this ending."""
    return sorted(store.folder.rglob(f"*{ending}"))


def test_what_was_written_is_read(store: TakeStore) -> None:
    """An entry comes back with its bytes and facts."""
    entry = store.read("raw", KEY)
    assert entry is not None
    assert entry[0] == CONTENT
    assert entry[1]["rate_hz"] == 22_050


def test_absent_is_none(store: TakeStore) -> None:
    """Another key or kind is not there."""
    assert store.read("raw", digest({"a": 2})) is None
    assert store.read("takes", KEY) is None


@pytest.mark.parametrize(
    "damage",
    [
        lambda pcm, _: pcm.unlink(),
        lambda _, facts: facts.unlink(),
        lambda pcm, _: pcm.write_bytes(CONTENT[:-1]),
        lambda pcm, _: pcm.write_bytes(b""),
        lambda pcm, _: pcm.write_bytes(b"\1" + CONTENT[1:]),
        lambda _, facts: facts.write_bytes(b""),
        lambda _, facts: facts.write_bytes(facts.read_bytes()[:-3]),
        lambda _, facts: facts.write_bytes(facts.read_bytes().replace(b"22050", b"22051")),
        lambda _, facts: facts.write_bytes(b"[]"),
        lambda _, facts: facts.write_bytes(b"\xff\xfe"),
    ],
)
def test_damage_is_noticed(store: TakeStore, damage: Callable[[Path, Path], object]) -> None:
    """A missing, cut or changed file makes the entry absent; writing it again mends it."""
    damage(files(store, ".pcm")[0], files(store, ".json")[0])
    assert store.read("raw", KEY) is None
    store.write("raw", KEY, CONTENT, {"rate_hz": 22_050})
    assert store.read("raw", KEY) is not None


def test_a_crash_before_the_facts_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """If the machine stops between samples and facts, the entry does not count."""
    store = TakeStore(tmp_path)

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(store, "write_facts", stop)
    with pytest.raises(KeyboardInterrupt):
        store.write("raw", KEY, CONTENT, {})
    assert TakeStore(tmp_path).read("raw", KEY) is None


def test_a_failing_disk_leaves_no_rests(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A write that fails is an error with a hint, and no temporary file stays behind."""
    store = TakeStore(tmp_path)

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OutputError, match="No space left") as caught:
        store.write("raw", KEY, CONTENT, {})
    assert "free some space" in caught.value.hint
    assert files(store, ".part") == []


def test_two_builds_at_once(tmp_path: Path) -> None:
    """Writers and readers of one entry never see a half of it."""
    wrong: list[bytes] = []

    def build() -> None:
        store = TakeStore(tmp_path)
        for _ in range(40):
            store.write("raw", KEY, CONTENT, {"rate_hz": 22_050})
            entry = store.read("raw", KEY)
            if entry is not None and entry[0] != CONTENT:
                wrong.append(entry[0])

    builds = [threading.Thread(target=build) for _ in range(4)]
    for one in builds:
        one.start()
    for one in builds:
        one.join()
    assert wrong == []
    assert TakeStore(tmp_path).read("raw", KEY) is not None
    assert files(TakeStore(tmp_path), ".part") == []


@pytest.mark.skipif(sys.platform == "win32", reason="no owner-only rights on this system")
def test_only_the_owner_may_read(store: TakeStore) -> None:
    """Folders have mode 0700 and files 0600."""
    assert stat.S_IMODE(store.folder.stat().st_mode) == 0o700
    for path in store.folder.rglob("*"):
        assert stat.S_IMODE(path.stat().st_mode) == (0o700 if path.is_dir() else 0o600)


def test_version_control_ignores_it(store: TakeStore) -> None:
    """The folder ignores itself."""
    assert (store.folder / ".gitignore").read_bytes() == b"*\n"


def test_model_digest_is_remembered(tmp_path: Path) -> None:
    """A file's digest is that of its bytes, and a changed file has another one."""
    store = TakeStore(tmp_path)
    model = tmp_path / "a.onnx"
    model.write_bytes(b"abc")
    # FIPS 180-2, appendix B.1: SHA-256 of "abc"
    expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert store.file_digest(model) == store.file_digest(model) == expected
    model.write_bytes(b"abcd")
    assert store.file_digest(model) != expected
    assert all(b"onnx" not in file.read_bytes() for file in files(store, ".json"))


def test_forget_lists_and_removes(store: TakeStore, tmp_path: Path) -> None:
    """`forget` returns every file with its size and leaves nothing of the store."""
    (tmp_path / "test.md").write_text("One.", encoding="utf-8")
    kept = list_kept(tmp_path)
    assert sum(k.n_bytes for k in kept if k.file.suffix == ".pcm") == len(CONTENT)
    assert forget(tmp_path) == kept
    assert not store.folder.exists()
    assert (tmp_path / "test.md").exists()
    assert forget(tmp_path) == ()


@pytest.mark.skipif(not hasattr(os, "symlink") or sys.platform == "win32", reason="no links")
def test_forget_does_not_follow_a_link(tmp_path: Path) -> None:
    """A store folder that is a link to elsewhere is refused."""
    other = tmp_path / "other"
    other.mkdir()
    (other / "mine").write_text("x", encoding="utf-8")
    (tmp_path / ".pausewright").symlink_to(other)
    with pytest.raises(OutputError, match="is a link"):
        forget(tmp_path)
    assert (other / "mine").exists()


@pytest.mark.parametrize(
    ("folder", "warned"),
    [
        ("/home/ana/CloudFiles/tests", True),
        ("/home/ana/My Sync/tests", True),
        ("/Users/ana/Team drive - school/t", True),
        ("/home/ana/tests", False),
        ("/home/ana/drivers/tests", False),
        ("/home/ana/asyncio/tests", False),
    ],
)
def test_folders_that_sync(folder: str, warned: bool) -> None:  # noqa: FBT001
    """A folder name that speaks of copies elsewhere brings a warning that names it."""
    assert (sync_warning(Path(folder)) is not None) == warned


def test_facts_are_json(store: TakeStore) -> None:
    """Facts are plain JSON with the digest of the samples."""
    facts = json.loads(files(store, ".json")[0].read_text(encoding="utf-8"))
    assert len(facts["sha256"]) == 64
