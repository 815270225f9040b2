"""Short scripts as text, and how to read them, for tests of any package."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.plan.timeline import Mark, Wait
from pausewright.script.reader import read
from pausewright.wording.worded import Worded

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.plan.timeline import Step

HEAD = """---
title: Harbour morning
language: en-GB
voice: joe
readings: 2
between-readings: 1.5 s
announce: "Number {number}."
---
"""

BOTH = """patterns:
  both:
    - say: "{1}."
    - pause: 2 s
    - say: "{2}"
"""
"""A pattern of both parts of a question, with a pause between them, for a head."""

RULES = """readings: 2
between-readings: 3 s
announce: "Number {number}."
answer-time: 10 s
patterns:
  only:
    - say: "Word {number}: {1}."
"""
"""Settings for questions of all kinds, for a head: readings, times, a pattern."""

DONE = "\n\n# End\n\nDone.\n"
"""Ends a test."""

SMALL = (
    HEAD
    + """
# Opening

There are [two]{states="questions"} questions.

::: stop {for="20 s"}
Ask now.
:::

# Test

## First {answer-time="6 s"}

You have [six seconds]{states="answer-time"}. Listen well.

1. How many boats are there? {key="ZEBRAFISH"}

## Second {answer-time="2.5 s"}

2. Two gulls and three gulls make how many? {sheet="gulls"}

    ::: key
    QUOKKA
    :::

::: page-turn {for="4 s"}
Turn over.
:::

# End

Stop writing. [2 s]{.pause} Thank you.
"""
)


def worded(folder: Path, text: str = SMALL) -> Worded:
    """Write a script into a folder, read and word it; it must be free of errors."""
    file = folder / "test.md"
    file.write_text(text, encoding="utf-8")
    reading = read(file)
    found = Worded(reading.script)
    errors = [p for p in (*reading.problems, *found.problems.all) if p.severity == "error"]
    assert errors == []
    return found


def short(step: Step) -> str:
    """Return a step as one short row for hand-written plans."""
    if isinstance(step, Mark):
        return f"# {step.title}"
    if isinstance(step, Wait):
        return f"{step.kind} {step.wait_s}"
    return getattr(step.element, "words", None) or f"({getattr(step.element, 'name', 'sound')})"
