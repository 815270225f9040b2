"""Silences at the end of a dictation, and what `again` cannot say."""

from pathlib import Path

import pytest
from pausewright.script.reader import read
from support.scripts.short_scripts import DONE

HEAD = "---\ntitle: Ends\nlanguage: en-GB\nvoice: joe\n---\n\n# Text\n\n"


def _codes(folder: Path, text: str) -> list[str]:
    problems = read(folder / "t.md", HEAD + text + DONE).problems
    return [p.code for p in problems if p.severity == "error"]


def _dictation(answer: str, attrs: str) -> str:
    return (
        f'1. The text begins. {{answer-time="{answer}"}}\n\n'
        f'    ::: dictation {{phrase-time="20 s" {attrs}}}\n    - The ferry left\n    :::\n'
    )


@pytest.mark.parametrize(
    ("answer", "attrs", "found"),
    [
        ("9 s", 'order="whole, phrases"', ["silences-adjacent"]),
        ("9 s", 'answer-time="30 s"', ["silences-adjacent"]),
        ("9 s", 'answer-time="none"', []),
        ("9 s", "", []),
        ("none", 'order="whole, phrases"', []),
        ("none", 'answer-time="30 s"', []),
    ],
)
def test_two_silences_at_the_end_of_a_dictation_are_refused(
    tmp_path: Path, answer: str, attrs: str, found: list[str]
) -> None:
    """On the recording they would be one gap, and nobody could measure either."""
    assert _codes(tmp_path, _dictation(answer, attrs)) == found


def test_a_question_with_sub_questions_cannot_be_said_again(tmp_path: Path) -> None:
    """Its parts have answer times of their own."""
    text = """1. Listen. {answer-time="9 s"}

    - a. How many?

::: again {questions="1"}
Once more.
:::
"""
    assert _codes(tmp_path, text) == ["reference"]
