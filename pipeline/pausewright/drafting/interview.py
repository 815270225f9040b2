"""A script to begin with, from answers to a few questions about the test."""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Final

from pausewright.drafting.paper_script import Manner, settings_rows
from pausewright.frozen import frozen
from pausewright.problems import OutputError
from pausewright.script.attributes.values import ValueProblem, duration_s
from pausewright.script.written_words import one_blank, written
from pausewright.wording.numbers import cardinal

if TYPE_CHECKING:
    from collections.abc import Iterator

MOST_QUESTIONS: Final = 300
MOST_GROUPS: Final = 40


@frozen
class Group:
    """Questions under one heading."""

    title: str
    n_questions: int
    answer_time: str = ""
    """ "": that of the test."""


@frozen
class Interview:
    """What was answered."""

    manner: Manner
    groups: tuple[Group, ...] = field(default_factory=tuple)
    n_practice: int = 0
    stop_at_start: bool = True
    stop_between: bool = False
    """A stop between groups, for questions from the room."""
    turn_between: bool = False
    """The sheet is turned between groups."""


def script_of_interview(asked: Interview) -> str:
    """Return the script: with places for the words of each question.

    Raises
    ------
    OutputError
        If there is no question, there are too many, or a time cannot be read.
    """
    n = sum(one.n_questions for one in asked.groups)
    if not 0 < n <= MOST_QUESTIONS or len(asked.groups) > MOST_GROUPS:
        raise OutputError(
            f"a test has 1 to {MOST_QUESTIONS} questions in at most {MOST_GROUPS} groups",
            "change the numbers",
        )
    manner = asked.manner
    for time in (manner.answer_time, manner.between, *(one.answer_time for one in asked.groups)):
        if time:
            _refuse_no_time(time)
    rows = [*settings_rows(manner), *_opening(asked, n)]
    if asked.n_practice:
        rows += ["# Practice {.practice}", ""]
        rows += [
            f"{one}. Practice question {one}: write it here."
            for one in range(1, asked.n_practice + 1)
        ]
        rows.append("")
    rows += ["# Test", ""]
    number = 0
    for index, group in enumerate(asked.groups):
        if index:
            rows += _between(asked)
        number = _group(rows, asked, group, number)
    rows += ["# Close", "", "The test is over."]
    return "\n".join(rows) + "\n"


def _group(rows: list[str], asked: Interview, group: Group, number: int) -> int:
    """Add a group's lines; return the number of its last question."""
    title = one_blank(group.title).replace("\n", " ")
    own = group.answer_time and group.answer_time != asked.manner.answer_time
    if title or own:
        time = f' {{answer-time="{group.answer_time}"}}' if own else ""
        rows += [f"## {written(title or 'Questions', begins_line=False)}{time}", ""]
    last = number + group.n_questions
    rows += [f"{one}. Question {one}: write it here." for one in range(number + 1, last + 1)]
    rows.append("")
    return last


def _opening(asked: Interview, n: int) -> Iterator[str]:
    """Give the instructions at the beginning, which are compared with what is in force."""
    times = {1: "once", 2: "twice"}.get(
        asked.manner.readings, f"{cardinal(asked.manner.readings)} times"
    )
    noun = "question" if n == 1 else "questions"
    verb = "is" if n == 1 else "are"
    yield from ("# Opening", "")
    yield f'There {verb} [{cardinal(n)}]{{states="questions"}} {noun}.'
    yield f'You will hear {"it" if n == 1 else "each of them"} [{times}]{{states="readings"}}.'
    yield ""
    if asked.stop_at_start:
        yield from ("::: stop", "If you have a question, ask now.", ":::", "")


def _between(asked: Interview) -> list[str]:
    rows = []
    if asked.turn_between:
        rows += ["::: page-turn", "Turn your sheet over.", ":::", ""]
    if asked.stop_between:
        rows += ["::: stop", "Ask now if anything is not clear.", ":::", ""]
    return rows


def _refuse_no_time(text: str) -> None:
    try:
        duration_s(text)
    except ValueProblem as why:
        raise OutputError(why.message, why.hint) from why
