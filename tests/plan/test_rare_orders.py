"""Orders that authors seldom write, planned by hand: parts of questions, waits by hand, `again`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.checker.expect.expect import expect
from pausewright.plan.steps import steps
from pausewright.plan.timeline import Mark, Say, Wait
from support.scripts.short_scripts import BOTH, DONE, short, worded

if TYPE_CHECKING:
    from pathlib import Path

HEAD = (
    """---
title: Rare orders
language: en-GB
answer-time: 9 s
paragraph-pause: 1.1 s
between-paragraphs: 2.2 s
between-options: 3.3 s
announce: "Number {number} of {total}."
"""
    + BOTH
    + """---

"""
)
GOES_ON = ["hold 20", "(continuation)", "default-pause 11/10", "The recording continues.",
           "default-pause 11/10"]  # fmt: skip


def planned(folder: Path, text: str, head: str = HEAD) -> list[str]:
    """Return the plan between lead-in and closing words; the check expects as many as are laid."""
    found = worded(folder, head + text + DONE)
    laid = [s for s in steps(found) if not isinstance(s, Mark)]
    expectation = expect(found)
    assert len(expectation.sounds) == sum(isinstance(s, Say) for s in laid)
    waits = [s.wait_s for s in laid if isinstance(s, Wait)]
    assert [s.wait_s for s in expectation.silences] == waits
    rows = [short(step) for step in laid]
    return rows[1:-2]


def test_a_sub_question_is_announced_with_every_field(tmp_path: Path) -> None:
    """The total of the test too; its label stands for the number."""
    text = "1. Listen.\n\n    - a. How many?\n    - b. And why?"
    assert planned(tmp_path, text) == [
        "Number one of one.", "default-pause 4/5", "Listen.", "default-pause 11/10",
        "Number one A of one.", "default-pause 4/5", "How many?", "answer-time 9",
        "Number one B of one.", "default-pause 4/5", "And why?", "answer-time 9",
    ]  # fmt: skip


def test_a_sub_question_in_practice_is_announced_as_practice(tmp_path: Path) -> None:
    """As its question is, unless its part words it."""
    rows = planned(tmp_path, "# Try {.practice}\n\n1. Listen.\n\n    - a. How many?")
    assert [row for row in rows if "ractice" in row] == [
        "Practice question one.", "Practice question one A."
    ]  # fmt: skip


def test_text_between_and_after_sub_questions_is_read(tmp_path: Path) -> None:
    """Nothing that is written is left out."""
    text = "1. Listen. {announce=none}\n\n    - a. How many?\n\n    Now think.\n\n    Well?"
    assert planned(tmp_path, text) == [
        "Listen.", "default-pause 11/10", "How many?", "answer-time 9",
        "Now think.", "default-pause 11/5", "Well?", "default-pause 11/10",
    ]  # fmt: skip


def test_after_a_wait_by_hand_its_own_pause_stands(tmp_path: Path) -> None:
    """Whatever comes next: a paragraph or an answer to choose."""
    passage = '\n\n    ::: passage {answer-time="by hand"}\n    The tide.\n    :::\n\n'
    dictation = (
        '\n\n    ::: dictation {order="whole" phrase-time="4 s" answer-time="by hand"}\n'
        "    - The tide.\n    :::\n\n"
    )
    for inside in (passage, dictation):
        text = f"1. Listen. {{announce=none}}{inside}    How high?"
        assert planned(tmp_path, text) == [
            "Listen.", "default-pause 11/5", "The tide.", *GOES_ON, "How high?", "answer-time 9",
        ]  # fmt: skip
        text = f"1. Listen. {{announce=none}}{inside}    - A. low\n    - B. high"
        assert planned(tmp_path, text) == [
            "Listen.", "default-pause 11/5", "The tide.", *GOES_ON, "A, low",
            "default-pause 33/10", "B, high", "answer-time 9",
        ]  # fmt: skip


def test_again_leaves_out_the_words_of_withdrawn_questions(tmp_path: Path) -> None:
    """A pattern that such a question could not fill is no problem."""
    text = (
        "1. signal {.withdrawn}\n2. bell\n\n    It rang.\n\n"
        '::: again {questions="1-2" pattern="both"}\n:::'
    )
    assert planned(tmp_path, text)[-4:] == ["bell.", "pause 2", "It rang.", "default-pause 11/10"]


def test_a_question_said_by_a_pattern_is_said_again_by_it(tmp_path: Path) -> None:
    """`again` without a pattern says it as it was read."""
    text = """## Words {pattern="both"}

1. bell

    It rang.

## More

::: again {questions="1"}
:::"""
    said = ["bell.", "pause 2", "It rang."]
    assert planned(tmp_path, text) == [*said, "answer-time 9", *said, "default-pause 11/10"]


def test_with_numbering_by_part_again_says_the_question_of_its_part(tmp_path: Path) -> None:
    """Not the one of another part that has the same number."""
    head = HEAD.replace("announce", "numbering: by-part\nannounce", 1)
    text = '# One\n\n1. Boats?\n\n::: again {questions="1"}\n:::\n\n# Two\n\n1. Gulls?'
    rows = planned(tmp_path, text, head)
    assert [row for row in rows if row.endswith("?")] == ["Boats?", "Boats?", "Gulls?"]


def test_announcements_count_the_readings_of_a_reading_plan(tmp_path: Path) -> None:
    """Whole or in pieces: each is a reading."""
    text = (
        '::: passage {order="whole, pieces" between-readings="4 s" '
        'announce="Reading {reading} of {readings}."}\nThe tide.\n:::'
    )
    assert planned(tmp_path, text) == [
        "Reading one of two.", "default-pause 4/5", "The tide.", "between-readings 4",
        "Reading two of two.", "default-pause 4/5", "The tide.", *GOES_ON,
    ]  # fmt: skip
