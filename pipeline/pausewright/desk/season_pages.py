"""The season's page: all tests of the folder as one table, with forms that make and ask it."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Final

from starlette.routing import Route

from pausewright.desk.forms import FORMS, SEASON
from pausewright.desk.sentences import minutes
from pausewright.intake.file_kinds import SEASON_TABLE
from pausewright.records.record_files import read_as
from pausewright.records.season_shapes import SeasonTable
from pausewright.shown_text import one_line

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

    from pausewright.desk.frame import Frame
    from pausewright.records.season_shapes import SeasonRow

TABLE: Final = "season.json"
"""In the folder of results: what `season` wrote last."""
MOST_ROWS: Final = 2000
"""Tracks that a page shows; more are in the files."""


class SeasonPages:
    """Answers about all tests together."""

    def __init__(self, frame: Frame) -> None:
        """Take the frame."""
        self._frame = frame
        self._room = frame.room

    def routes(self) -> list[Route]:
        """Return the addresses of these pages; their forms are sent where those of More are."""
        return [Route(SEASON, self.season)]

    async def season(self, request: Request) -> Response:
        """Show the table that was written last, and what can be done."""
        del request
        shelf = self._room.shelf
        file = shelf.out / TABLE
        table = await asyncio.to_thread(read_as, file, SeasonTable, SEASON_TABLE)
        rows = table.rows if table is not None else ()
        ids = {test.name: test.id for test in shelf.tests()}
        return self._frame.show(
            "season.html",
            here=SEASON,
            forms=[one for one in FORMS.values() if one.page == SEASON],
            table=table,
            rows=[_row(one, ids.get(one.test, "")) for one in rows[:MOST_ROWS]],
            n_left_out=max(0, len(rows) - MOST_ROWS),
            n_tests=len({one.test for one in rows}),
            n_wrong=sum(one.verdict != "good" for one in rows),
            gaps=[(one_line(one.test), one_line(one.why)) for one in table.not_made]
            if table is not None
            else [],
        )


def _row(row: SeasonRow, test_id: str) -> dict[str, object]:
    """Return a track as the page shows it; `test_id` is "" where the desk has no such test."""
    worst, loudness = row.worst_error_s, row.loudness_lufs
    return {
        "id": test_id,
        "test": one_line(row.test),
        "label": one_line(row.version_label),
        "length": minutes(row.length_s),
        "verdict": row.verdict,
        "n_errors": row.n_errors,
        "n_warnings": row.n_warnings,
        "worst": "–" if worst is None else f"{worst * 1000:+.1f} ms",
        "worst_at": one_line(row.worst_error_at),
        "loudness": "–" if loudness is None else f"{loudness:.1f} LUFS",
        "listen": [one_line(one) for one in row.listen_to],
        "is_delivered": row.is_delivered,
    }
