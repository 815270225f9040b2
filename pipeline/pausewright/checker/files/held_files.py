"""The files of people in a folder, and their hashes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import sha256_of
from pausewright.problems import PausewrightError

if TYPE_CHECKING:
    from pathlib import Path

_OF_THE_SYSTEM: Final = frozenset(
    {"desktop.ini", "thumbs.db", "system volume information", "__macosx"}
)


def files_below(folder: Path) -> list[Path]:
    """Return all files of people in a folder: hidden ones and those of the system left out."""
    return [
        file
        for file in sorted(folder.rglob("*"))
        if file.is_file() and not any(map(is_of_the_system, file.relative_to(folder).parts))
    ]


def is_of_the_system(name: str) -> bool:
    """Return whether a file or folder is hidden, or one that operating systems put everywhere."""
    return name.startswith((".", "$")) or name.lower() in _OF_THE_SYSTEM


def sha256_or_none(file: Path, inside: Path | None = None) -> str:
    """Return a file's hash; an empty text if it cannot be read."""
    try:
        return sha256_of(file, kind=BUILT_FILE, inside=inside)
    except PausewrightError:
        return ""
