"""Cases in Markdown files: title, `.`, script, `.`, expected problems, `.`; and how to run them.

A script that does not begin with `---` is a body: it gets five lines of settings before it, so
its first line is line 6 of the file, and a spoken sentence after it.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pausewright.script.reader import Reading, read
from pausewright.shown_text import shown_problem
from pausewright.wording.worded import Worded

from support.places import CASES

FILE = Path("test.md")

HEAD = """---
title: Harbour
language: en-GB
answer-time: 5 s
---
"""
TAIL = "\n\nThe end.\n"


@dataclass(frozen=True)
class Case:
    """One case of a case file."""

    title: str
    script: str
    expected: str
    line: int


def cases(name: str) -> list[Case]:
    """Return the cases of `tests/cases/NAME`."""
    rows = (CASES / name).read_text(encoding="utf-8").split("\n")
    marks = [i for i, row in enumerate(rows) if row == "."]
    found: list[Case] = []
    for first, second, third in zip(marks[::3], marks[1::3], marks[2::3], strict=True):
        title = next(row for row in reversed(rows[:first]) if row.strip())
        found.append(
            Case(
                title.strip("# "),
                "\n".join(rows[first + 1 : second]),
                "\n".join(rows[second + 1 : third]).strip("\n"),
                first,
            )
        )
    return found


def whole(script: str) -> str:
    """Return the text of the file that a case means."""
    return script if script.startswith("---") else HEAD + script + TAIL


def reading(script: str, file: Path = FILE) -> Reading:
    """Read a case."""
    return read(file, whole(script))


def problems_text(script: str, file: Path = FILE) -> str:
    """Return every problem of a case as it is printed, those of the wording after the reader's."""
    text = whole(script)
    found = read(file, text)
    problems = list(found.problems)
    if not any(p.severity == "error" for p in problems):
        problems += Worded(found.script).problems.all
    return "\n".join(shown_problem(p, {file: text.split("\n")}, file.parent) for p in problems)
