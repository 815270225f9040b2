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
from pausewright.voice.profile_reader import SUFFIX as VOICE

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from pathlib import Path

    from pausewright.season.asks import Where

_OF_SCRIPTS: Final = (BESIDE, SIGNED, HEARD)
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


def inputs_mark(script: Path, out: Path) -> str:
    """Return the mark of what a script is made from and says nothing of: itself and voices.

    What `own_mark` takes; and where profiles of voices lie beside it, name, size and time of all
    files in its folder that are no scripts, for they may be parts of voices. Raises as `own_mark`.
    """
    folder = script.parent
    rows = [own_mark(script)]
    if any(folder.glob(f"*{VOICE}")):
        found = (_row(file, folder) for file in files_below(folder, out) if file.suffix != ".md")
        rows += [row for row in found if not row.partition(" ")[0].endswith(_OF_SCRIPTS)]
    return _digest(rows)


def rows_below(files: Iterable[Path], where: Where) -> tuple[str, ...]:
    """Return a row for each file below a season's folder, as it is now.

    Results and takes are left out, and what was heard, which changes no byte.
    """
    found = {
        _row(file, where.folder)
        for file in files
        if file.is_relative_to(where.folder)
        and not file.is_relative_to(where.out)
        and not file.name.endswith(HEARD)
    }
    return tuple(
        sorted(row for row in found if row and not f"/{row}".startswith("/.") and "/." not in row)
    )


def path_of(row: str) -> str:
    """Return the file of a row, relative to the season's folder."""
    return row.rsplit(" ", 2)[0]


def is_as_before(rows: Iterable[str], folder: Path) -> bool:
    """Return whether all files of rows are as they were when the rows were made."""
    return all(_row(folder / path_of(row), folder) == row for row in rows)


def own_mark(script: Path) -> str:
    """Return the mark of a script's bytes and of the files that belong to it alone.

    Raises
    ------
    FileError
        If the script cannot be read.
    """
    beside = (script.with_name(f"{script.stem}{ending}") for ending in (BESIDE, SIGNED))
    return _digest(
        [sha256_of(script, kind=SCRIPT), *(_row(file, script.parent) for file in beside)]
    )


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


def _row(file: Path, folder: Path) -> str:
    """Return name, size and time of a file; "" if it is not there."""
    try:
        state = file.stat()
    except OSError:
        return ""
    return f"{file.relative_to(folder).as_posix()} {state.st_size} {state.st_mtime_ns}"
