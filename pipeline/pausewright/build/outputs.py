"""Output folders: built beside their place under another name, put there whole, or not at all."""

from __future__ import annotations

import contextlib
import json
import os
import re
import secrets
import shutil
import unicodedata
from typing import TYPE_CHECKING, Any, Final

from pausewright.problems import OutputError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

LONGEST_NAME: Final = 40
"""Characters of a title in a file name; whole names stay under 64 for old players."""
MOST_NAME_BYTES: Final = 255
"""Of a name in the file systems in use (POSIX leaves it to them; NTFS counts 255 UTF-16 units)."""
_ADDED_BYTES: Final = 55
"""What is added to the name of a folder or file while it is written, and a margin."""
_RESERVED: Final = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)$")


def slug(title: str) -> str:
    """Return a title as a plain part of a file name: letters, digits and hyphens."""
    letters = unicodedata.normalize("NFKD", title)
    plain = "".join(c for c in letters if not unicodedata.combining(c))
    name = re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-").lower()
    if len(name) > LONGEST_NAME:
        whole_words = name[: LONGEST_NAME + 1].rpartition("-")[0]
        name = whole_words.strip("-") or name[:LONGEST_NAME]
    return f"test-{name}" if not name or _RESERVED.match(name) else name


def refuse_long_name(target: Path) -> None:
    """Refuse a folder whose name leaves no room for what a build adds to it meanwhile.

    Raises
    ------
    OutputError
        Before anything is written.
    """
    n_bytes, most = len(os.fsencode(target.name)), MOST_NAME_BYTES - _ADDED_BYTES
    if n_bytes > most:
        raise OutputError(
            f"the name ‘{target.name}’ has {n_bytes} bytes, and results can have {most} at most",
            "give the script a shorter name",
        )


@contextlib.contextmanager
def staged(target: Path, keep: frozenset[str] = frozenset()) -> Iterator[Path]:
    """Give a folder to build in; at the end it takes the place of `target`, whole.

    Files of the user's own in the old folder are moved into the new one; of the files that an
    earlier build wrote, those in `keep` (relative, with forward slashes). If the block raises,
    nothing is left and the old folder stays.

    Raises
    ------
    OutputError
        If a folder cannot be made or put into place.
    """
    stage = target.parent / f".{target.name}.{secrets.token_hex(4)}.building"
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _sweep(target)
        stage.mkdir()
    except OSError as error:
        raise _unwritable(target, error) from error
    try:
        yield stage
        _put_in_place(stage, target, keep)
    except OSError as error:
        raise _unwritable(target, error) from error
    finally:
        shutil.rmtree(stage, ignore_errors=True)


def _unwritable(target: Path, error: OSError) -> OutputError:
    if error.errno == 28:  # ENOSPC on every system
        return OutputError(
            f"the disk is full, so ‘{target}’ cannot be written", "make room, or use --out"
        )
    reason = error.strerror or str(error)
    return OutputError(
        f"‘{target}’ cannot be written ({reason})",
        "choose a folder that you may write to: --out FOLDER",
    )


def _sweep(target: Path) -> None:
    """Remove what a build that was killed left behind more than a day ago."""
    import time  # noqa: PLC0415

    for old in target.parent.glob(f".{target.name}.*.building"):
        if time.time() - old.stat().st_mtime > 86_400:
            shutil.rmtree(old, ignore_errors=True)


def _put_in_place(stage: Path, target: Path, keep: frozenset[str]) -> None:
    old: Path | None = None
    if target.exists():
        ours = recorded_paths(target) - keep
        for file in sorted(p for p in target.rglob("*") if p.is_file() or p.is_symlink()):
            relative = file.relative_to(target)
            if relative.as_posix() not in ours and not (stage / relative).exists():
                (stage / relative).parent.mkdir(parents=True, exist_ok=True)
                file.replace(stage / relative)
            elif relative.as_posix() not in ours:
                raise OutputError(
                    f"‘{file}’ was not written by a build and stands where one is to be written",
                    "move it away, or use another folder: --out FOLDER",
                )
        old = target.with_name(f".{target.name}.{secrets.token_hex(4)}.old")
        target.replace(old)
    try:
        stage.replace(target)
    except OSError:
        if old is not None:
            old.replace(target)
        raise
    if old is not None:
        shutil.rmtree(old, ignore_errors=True)


def record_files(folder: Path) -> list[Path]:
    """Return the build records in an output folder."""
    return sorted((folder / "confidential").glob("build-record_*.json"))


def read_record(file: Path) -> dict[str, Any] | None:
    """Return a build record, or None if it cannot be read."""
    try:
        found = json.loads(file.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def recorded_paths(folder: Path) -> set[str]:
    """Return the paths, relative to the folder, that earlier builds wrote."""
    found: set[str] = set()
    for file in record_files(folder):
        found.add(file.relative_to(folder).as_posix())
        record = read_record(file) or {}
        for entry in record.get("files", []):
            if isinstance(entry, dict) and isinstance(entry.get("path"), str):
                found.add(entry["path"])
    return found


def is_current(folder: Path, label: str, build_key: str) -> dict[str, Any] | None:
    """Return the record of a build that is still whole and made from the same things, or None."""
    import hashlib  # noqa: PLC0415

    record = read_record(folder / "confidential" / f"build-record_{label}.json")
    if record is None or record.get("build_key") != build_key:
        return None
    for entry in record.get("files", []):
        try:
            with (folder / entry["path"]).open("rb") as file:
                if hashlib.file_digest(file, "sha256").hexdigest() != entry["sha256"]:
                    return None
        except (OSError, KeyError, TypeError):
            return None
    return record


def write_text(file: Path, text: str, *, private: bool = False) -> None:
    """Write a text file with plain line ends; `private` files can be read by the owner only."""
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8", newline="\n")
    if private:
        with contextlib.suppress(OSError):
            os.chmod(file, 0o600)  # noqa: PTH101  where the system has owners


def write_new(target: Path, text: str, *, rights: int = 0o666, example: str = "NAME") -> None:
    """Write a file that is not there yet, whole or not at all.

    Parameters
    ----------
    target : where it goes
    text : written as UTF-8 with plain line ends
    rights : permissions of the new file, less what the system's mask takes away
    example : a name to try, for messages

    Raises
    ------
    OutputError
        If something stands there already, which is left as it is, or it cannot be written.
    """
    part = target.with_name(f".{target.name}.{secrets.token_hex(4)}.part")
    try:
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
        with os.fdopen(os.open(part, flags, rights), "wb") as opened:
            opened.write(text.encode())
        if target.exists():
            raise FileExistsError
        _put(part, target)
    except FileExistsError:
        raise OutputError(
            f"‘{target}’ is there already and was left as it is",
            f"move it away, or choose another name: --out {example}",
        ) from None
    except OSError as error:
        raise OutputError(
            f"‘{target}’ cannot be written ({error.strerror or error})",
            f"choose a folder that you may write to: --out FOLDER/{example}",
        ) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)


def _put(part: Path, target: Path) -> None:
    """Give a whole file its name; raise FileExistsError if that was taken meanwhile."""
    try:
        os.link(part, target)
    except FileExistsError:
        raise
    except (OSError, NotImplementedError, AttributeError):  # a file system without links
        part.rename(target)


PAGE_MARK: Final = "versions side by side"
"""Stands in every page that a comparison wrote, so that it may be written again."""


def write_new_text(file: Path, text: str) -> None:
    """Write a private page where there is none yet, or over one that was written so before.

    Raises
    ------
    OutputError
        If another file stands there, or it cannot be written.
    """
    try:
        if file.exists() and PAGE_MARK not in file.read_text(encoding="utf-8", errors="replace"):
            raise OutputError(
                f"‘{file}’ is there already and was left as it is", "choose another name"
            )
        part = file.with_name(f".{file.name}.{secrets.token_hex(4)}.part")
        write_text(part, text, private=True)
        part.replace(file)
    except OSError as error:
        raise _unwritable(file, error) from error
