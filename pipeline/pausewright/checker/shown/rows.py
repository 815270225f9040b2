"""Transcripts and printed instructions as rows of text.

A page is read as text, for what its source holds and not for what it draws.
"""

from __future__ import annotations

from html.parser import HTMLParser
from typing import TYPE_CHECKING

from pausewright.intake.file_kinds import PAGE
from pausewright.intake.plain_file import file_bytes

if TYPE_CHECKING:
    from pathlib import Path

TRANSCRIPTS = ("_transcript.txt", "_transcript.html")
INSTRUCTIONS = "instructions_"
"""How the name of the printed instructions begins; label and edition follow."""
N_HEADING_LINES = 2
"""Title; version and edition. A page says its title once more, for the window."""
N_NOTES = 2
"""Printed instructions: what their times are; whose page it is."""
BLOCKS = frozenset({"title", "h1", "h2", "p", "div", "section", "li", "td", "tr", "br"})


def rows_of(path: Path) -> list[tuple[int, str]]:
    """Return the lines of a file after its heading, with their numbers."""
    is_timed = not path.name.endswith(TRANSCRIPTS)
    text = bytes_of(path).decode("utf-8", "replace")
    is_page = path.suffix == ".html"
    rows = _rows_of_page(text) if is_page else list(enumerate(text.split("\n"), 1))
    return rows[N_HEADING_LINES + is_page + N_NOTES * is_timed :]


def _rows_of_page(text: str) -> list[tuple[int, str]]:
    """Return the lines of a page with the line of the source that each begins in.

    Comments are lines too: they can be read.
    """
    reader = _Rows()
    try:
        reader.feed(text)
        reader.close()
    except AssertionError:  # what Python's parser says of some broken declarations
        reader.handle_comment("broken markup")
    reader.end_row()
    return reader.rows


class _Rows(HTMLParser):
    """Collects what a page says, block by block; its style says nothing."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[tuple[int, str]] = []
        self._row: list[str] = []
        self._is_style = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._is_style = tag == "style"
        if tag in BLOCKS:
            self.end_row()
        # a window or a screen reader says these
        for said in (value for name, value in attrs if name in {"alt", "title", "aria-label"}):
            self.rows.append((self.getpos()[0], said or ""))

    def handle_endtag(self, tag: str) -> None:
        self._is_style = False
        if tag in BLOCKS:
            self.end_row()

    def handle_data(self, data: str) -> None:
        if not self._is_style:
            self._row.append(data)

    def handle_comment(self, data: str) -> None:
        self.rows.append((self.getpos()[0], data))

    def end_row(self) -> None:
        row = " ".join("".join(self._row).split())
        if row:
            self.rows.append((self.getpos()[0], row))
        self._row = []


def bytes_of(path: Path) -> bytes:
    """Return the bytes of a file that lies beside a track.

    Raises
    ------
    TrackError
        If it cannot be read.
    """
    return file_bytes(path, PAGE)
