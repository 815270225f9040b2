"""The text of one file, prepared for the Markdown reader with every line and column kept.

Line numbers never shift: settings and comments are blanked out, not cut out. Question numbers
are read here, from the source, because Markdown renumbers lists and gives a question's contents
another indent from 10 on and again from 100 on.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from pausewright.problems import Place, Problem, Problems, ScriptError

if TYPE_CHECKING:
    from pathlib import Path

_QUESTION: Final = re.compile(r"(\d{1,9})\.[ \u00a0]+(\S.*)$")
_BARE_NUMBER: Final = re.compile(r"(\d{1,9})\.[ \u00a0]*$")
_PARENTHESIS: Final = re.compile(r"(\d{1,9})\)(?:[ \u00a0]|$)")
_BLOCK_MARK: Final = re.compile(r"(?:[-+*>]|#{1,6}|\d{1,9}[.)])(?:[ \u00a0]|$)|```|~~~|:::|<!--")
_COMMENT: Final = re.compile(r"(?<!\\)<!--")
MARKER: Final = "1.  "
"""Stands in for every question number, so that contents are indented by four blanks always."""


@dataclass(slots=True)
class Source:
    """One file: its lines as written, and the lines that the Markdown reader gets."""

    file: Path
    text: str
    lines: list[str]
    """As written, without line ends; tabs at the start of a line are four blanks."""
    numbers: dict[int, tuple[int, int]] = field(default_factory=dict)
    """Question lines: line (from 1) → number written, and its count of characters."""
    settings_text: str = ""
    settings_line: int = 0
    """Line of the opening `---`; 0 without settings."""
    prepared: list[str] = field(default_factory=list)
    """The lines that the Markdown reader gets: settings and comments blank, numbers alike."""

    @property
    def markdown(self) -> str:
        """What the Markdown reader gets."""
        return "\n".join(self.prepared)

    def column(self, line: int, content: str) -> int:
        """Return the column at which `content`, the end of a prepared line, begins."""
        prepared = self.prepared[line - 1]
        shift = len(prepared) - len(self.lines[line - 1]) if line in self.numbers else 0
        return max(1, len(prepared.rstrip()) - len(content.rstrip()) + 1 - shift)

    def place(self, line: int, column: int = 1, length: int = 1) -> Place:
        """Return a place in this file."""
        return Place(self.file, line, column, length)

    def whole_line(self, line: int) -> Place:
        """Return the place of a line's text, without its leading blanks."""
        row = self.lines[line - 1]
        lead = len(row) - len(row.lstrip())
        return Place(self.file, line, lead + 1, max(1, len(row.rstrip()) - lead))


def read_source(file: Path, problems: Problems, *, settings: bool) -> Source:
    """Read a script (`settings=True`) or an included file and prepare it.

    Raises
    ------
    ScriptError
        If the file cannot be read as UTF-8 text.
    """
    try:
        raw = file.read_bytes()
    except OSError as error:
        reason = "is not there" if isinstance(error, FileNotFoundError) else "cannot be read"
        raise ScriptError(
            [
                Problem(
                    Place(file, 1, 1),
                    f"the file {file.name} {reason}",
                    "check the name",
                    code="file-unreadable",
                )
            ]
        ) from error
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise ScriptError(
            [
                Problem(
                    Place(file, line, 1),
                    "the file is not UTF-8 text",
                    "save it as UTF-8 in your editor",
                    code="file-encoding",
                )
            ]
        ) from error
    return prepare(file, text, problems, settings=settings)


def prepare(file: Path, text: str, problems: Problems, *, settings: bool) -> Source:
    """Prepare the text of a file; see `Source`."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    for found in re.finditer(r"[\x00-\x08\x0b\x0c\x0e-\x1f\u2028\u2029\x85\x7f]", text):
        line = text.count("\n", 0, found.start()) + 1
        column = found.start() - text.rfind("\n", 0, found.start())
        problems.error(
            Place(file, line, column),
            "a control character stands here",
            "delete it",
            code="control-character",
        )
    text = re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f\u2028\u2029\x85\x7f]", " ", text)
    lines = [_untabbed(row) for row in text.split("\n")]
    source = Source(file, "\n".join(lines), lines)
    working = list(lines)
    if settings:
        _take_settings(source, working, problems)
    _blank_comments(source, working, problems)
    _take_numbers(source, working, problems)
    source.prepared = working
    return source


def _untabbed(row: str) -> str:
    bare = row.lstrip(" \t\u00a0")
    lead = row[: len(row) - len(bare)].replace("\t", "    ").replace("\u00a0", " ")
    return lead + bare.replace("\t", " ")


def _take_settings(source: Source, working: list[str], problems: Problems) -> None:
    if working[0].rstrip() != "---":
        later = [i for i, row in enumerate(working[:12]) if row.rstrip() == "---"]
        hint = (
            "move the settings to the first line of the file"
            if later
            else "begin the file with --- , title: … , language: … and ---"
        )
        problems.error(
            source.place(1, 1, max(1, len(working[0]))),
            "the file must begin with its settings",
            hint,
            code="settings-missing",
        )
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
        problems.error(
            source.place(start + 1, 1, 3),
            "the settings are never closed",
            "close them with a line of three hyphens: ---",
            code="settings-open",
        )
        end = len(working) - 1
    source.settings_text = "\n".join(working[start + 1 : end])
    source.settings_line = start + 1
    for index in range(start, end + 1):
        working[index] = ""


def _blank_comments(source: Source, working: list[str], problems: Problems) -> None:
    text = "\n".join(working)
    pieces: list[str] = []
    at = 0
    for found in _COMMENT.finditer(text):
        if found.start() < at:
            continue
        line = text.count("\n", 0, found.start()) + 1
        column = found.start() - text.rfind("\n", 0, found.start())
        place = source.place(line, column, 4)
        end = text.find("-->", found.end())
        if end < 0:
            problems.error(
                place, "this comment is never closed", "close it with -->", code="comment-open"
            )
            pieces += [text[at : found.start()], _blanked(text[found.start() :])]
            at = len(text)
            break
        inside = text[found.start() : end + 3]
        if re.search(r"\n[ \u00a0]*\n", inside):
            problems.error(
                place,
                "this comment goes over a blank line",
                "close it with --> before the blank line, and open another after it",
                code="comment-blank-line",
            )
        pieces += [text[at : found.start()], _blanked(inside)]
        at = end + 3
    pieces.append(text[at:])
    working[:] = "".join(pieces).split("\n")


def _blanked(text: str) -> str:
    return re.sub(r"[^\n]", " ", text)


def _take_numbers(source: Source, working: list[str], problems: Problems) -> None:
    depth = 0
    for index, row in enumerate(working):
        stripped = row.strip()
        if stripped.startswith(":::"):
            depth = depth + 1 if stripped.strip(":").strip() else max(0, depth - 1)
            continue
        if depth or not row[:1].isdigit():
            continue
        line = index + 1
        bare, marked, bracketed = (
            _BARE_NUMBER.match(row),
            _QUESTION.match(row),
            _PARENTHESIS.match(row),
        )
        if bracketed:
            problems.error(
                source.place(line, 1, len(bracketed[1]) + 1),
                f"‘{bracketed[0].strip()}’ does not begin a question",
                f"write {bracketed[1]}. with a full stop",
                code="question-form",
            )
            working[index] = MARKER + (row[bracketed.end() :].strip() or "…")
            source.numbers[line] = (int(bracketed[1]), len(bracketed[1]))
        elif bare:
            problems.error(
                source.place(line, 1, len(bare[0].rstrip())),
                "this question has no text",
                "write the question on the same line, after its number",
                code="question-empty",
            )
            working[index] = ""
        elif marked:
            _take_question(source, working, index, marked, problems)
        elif index and _interrupts(working, index) and re.match(r"\d{1,9}\.\S", row):
            continue


def _take_question(
    source: Source, working: list[str], index: int, marked: re.Match[str], problems: Problems
) -> None:
    line = index + 1
    digits, rest = marked[1], marked[2].replace("\u00a0", " ")
    if len(digits) > 1 and digits[0] == "0":
        problems.error(
            source.place(line, 1, len(digits) + 1),
            f"‘{digits}.’ begins with a nought",
            f"write {int(digits)}.",
            code="question-form",
        )
    if _interrupts(working, index):
        problems.error(
            source.place(line, 1, len(digits) + 1),
            f"‘{digits}.’ stands right below a line of text, so it is not clear whether it "
            "begins a question",
            "put a blank line before it, or join the two lines",
            code="question-joined",
        )
        working[index - 1] = ""
    mark = _BLOCK_MARK.match(rest)
    if mark:
        signs = {
            "-": "a minus sign: −5",
            "+": "a letter or digit before the plus sign",
            ">": r"it in words, or \> for the sign",
        }
        problems.error(
            source.place(line, line_column(source, line, rest), len(mark[0].strip()) or 1),
            f"a question cannot begin with ‘{mark[0].strip()}’",
            f"begin with text; write {signs.get(rest[0], 'words')}",
            code="question-start",
        )
        rest = "…"
    source.numbers[line] = (int(digits), len(digits))
    working[index] = MARKER + rest


def line_column(source: Source, line: int, rest: str) -> int:
    """Return the column where `rest`, the end of a line, begins."""
    row = source.lines[line - 1].rstrip()
    return max(1, len(row) - len(rest.rstrip()) + 1)


def _interrupts(working: list[str], index: int) -> bool:
    """Say whether the line above is running text of a margin paragraph."""
    above = working[index - 1] if index else ""
    if not above.strip() or above[:1] in " #":
        return False
    return not above.startswith((":::", MARKER))
