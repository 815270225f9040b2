"""Which files a test may be made from, as one mark: what is read again when one has changed."""

from __future__ import annotations

import hashlib
import os
from typing import TYPE_CHECKING, Final

from pausewright.arrange.declarations import BESIDE
from pausewright.deliver.heard import ENDING as HEARD
from pausewright.deliver.script_set import is_script, refuse_one_folder
from pausewright.deliver.signed import ENDING as SIGNED
from pausewright.intake.file_kinds import SCRIPT
from pausewright.intake.plain_file import resolved, sha256_of
from pausewright.problems import FileError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

_OWN: Final = (BESIDE, SIGNED)
"""Endings of files that belong to one script, after its name."""


def find_scripts(folder: Path, out: Path) -> tuple[Path, ...]:
    """Return the scripts of a season, absolute, sorted: in its folder and in those below.

    Hidden folders and the folder of results are left out.

    Raises
    ------
    FileError
        If the folder is not there, or holds no script.
    OutputError
        If two scripts have one name, and so one folder of results.
    """
    root = resolved(folder)
    if not root.is_dir():
        raise FileError(f"the folder ‘{folder}’ is not there", "name a folder of scripts")
    found = tuple(
        file for file in files_below(root, out) if file.suffix == ".md" and is_script(file)
    )
    if not found:
        raise FileError(
            f"no script lies in the folder {folder}",
            "name a folder with .md files that begin with settings between two lines of ---",
        )
    refuse_one_folder(found)
    return found


class Inputs:
    """The files of a season's folder as they are now."""

    def __init__(self, scripts: Sequence[Path], out: Path) -> None:
        """Look at the folders of the scripts."""
        self._scripts = frozenset(scripts)
        self._stems: dict[Path, list[str]] = {}
        for script in scripts:
            self._stems.setdefault(script.parent, []).append(script.stem)
        self._out = out
        self._listings: dict[Path, tuple[str, ...]] = {}

    def mark(self, script: Path) -> str:
        """Return the mark of everything that a script may be made from.

        What `own_mark` takes; and of every other file in its folder and below, but those that
        belong to other scripts, its name, size and time. Raises as `own_mark` does.
        """
        folder = script.parent
        if folder not in self._listings:
            self._listings[folder] = tuple(self._listing(folder))
        return _digest([own_mark(script), *self._listings[folder]])

    def _listing(self, folder: Path) -> Iterator[str]:
        """Give a row for each file that is no script and belongs to none, nor to listeners."""
        for file in files_below(folder, self._out):
            stems = self._stems.get(file.parent, ())
            of_one = {f"{stem}{ending}" for stem in stems for ending in (*_OWN, HEARD)}
            if file not in self._scripts and file.name not in of_one:
                yield from _row(file, folder)


def own_mark(script: Path) -> str:
    """Return the mark of a script's bytes and of the files that belong to it alone.

    Raises
    ------
    FileError
        If the script cannot be read.
    """
    rows = [sha256_of(script, kind=SCRIPT)]
    for ending in _OWN:
        rows += _row(script.with_name(f"{script.stem}{ending}"), script.parent)
    return _digest(rows)


def files_below(folder: Path, out: Path) -> Iterator[Path]:
    """Give the files in a folder and below, in order, without what is hidden and the results."""
    for at, folders, names in os.walk(folder):
        here = folder / at
        folders[:] = sorted(
            one for one in folders if not one.startswith(".") and resolved(here / one) != out
        )
        yield from (here / name for name in sorted(names) if not name.startswith("."))


def _digest(rows: Sequence[str]) -> str:
    return hashlib.sha256("\n".join(rows).encode()).hexdigest()


def _row(file: Path, folder: Path) -> list[str]:
    try:
        state = file.stat()
    except OSError:
        return []
    return [f"{file.relative_to(folder).as_posix()} {state.st_size} {state.st_mtime_ns}"]
