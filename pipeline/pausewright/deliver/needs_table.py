"""The list of who needs which version, as a table that is changed and written again.

The file stays a plain list that a spreadsheet reads: its columns, their names and their order stay,
and so do cells that mean nothing here. What is wrong with a row `needs_list.read_needs` says.
"""

from __future__ import annotations

import csv
import hashlib
import io
from typing import TYPE_CHECKING, Final

from pausewright.deliver.needs_list import COLUMNS, list_text
from pausewright.files.claim import claimed
from pausewright.files.writing import unwritable, write_file
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import NEEDS
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

ENDING: Final = ".needs.csv"
"""Of the list that belongs to a script, after the script's name."""
MOST_ROWS: Final = 2000
"""That a table takes; a longer list is changed in a spreadsheet (common practice, no source)."""


@frozen
class NeedsRow:
    """One row as it is written, whatever is wrong with it."""

    at: int
    """Its place among the rows of the file, from 0; -1 for a new one."""
    cells: Mapping[str, str]
    """By column: candidate, arrangement, room, headphones, reader."""


@frozen
class NeedsTable:
    """The list as it stands in its file."""

    rows: tuple[NeedsRow, ...]
    mark: str
    """SHA-256 of the file's bytes; "" while there is none."""


def needs_file(script: Path) -> Path:
    """Return where the list of a script lies."""
    return script.with_name(f"{script.stem}{ENDING}")


def read_table(file: Path) -> NeedsTable:
    """Return the rows of a list; none, if the file is not there.

    Raises
    ------
    OutputError
        If the file is no table of text.
    """
    if not file.exists():
        return NeedsTable((), "")
    raw = file_bytes(file, NEEDS, file.parent)
    head, body, _ = _parsed(file)
    places = _places(head)
    rows = tuple(
        NeedsRow(at, {name: _cell(cells, places.get(name)) for name in COLUMNS})
        for at, cells in enumerate(body)
        if any(cell.strip() for cell in cells)
    )
    return NeedsTable(rows, hashlib.sha256(raw).hexdigest())


def write_table(file: Path, rows: Sequence[NeedsRow], mark: str) -> None:
    """Write rows in place of those of the file, if it is still what `mark` marks.

    Rows without a cell are left out. What the file has beside the known columns stays.

    Raises
    ------
    OutputError
        If the file has changed since, or cannot be written; nothing was written then.
    """
    try:
        with claimed(file):
            if read_table(file).mark != mark:
                raise OutputError(
                    "the list was changed by another program or in another window meanwhile",
                    "look at it again: nothing was overwritten",
                )
            head, body, delimiter = _parsed(file) if mark else (list(COLUMNS), [], ",")
            places = _places(head)
            for name in COLUMNS:
                if name not in places and (not mark or any(row.cells[name] for row in rows)):
                    places[name] = len(head)
                    head.append(name)
            text = io.StringIO(newline="")
            writer = csv.writer(text, delimiter=delimiter, lineterminator="\n")
            writer.writerow(head)
            for row in rows:
                if any(row.cells.values()):
                    writer.writerow(_written(row, body, places, len(head)))
            write_file(file, text.getvalue(), private=True)
    except OSError as error:
        raise unwritable(file, error, "choose a folder that you may write to") from error


def take_list(file: Path, given: Path, *, in_place: bool) -> None:
    """Take a list from elsewhere as the list of a script, byte by byte.

    Raises
    ------
    OutputError
        If it is no table of text, or a list is there already and `in_place` is not set.
    """
    list_text(given)
    if file.exists() and not in_place:
        raise OutputError(
            "there is a list of this test already, which was left as it is",
            "tick that the new one takes its place, if you want that",
        )
    try:
        write_file(file, file_bytes(given, NEEDS), private=True)
    except OSError as error:
        raise unwritable(file, error, "choose a folder that you may write to") from error


def _parsed(file: Path) -> tuple[list[str], list[list[str]], str]:
    """Return the first row, those after it, and what separates cells."""
    text = list_text(file)
    first = next((row for row in text.splitlines() if row.strip()), "")
    delimiter = max(",;\t", key=first.count)
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=False))
    except csv.Error as error:
        raise OutputError(
            f"‘{file.name}’ is no table of text", "save it as CSV from the spreadsheet again"
        ) from error
    rows = [row for row in rows if any(cell.strip() for cell in row)]
    if not rows:
        return list(COLUMNS), [], delimiter
    return rows[0], rows[1:], delimiter


def _places(head: Sequence[str]) -> dict[str, int]:
    names = [" ".join(cell.lower().split()) for cell in head]
    found = {}
    for column, known in COLUMNS.items():
        at = next((n for n, name in enumerate(names) if name in known), None)
        if at is not None:
            found[column] = at
    return found


def _cell(cells: Sequence[str], at: int | None) -> str:
    return cells[at].strip() if at is not None and at < len(cells) else ""


def _written(
    row: NeedsRow, body: Sequence[Sequence[str]], places: Mapping[str, int], n_cells: int
) -> list[str]:
    cells = list(body[row.at]) if 0 <= row.at < len(body) else []
    cells += [""] * (n_cells - len(cells))
    for name, at in places.items():
        cells[at] = " ".join(row.cells[name].split())
    return cells
