"""Output folders: what an earlier build wrote in them, and how they are written anew."""

from __future__ import annotations

import os
import re
import unicodedata
from typing import TYPE_CHECKING, Final

from pausewright.files import stage
from pausewright.files.writing import make_folder, unwritable, write_file, write_new_file
from pausewright.intake.file_kinds import BUILT_FILE, PAGE
from pausewright.intake.plain_file import file_bytes, sha256_of
from pausewright.problems import OutputError, PausewrightError
from pausewright.records.record_files import read_as, read_record
from pausewright.records.shapes import BuildRecord, WrittenFiles

if TYPE_CHECKING:
    import contextlib
    from collections.abc import Callable
    from collections.abc import Set as AbstractSet
    from pathlib import Path

CONFIDENTIAL: Final = "confidential"
"""The folder in an output folder that only its owner can open."""
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


def staged(
    target: Path, keep: Callable[[], AbstractSet[str]] = frozenset
) -> contextlib.AbstractContextManager[Path]:
    """Give a folder to build in; at the end its files take their places in `target`, or none.

    Files of the user's own stay where they are. Of the files that an earlier build wrote, those
    stay that `keep` returns at the end (relative, with forward slashes).

    Raises
    ------
    OutputError
        If another command builds there, something of the user's stands in the way, or something
        cannot be written.
    """
    return stage.staged(target, ours=lambda: recorded_paths(target), keep=keep)


def record_files(folder: Path) -> list[Path]:
    """Return the build records in an output folder."""
    return sorted((folder / "confidential").glob("build-record_*.json"))


def recorded_paths(folder: Path) -> set[str]:
    """Return the paths, relative to the folder, that earlier builds wrote."""
    found: set[str] = set()
    for file in record_files(folder):
        found.add(file.relative_to(folder).as_posix())
        written = read_as(file, WrittenFiles)
        found.update(one.path for one in (written.files if written else ()))
    return found


def delivered(folder: Path, label: str, edition: str) -> BuildRecord | None:
    """Return the record of a version that lies in a build's folder in this edition, or None."""
    record = read_record(folder / CONFIDENTIAL / f"build-record_{label}.json")
    if record is None or record.edition != edition:
        return None
    return record


def is_current(folder: Path, label: str, build_key: str) -> BuildRecord | None:
    """Return the record of a build that is still whole and made from the same things, or None."""
    record = read_record(folder / "confidential" / f"build-record_{label}.json")
    if record is None or record.build_key != build_key:
        return None
    for entry in record.files:
        try:
            found = sha256_of(folder / entry.path, kind=BUILT_FILE, inside=folder)
        except PausewrightError:
            return None
        if found != entry.sha256:
            return None
    return record


def write_text(file: Path, text: str, *, private: bool = False) -> None:
    """Write a text file with plain line ends; of `private` ones the folder is private too."""
    make_folder(file.parent, private=private and file.parent.name == CONFIDENTIAL)
    write_file(file, text, private=private)


def _in_the_way(target: Path, example: str) -> OutputError:
    return OutputError(
        f"‘{target}’ is there already and was left as it is",
        f"move it away, or choose another name: {example}",
    )


def refuse_old(target: Path, option: str) -> None:
    """Refuse before any work the name of a file that could not be written after it.

    Raises
    ------
    OutputError
        If something stands there already, or its folder is none.
    """
    if os.path.lexists(target):
        raise _in_the_way(target, f"{option} NAME")
    if not target.parent.is_dir():
        raise OutputError(
            f"‘{target.parent}’ is no folder", f"make it, or choose another place: {option} NAME"
        )


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
    try:
        write_new_file(target, text, rights=rights)
    except FileExistsError:
        raise _in_the_way(target, f"--out {example}") from None
    except OSError as error:
        hint = f"choose a folder that you may write to: --out FOLDER/{example}"
        raise unwritable(target, error, hint) from error


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
        if file.exists() and PAGE_MARK.encode() not in file_bytes(file, PAGE):
            raise OutputError(
                f"‘{file}’ is there already and was left as it is", "choose another name"
            )
        make_folder(file.parent)
        write_file(file, text, private=True)
    except OSError as error:
        raise unwritable(file, error) from error
