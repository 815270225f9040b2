"""The table of a season: as CSV, as JSON and as a page; confidential, for it holds titles."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Final

from pausewright.files.writing import unwritable, write_file
from pausewright.pages.page import STYLE, page
from pausewright.records.record_files import record_text
from pausewright.records.season_shapes import SEASON_FORMAT, SeasonTable

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from pausewright.records.season_shapes import SeasonGap, SeasonRow

NAME: Final = "season"
"""Of the files, before their endings; a test of this name has a folder, and no file."""
COLUMNS: Final = (
    "test",
    "version_label",
    "title",
    "edition",
    "track",
    "n_samples",
    "rate_hz",
    "length_s",
    "verdict",
    "n_errors",
    "n_warnings",
    "worst_error_s",
    "worst_error_at",
    "loudness_lufs",
    "true_peak_dbtp",
    "listen_to",
    "voices",
    "is_delivered",
)
"""Of the CSV, in this order; what is several is joined by "; "."""
_ACTS: Final = ("=", "+", "-", "@", "\t", "\r")
"""What a cell begins with that a spreadsheet would compute (common practice, no source)."""


def table_of(rows: Iterable[SeasonRow], gaps: Iterable[SeasonGap]) -> SeasonTable:
    """Return the table, in the order of tests, versions and tracks."""
    return SeasonTable(
        season_table=SEASON_FORMAT,
        rows=tuple(sorted(rows, key=lambda one: (one.test, one.version_label, one.track))),
        not_made=tuple(sorted(gaps, key=lambda one: one.test)),
    )


def write_table(out: Path, table: SeasonTable) -> tuple[Path, ...]:
    """Write the table into the folder of results in all three forms, each whole; return them.

    Raises
    ------
    OutputError
        If one cannot be written.
    """
    texts = {".csv": as_csv(table), ".json": record_text(table), ".html": as_page(table)}
    files = []
    for ending, text in texts.items():
        file = out / f"{NAME}{ending}"
        try:
            write_file(file, text, private=True)
        except OSError as error:
            raise unwritable(file, error) from error
        files.append(file)
    return tuple(files)


def as_csv(table: SeasonTable) -> str:
    """Return the rows as CSV (RFC 4180): a head, numbers with points, empty for none."""
    written = io.StringIO(newline="")
    lines = csv.writer(written)
    lines.writerow(COLUMNS)
    for row in table.rows:
        lines.writerow([_cell(getattr(row, name)) for name in COLUMNS])
    return written.getvalue()


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    text = "; ".join(value) if isinstance(value, tuple) else str(value)
    return f"'{text}" if text.startswith(_ACTS) else text


def as_page(table: SeasonTable) -> str:
    """Return the table as a page that stands alone."""
    return page(
        "pausewright.season",
        "season_page.html.j2",
        STYLE,
        "season_page.css",
        rows=[
            {
                "row": row,
                "length": _clock(row.length_s),
                "worst": "–"
                if row.worst_error_s is None
                else f"{row.worst_error_s * 1000:+.1f} ms",
                "loudness": "–" if row.loudness_lufs is None else f"{row.loudness_lufs:.1f} LUFS",
            }
            for row in table.rows
        ],
        gaps=table.not_made,
        n_tests=len({row.test for row in table.rows}),
        n_wrong=sum(row.verdict != "good" for row in table.rows),
    )


def _clock(length_s: float) -> str:
    seconds = round(length_s)
    return f"{seconds // 60}:{seconds % 60:02}"
