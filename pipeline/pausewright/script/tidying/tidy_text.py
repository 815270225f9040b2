"""The one form of a script: the same meaning, written as the documentation writes it.

`tidied` writes the form, reads it again and compares: a form that would mean something else is
never given out. docs/script-language.md says what is changed and what is never touched.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.frozen import frozen
from pausewright.problems import PausewrightError, Problems, ScriptError
from pausewright.script.reader import read
from pausewright.script.source.preparing import prepare
from pausewright.script.source.tree import tree
from pausewright.script.tidying.comment_form import comment_leads, inner_lines, is_comment
from pausewright.script.tidying.layout import layout
from pausewright.script.tidying.sameness import difference
from pausewright.script.tidying.settings_form import settings_rows

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.problems import Problem
    from pausewright.script.reader import Reading
    from pausewright.script.source.source_text import Source


class MeaningError(PausewrightError):
    """The tidied text would mean something else: a fault of the program, not of the script."""

    exit_code = 70
    """As in BSD's sysexits.h: an internal software error."""


@frozen
class Tidied:
    """A script in its one form."""

    text: str
    warnings: tuple[Problem, ...]
    """What should be looked at; it does not stand in the way."""


def tidied(file: Path, text: str) -> Tidied:
    """Return a script's text in its one form; `file` tells where its includes are.

    Raises
    ------
    ScriptError
        With all problems, if the script cannot be read without an error.
    MeaningError
        If the new text, read again, does not mean the same, or would not stay as it is.
    """
    text = text.removeprefix("\ufeff")
    before = _read(file, text)
    new = canonical(file, text)
    try:
        where = difference(before, read(file, new)) or (
            "" if canonical(file, new) == new else "form"
        )
    except ScriptError:
        where = "includes"
    if where:
        raise MeaningError(
            f"tidying {file.name} would change it ({where}), so nothing was written",
            "this is a fault in Pausewright: please report it with the script, or a part of it",
        )
    return Tidied(new, before.warnings)


def _read(file: Path, text: str) -> Reading:
    reading = read(file, text)
    reading.raise_errors()
    return reading


def canonical(file: Path, text: str) -> str:
    """Return the one form of a script that reads without an error; the meaning is not compared."""
    source = prepare(file, text, Problems(), settings=True)
    head = ["---", *settings_rows(source), "---"]
    n_head = source.settings_line + source.settings_text.count("\n") + 2
    return "\n".join([*head, *_Body(source, n_head).rows()]) + "\n"


class _Body:
    """Lays out the lines below the settings."""

    def __init__(self, source: Source, n_head: int) -> None:
        self._source = source
        self._first = n_head + 1
        inner = inner_lines(source, self._first)
        self._plan = layout(source, tree(source), inner)
        self._leads = {
            line: lead
            for line, lead in self._plan.leads.items()
            if line in self._plan.notes or line not in inner | self._plan.edits.fixed
        } | comment_leads(source, self._first, self._plan.leads, inner)

    def rows(self) -> list[str]:
        """Return the lines, each with the blank lines above it."""
        out: list[str] = []
        n_blank, above = 0, 0
        for line, row in enumerate(self._plan.edits.rows(), start=1):
            if line < self._first or row is None:
                continue
            if not row.strip():
                n_blank += 1
                continue
            out += [""] * self._n_blanks(line, above, n_blank)
            out.append(self._written(line, row))
            n_blank, above = 0, line
        return out

    def _n_blanks(self, line: int, above: int, n_blank: int) -> int:
        plan = self._plan
        if not above:
            return 1
        if above in plan.opens or line in plan.closes:
            return 0
        if line in plan.notes:
            return n_blank
        if is_comment(self._source, line) or is_comment(self._source, above):
            return min(1, n_blank)
        return plan.blanks.get(line, min(1, n_blank))

    def _written(self, line: int, row: str) -> str:
        text = row.lstrip(" ")
        lead = self._leads.get(line, len(row) - len(text))
        text = self._plan.heads.get(line, text)
        for pattern, mark in self._plan.marks.get(line, ()):
            found = pattern.match(text)
            text = found.expand(mark) + text[found.end() :] if found else text
        return " " * lead + self._ended(line, text)

    def _ended(self, line: int, text: str) -> str:
        """Return a line without blanks at its end; a backslash before them stays a backslash."""
        if line + 1 in self._plan.edits.fixed:  # the blanks are part of what goes on there
            return text
        short = text.rstrip()
        n_slashes = len(short) - len(short.rstrip("\\"))
        if n_slashes % 2 and short != text and line not in self._plan.notes:
            return short + "\\"
        return short
