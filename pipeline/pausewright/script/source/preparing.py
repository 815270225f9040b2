"""The text of one file, prepared for the Markdown reader with every line and column kept.

Line numbers never shift: settings and comments are blanked out, not cut out. Question numbers
are read from the source, because Markdown renumbers lists and gives a question's contents
another indent from 10 on and again from 100 on.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.intake.file_kinds import SCRIPT, Kind
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import PausewrightError, Place, Problem, ScriptError
from pausewright.script.limits import MOST_CHARACTERS, MOST_IN_PARAGRAPH, MOST_LINES
from pausewright.script.source.blanked_comments import blank_comments
from pausewright.script.source.block_lines import NOTHING
from pausewright.script.source.question_lines import take_numbers
from pausewright.script.source.source_text import Source

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.problems import Problems

_CONTROL: Final = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029]")
_LEAD: Final = re.compile(r"[ \t]*(?:\d{1,9}\. +|#{1,6} +|- +)?")
"""What a line is, before its words."""


def read_source(file: Path, problems: Problems) -> Source:
    """Read a script and prepare it.

    Raises
    ------
    ScriptError
        If the file cannot be read as UTF-8 text.
    """
    return prepare(file, read_plain(file), problems, settings=True)


def read_plain(file: Path, kind: Kind = SCRIPT, inside: Path | None = None) -> str:
    """Return the text of a UTF-8 file, a byte-order mark left out.

    Parameters
    ----------
    kind, inside : what the file is, and the folder that it must lie in: see `intake.plain_file`

    Raises
    ------
    ScriptError
        If the file cannot be read as UTF-8 text.
    """
    try:
        raw = file_bytes(file, kind, inside)
    except PausewrightError as error:
        problem = Problem(Place(file, 1, 1), error.message, error.hint, code="file-unreadable")
        raise ScriptError([problem]) from error
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        message, hint = "the file is not UTF-8 text", "save it as UTF-8 in your editor"
        problem = Problem(Place(file, line, 1), message, hint, code="file-encoding")
        raise ScriptError([problem]) from error


def prepare(file: Path, text: str, problems: Problems, *, settings: bool) -> Source:
    """Prepare the text of a file; see `Source`.

    Raises
    ------
    ScriptError
        If the file holds more lines or characters than a script may.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    refuse_excess(file, text, MOST_LINES, MOST_CHARACTERS)
    rows = text.split("\n")
    for index, row in enumerate(rows):
        for found in _CONTROL.finditer(row):
            place = Place(file, index + 1, found.start() + 1)
            message = "a control character stands here"
            problems.error(place, message, "delete it", code="control-character")
        if len(row) > MOST_IN_PARAGRAPH:
            place = Place(file, index + 1, MOST_IN_PARAGRAPH + 1)
            most = f"a line holds at most {MOST_IN_PARAGRAPH:,}"
            message = f"this line has {len(row):,} characters, and {most}"
            hint = "break it into paragraphs, with a blank line between them"
            problems.error(place, message, hint, code="too-long")
            lead = _LEAD.match(row)
            rows[index] = (lead[0] if lead else "") + NOTHING
    rows = [_CONTROL.sub(" ", row) for row in rows]
    lines = [_untabbed(row) for row in rows]
    source = Source(file, "\n".join(lines), lines)
    for index, row in enumerate(rows):
        if len(lines[index]) != len(row):
            source.tabs[index + 1] = len(lines[index]) - len(row)
    working = list(lines)
    if settings:
        _take_settings(source, working, problems)
    blank_comments(source, working, problems)
    take_numbers(source, working, problems)
    source.prepared = working
    return source


def refuse_excess(file: Path, text: str, most_lines: int, most_characters: int) -> None:
    """Refuse a text that is longer than it may be.

    Raises
    ------
    ScriptError
        With the place where it becomes too long.
    """
    n_lines = text.count("\n") + 1
    if n_lines <= most_lines and len(text) <= most_characters:
        return
    is_lines = n_lines > most_lines
    what = f"{n_lines:,} lines" if is_lines else f"{len(text):,} characters"
    most = most_lines if is_lines else most_characters
    line = most_lines + 1 if is_lines else text.count("\n", 0, most_characters) + 1
    message = f"this file has {what}, and {most:,} are read at most"
    hint = "make several of it"
    raise ScriptError([Problem(Place(file, line, 1), message, hint, code="too-long")])


def _untabbed(row: str) -> str:
    bare = row.lstrip(" \t\u00a0")
    lead = row[: len(row) - len(bare)].replace("\t", "    ").replace("\u00a0", " ")
    return lead + bare.replace("\t", " ")


def _take_settings(source: Source, working: list[str], problems: Problems) -> None:
    if working[0].rstrip() != "---":
        later = [i for i, row in enumerate(working[:12]) if row.rstrip() == "---"]
        hint = "begin the file with --- , title: … , language: … and ---"
        if later:
            hint = "move the settings to the first line of the file"
        message = "the file must begin with its settings"
        place = source.place(1, 1, max(1, len(working[0])))
        problems.error(place, message, hint, code="settings-missing")
        if later and all(not row.strip() for row in working[: later[0]]):
            start = later[0]
        else:
            return
    else:
        start = 0
    for end in range(start + 1, len(working)):
        if working[end].rstrip() == "---":
            break
    else:
        message = "the settings are never closed"
        hint = "close them with a line of three hyphens: ---"
        problems.error(source.place(start + 1, 1, 3), message, hint, code="settings-open")
        end = next(
            (i for i in range(start + 1, len(working)) if not working[i].strip()), len(working) - 1
        )
    source.settings_text = "\n".join(working[start + 1 : end])
    source.settings_line = start + 1
    for index in range(start, end + 1):
        working[index] = ""
