"""Question numbers, read from the source and made alike for the Markdown reader."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.script.source.block_lines import MARKER, NOTHING, closing_line

if TYPE_CHECKING:
    from pausewright.problems import Problems
    from pausewright.script.source.source_text import Source

_QUESTION: Final = re.compile(r"(\d{1,9})\.[ \u00a0]+(\S.*)$")
_BARE_NUMBER: Final = re.compile(r"(\d{1,9})\.[ \u00a0]*$")
_PARENTHESIS: Final = re.compile(r"(\d{1,9})\)(?:[ \u00a0]|$)")
_BLOCK_MARK: Final = re.compile(r"(?:[-+*>]|#{1,6}|\d{1,9}[.)])(?:[ \u00a0]|$)|```|~~~|:::|<!--")
_GLUED: Final = re.compile(r"(\d{1,4})\.([^\s\d.,:].*)$")


def take_numbers(source: Source, working: list[str], problems: Problems) -> None:
    """Note each question's number and put the same marker in its place."""
    after_block = 0
    for index, row in enumerate(working):
        if index < after_block:
            continue
        stripped = row.strip()
        if stripped.startswith(":::"):
            if stripped.strip(":").strip():
                indent = 4 if row.startswith(" ") else 0
                after_block, _ = closing_line(working.__getitem__, index, len(working), indent)
            continue
        if not row[:1].isdigit():
            continue
        line = index + 1
        bare, marked, bracketed = (
            _BARE_NUMBER.match(row),
            _QUESTION.match(row),
            _PARENTHESIS.match(row),
        )
        if bracketed:
            message = f"‘{bracketed[0].strip()}’ does not begin a question"
            hint = f"write {bracketed[1]}. with a full stop"
            place = source.place(line, 1, len(bracketed[1]) + 1)
            problems.error(place, message, hint, code="question-form")
            working[index] = MARKER + (row[bracketed.end() :].strip() or NOTHING)
            source.numbers[line] = (int(bracketed[1]), len(bracketed[1]))
        elif bare:
            message = "this question has no text"
            hint = "write the question on the same line, after its number"
            place = source.place(line, 1, len(bare[0].rstrip()))
            problems.error(place, message, hint, code="question-empty")
            working[index] = MARKER + NOTHING
            source.numbers[line] = (int(bare[1]), len(bare[1]))
        elif marked:
            _take_question(source, working, index, marked, problems)
        elif (glued := _GLUED.match(row)) and not _interrupts(working, index):
            message = f"a question needs a blank after ‘{glued[1]}.’"
            hint = f"write {glued[1]}. {glued[2].split()[0]} …"
            place = source.place(line, 1, len(glued[1]) + 1)
            problems.error(place, message, hint, code="question-form")
            working[index] = MARKER + glued[2]
            source.numbers[line] = (int(glued[1]), len(glued[1]))


def _take_question(
    source: Source, working: list[str], index: int, marked: re.Match[str], problems: Problems
) -> None:
    line = index + 1
    digits, rest = marked[1], marked[2].replace("\u00a0", " ")
    if len(digits) > 1 and digits[0] == "0":
        message = f"‘{digits}.’ begins with a nought"
        hint = f"write {int(digits)}."
        problems.error(source.place(line, 1, len(digits) + 1), message, hint, code="question-form")
    if _interrupts(working, index):
        problems.error(
            source.place(line, 1, len(digits) + 1),
            f"‘{digits}.’ stands right below a line of text, so it is not clear whether it "
            "begins a question",
            "put a blank line before it, or join the two lines",
            code="question-joined",
        )
        source.joined.add(line)
        working[index - 1] = ""
    mark = _BLOCK_MARK.match(rest)
    if mark:
        signs = {
            "-": "a minus sign: −5",
            "+": "a letter or digit before the plus sign",
            ">": r"it in words, or \> for the sign",
        }
        place = source.place(line, line_column(source, line, rest), len(mark[0].strip()) or 1)
        message = f"a question cannot begin with ‘{mark[0].strip()}’"
        hint = f"begin with text; write {signs.get(rest[0], 'words')}"
        problems.error(place, message, hint, code="question-start")
        rest = NOTHING
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
