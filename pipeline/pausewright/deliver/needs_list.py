"""The list of who needs which version, read from a spreadsheet's export.

Exports differ: a mark at the start, semicolons or tabs, Windows' encoding. All bad rows are
reported in one pass, each with its line.
"""

from __future__ import annotations

import csv
import io
import re
from typing import TYPE_CHECKING, Final, Protocol

from pausewright.frozen import frozen
from pausewright.intake.file_kinds import NEEDS
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import OutputError, Place, Problems, name_hint

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path


COLUMNS: Final = {
    "candidate": ("candidate", "code", "candidate code", "candidate number", "number"),
    "arrangement": ("arrangement", "version", "label"),
    "room": ("room",),
    "headphones": ("headphones",),
    "reader": ("reader", "live reader"),
}
"""Each column, and the names under which lists have it."""
_OPTIONAL: Final = ("headphones", "reader")
_NAMES: Final = ("name", "surname", "forename", "first name", "last name", "full name")
_LOOKS_LIKE_A_NAME: Final = re.compile(r"[^\W\d_]{2,}(?:[ ,'-]+[^\W\d_]{2,})+")
_YES: Final = ("yes", "y", "true", "1", "x")
_NO: Final = ("no", "n", "false", "0", "")
_EXAMPLE: Final = "candidate,arrangement,room,headphones"


class Declared(Protocol):
    """A version as a list may name it."""

    @property
    def name(self) -> str:
        """What the office calls it."""

    @property
    def label(self) -> str:
        """What the room sees."""


@frozen
class Need:
    """One row: a candidate's code, the version, the room."""

    line: int
    candidate: str
    label: str
    room: str
    headphones: bool
    reader: str = ""
    """Who reads aloud in place of a track: "yes" or a person's code; "" for nobody."""

    @property
    def reader_code(self) -> str:
        """The reader's code, if the row has one."""
        return "" if self.reader == "yes" else self.reader


def read_needs(file: Path, arrangements: Sequence[Declared]) -> tuple[tuple[Need, ...], Problems]:
    """Return the rows of a list, and everything that is wrong with it.

    Parameters
    ----------
    file : comma-, semicolon- or tab-separated, UTF-8 (with or without a mark) or Windows-1252
    arrangements : those that are declared; a row names one by name or label

    Raises
    ------
    OutputError
        If the file cannot be read at all.
    """
    problems = Problems()
    return _Reader(file, arrangements, problems).needs(), problems


class _Reader:
    def __init__(self, file: Path, arrangements: Sequence[Declared], problems: Problems) -> None:
        self._file = file
        self._labels = {
            key: one.label for one in arrangements for key in (one.name, one.label) if key
        }
        self._problems = problems
        self._at: dict[str, int] = {}

    def needs(self) -> tuple[Need, ...]:
        text = list_text(self._file)
        first = next((row for row in text.splitlines() if row.strip()), "")
        mark = max(",;\t", key=first.count)
        rows = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=False)
        found: list[Need] = []
        lines: dict[str, int] = {}
        for cells in self._cells(rows):
            if not any(cell.strip() for cell in cells):
                continue
            if not self._at:
                if not self._header(cells, rows.line_num):
                    return ()
                continue
            need = self._need([cell.strip() for cell in cells], rows.line_num)
            if need is None:
                continue
            key = need.candidate.casefold()
            if key in lines:
                what = f"the candidate of line {lines[key]} stands here once more"
                self._error(need.line, "twice", what, "keep one row for each candidate")
                continue
            lines[key] = need.line
            found.append(need)
        if not self._at or not (found or self._problems.errors):
            self._error(1, "empty", "the list holds no candidates", f"begin with: {_EXAMPLE}")
        self._warn_of_names(found)
        return tuple(found)

    def _cells(self, rows: Iterator[list[str]]) -> Iterator[list[str]]:
        """Walk the rows as far as they can be read."""
        line = 1
        try:
            for cells in rows:
                line = getattr(rows, "line_num", line)
                yield cells
        except csv.Error:
            what = "from here on this is no table of text"
            self._error(line, "unreadable", what, f"begin with: {_EXAMPLE}")

    def _error(self, line: int, code: str, message: str, hint: str) -> None:
        self._problems.error(Place(self._file, line, 1), message, hint, code=f"needs-{code}")

    def _header(self, cells: Sequence[str], line: int) -> bool:
        names = [" ".join(cell.lower().split()) for cell in cells]
        for column, known in COLUMNS.items():
            places = [i for i, name in enumerate(names) if name in known]
            if len(places) == 1:
                self._at[column] = places[0]
            elif places:
                what = f"two columns could be the {column}"
                self._error(line, "columns", what, f"name one of them {column}")
            elif column not in _OPTIONAL:
                what = f"there is no column ‘{column}’"
                self._error(line, "columns", what, f"the first row says: {_EXAMPLE}")
        for name in names:
            if name in _NAMES:
                self._warn(line, f"the column ‘{name}’ looks like names of people")
        return all(column in self._at for column in ("candidate", "arrangement", "room"))

    def _need(self, cells: Sequence[str], line: int) -> Need | None:
        def cell(column: str) -> str:
            at = self._at.get(column, len(cells))
            return cells[at] if at < len(cells) else ""

        missing = [c for c in ("candidate", "arrangement", "room") if not cell(c)]
        for column in missing:
            self._error(line, "row", f"this row has no {column}", "fill it in")
        wanted = cell("arrangement")
        label = self._labels.get(wanted)
        if wanted and label is None:
            hint = name_hint(wanted, self._labels, "declared: " + ", ".join(self._labels))
            self._error(line, "arrangement", f"the arrangement ‘{wanted}’ is not declared", hint)
        phones = cell("headphones").lower()
        if phones not in (*_YES, *_NO):
            self._error(line, "row", f"‘{phones}’ is neither yes nor no", "write yes or no")
        reader = " ".join(cell("reader").split())
        if reader.lower() in _NO:
            reader = ""
        elif reader.lower() in _YES:
            reader = "yes"
        if reader and phones in _YES:
            what = "a candidate who listens to a reader has no headphones"
            self._error(line, "row", what, "empty one of the two cells")
        if missing or label is None:
            return None
        return Need(line, cell("candidate"), label, cell("room"), phones in _YES, reader)

    def _warn(self, line: int, message: str) -> None:
        hint = "take names out: a code for each candidate is enough"
        self._problems.warn(Place(self._file, line, 1), message, hint, code="needs-names")

    def _warn_of_names(self, found: Sequence[Need]) -> None:
        alike = [need for need in found if _LOOKS_LIKE_A_NAME.fullmatch(need.candidate)]
        if alike and 2 * len(alike) >= len(found):
            self._warn(alike[0].line, "the candidates' codes look like names of people")


def list_text(file: Path) -> str:
    """Return the text of a list, whatever its encoding.

    Raises
    ------
    OutputError
        If it cannot be read, or is a spreadsheet and no text.
    """
    raw = file_bytes(file, NEEDS)
    if raw.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise OutputError(
            f"‘{file.name}’ is a spreadsheet", "save it as CSV (comma-separated values) first"
        )
    for encoding in (
        "utf-8-sig",
        "utf-16" if raw[:2] in {b"\xff\xfe", b"\xfe\xff"} else "",
        "cp1252",
    ):
        if encoding:
            try:
                return raw.decode(encoding)
            except UnicodeDecodeError:
                continue
    raise OutputError(f"‘{file.name}’ is in no encoding that is known", "save it as CSV in UTF-8")
