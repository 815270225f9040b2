"""The take store: what was voiced is kept beside the script and not voiced again.

An entry is two files named by a SHA-256 of all that determines its content: `KEY.pcm` holds the
samples, `KEY.json`, written last, what is known of them with their SHA-256. An entry counts only
if both agree, so a crash, a full disk or a second build at the same time leaves nothing that
could be mistaken for a take. No words of a test stand in names or in JSON.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from typing import TYPE_CHECKING, Any, TypeAlias

from pausewright.files.writing import make_folder, write_file
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import KEPT_FACTS, KEPT_SOUND, VOICE_FILE
from pausewright.intake.plain_file import file_bytes, sha256_of
from pausewright.problems import FileError, OutputError

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

Facts: TypeAlias = "dict[str, Any]"

FOLDER = ".pausewright"
LAYOUT = 1
"""Number of the layout of files; part of the folder names."""

SYNC_MARKS = ("sync", "cloud", "drive", "backup", "shared", "webdav", "remote")
"""Parts of folder names that suggest copies on other machines."""
_NOT_SYNC = ("drivers", "driver", "driven", "async", "asyncio")


def digest(recipe: Mapping[str, object]) -> str:
    """Return the SHA-256 of a recipe in canonical JSON, as 64 hexadecimal digits."""
    text = json.dumps(recipe, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


@frozen
class Kept:
    """One file of the store, for lists."""

    file: Path
    n_bytes: int


class TakeStore:
    """The folder `.pausewright` beside a script; made when first written to."""

    def __init__(self, script_folder: Path) -> None:
        """Name the folder; nothing is read or written yet."""
        self.folder = script_folder / FOLDER
        self._ready = False

    def read(self, kind: str, key: str) -> tuple[bytes, Facts] | None:
        """Return an entry's samples and facts, or None if it is absent or damaged."""
        facts = self.read_facts(kind, key)
        if facts is None:
            return None
        try:
            held = file_bytes(self._file(kind, key, ".pcm"), KEPT_SOUND)
        except FileError:
            return None
        if hashlib.sha256(held).hexdigest() != facts.get("sha256"):
            return None
        return held, facts

    def write(self, kind: str, key: str, content: bytes | memoryview, facts: Facts) -> None:
        """Keep an entry: samples first, then the facts that make it count.

        Raises
        ------
        OutputError
            If it cannot be written: full disk, folder without write permission.
        """
        self._write_file(self._file(kind, key, ".pcm"), content)
        self.write_facts(kind, key, {**facts, "sha256": hashlib.sha256(content).hexdigest()})

    def read_facts(self, kind: str, key: str) -> Facts | None:
        """Return the facts of an entry, or None if they are absent or damaged."""
        try:
            facts = json.loads(file_bytes(self._file(kind, key, ".json"), KEPT_FACTS))
        except (FileError, ValueError, RecursionError):
            return None
        if not isinstance(facts, dict) or facts.get("key") != key:
            return None
        check = facts.pop("check", None)
        return facts if check == digest(facts) else None

    def write_facts(self, kind: str, key: str, facts: Facts) -> None:
        """Keep facts alone; raises as `write` does."""
        told = {**facts, "key": key}
        text = json.dumps({**told, "check": digest(told)}, sort_keys=True)
        self._write_file(self._file(kind, key, ".json"), text.encode())

    def file_digest(self, file: Path) -> str:
        """Return the SHA-256 of a file's bytes, remembered as long as size and time stay.

        Raises
        ------
        OutputError
            If the file cannot be read.
        """
        try:
            state = file.stat()
            mark = {"file": str(file.resolve()), "bytes": state.st_size, "time": state.st_mtime_ns}
            key = digest(mark)
            kept = self.read_facts("models", key)
            if kept is not None and isinstance(kept.get("file_sha256"), str):
                return str(kept["file_sha256"])
            found = sha256_of(file, kind=VOICE_FILE)
        except OSError as fault:
            raise OutputError(
                f"{file} cannot be read: {fault.strerror or fault}", "check its permissions"
            ) from fault
        self.write_facts("models", key, {"file_sha256": found})
        return found

    def files_of(self, kind: str, key: str) -> tuple[Path, Path]:
        """Return where an entry's samples and facts lie, or would."""
        return self._file(kind, key, ".pcm"), self._file(kind, key, ".json")

    def _file(self, kind: str, key: str, ending: str) -> Path:
        return self.folder / f"{kind}-{LAYOUT}" / f"{key}{ending}"

    def _make_folder(self, folder: Path) -> None:
        if not self._ready:
            make_folder(self.folder, private=True)
            ignore = self.folder / ".gitignore"
            if not ignore.exists():
                write_file(ignore, b"*\n", private=True)
            self._ready = True
        if not folder.is_dir():
            make_folder(folder, private=True)

    def _write_file(self, file: Path, content: bytes | memoryview) -> None:
        try:
            self._make_folder(file.parent)
            write_file(file, content, private=True)
        except OSError as fault:
            raise OutputError(
                f"what was voiced cannot be kept in {self.folder}: {fault.strerror or fault}",
                "free some space, or copy the script to a folder that you can write to",
            ) from fault


def list_kept(script_folder: Path) -> tuple[Kept, ...]:
    """Return every file kept beside the scripts of a folder, with its size, sorted by path."""
    folder = script_folder / FOLDER
    if folder.is_symlink() or not folder.is_dir():
        return ()
    files = sorted(file for file in folder.rglob("*") if file.is_file())
    return tuple(Kept(file, file.stat().st_size) for file in files)


def forget(script_folder: Path) -> tuple[Kept, ...]:
    """Remove all that is kept beside the scripts of a folder and return what it was.

    Raises
    ------
    OutputError
        If something cannot be removed.
    """
    kept = list_kept(script_folder)
    folder = script_folder / FOLDER
    if folder.is_symlink():
        raise OutputError(f"{folder} is a link; nothing was removed", "remove it by hand")
    try:
        if folder.is_dir():
            shutil.rmtree(folder)
    except OSError as fault:
        raise OutputError(
            f"{folder} cannot be removed: {fault.strerror or fault}",
            "close other programs that use it and try again",
        ) from fault
    return kept


def sync_warning(folder: Path) -> str | None:
    """Return a sentence if the folder looks like one that is copied to other machines.

    Only names are looked at: a folder on the way down whose name holds one of `SYNC_MARKS`.
    """
    for part in folder.absolute().parts:
        words = "".join(c if c.isalpha() else " " for c in part.lower()).split()
        if any(mark in word and word not in _NOT_SYNC for word in words for mark in SYNC_MARKS):
            return (
                f"the folder ‘{part}’ looks like one that is copied to other machines; "
                "test papers and their tracks are confidential"
            )
    return None
