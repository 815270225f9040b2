"""Two declared silences side by side are refused wherever they stand; nothing else is."""

from pathlib import Path

import pytest
from pausewright.script.reader import read
from pausewright.wording.worded import Worded
from support.scripts.short_scripts import BOTH, DONE

HEAD = (
    """---
title: Neighbours
language: en-GB
answer-time: 9 s
"""
    + BOTH
    + """---

# Text

"""
)

PHRASES = "    - The ferry left.\n    :::"
LOOKING = '::: passage {look-time="4 s"}\nThe tide.\n:::'


def errors(folder: Path, text: str, head: str = HEAD) -> list[str]:
    """Return the codes of a script's errors, in file order."""
    reading = read(folder / "t.md", head + text + DONE)
    found = (*reading.problems, *Worded(reading.script).problems.all)
    return [p.code for p in found if p.severity == "error"]


BESIDE = {
    "passage's answer time, question's answer time": (
        '1. Listen.\n\n    ::: passage {answer-time="4 s"}\n    The tide.\n    :::'
    ),
    "passage's pause, between readings": (
        '1. Listen. {readings="2" answer-time="none"}\n\n'
        '    ::: passage {pause-after="1 s"}\n    The tide.\n    :::'
    ),
    "turn's pause, question's answer time": (
        '1. Listen.\n\n    ::: passage\n    The tide. {pause-after="1 s"}\n    :::'
    ),
    "paragraph's pause, look time inside a question": (
        '1. Listen.\n\n    Look. {pause-after="1 s"}\n\n'
        '    ::: passage {look-time="4 s"}\n    The tide.\n    :::\n\n    How high?'
    ),
    "phrase time, between the question's readings": (
        '1. Write. {readings="2" answer-time="none"}\n\n'
        f'    ::: dictation {{order="phrases" phrase-time="4 s"}}\n{PHRASES}'
    ),
    "phrase time, the question's wait by hand": (
        '1. Write. {answer-time="by hand"}\n\n'
        f'    ::: dictation {{order="phrases" phrase-time="4 s"}}\n{PHRASES}'
    ),
    "phrase time, look time": (
        '1. Write. {answer-time="none"}\n\n'
        f'    ::: dictation {{order="phrases" phrase-time="4 s"}}\n{PHRASES}\n\n{LOOKING}'
    ),
    "a sub-question's last pause, its answer time": (
        '1. Listen.\n\n    - a. How many?\n\n        And why? {pause-after="1 s"}'
    ),
    "a sub-question's answer time, look time": f"1. Listen.\n\n    - a. How many?\n\n{LOOKING}",
    "answer time of `again`, look time": (
        f'1. How many?\n\n::: again {{questions="1" answer-time="2 s"}}\n:::\n\n{LOOKING}'
    ),
    "end of what is said again, answer time of `again`": (
        '1. Write. {answer-time="none"}\n\n'
        f'    ::: dictation {{order="phrases" phrase-time="4 s"}}\n{PHRASES}\n\n'
        'Once more.\n\n::: again {questions="1" answer-time="2 s"}\n:::'
    ),
    "turn's pause, the wait after a piece": (
        '::: passage {order="pieces"}\nThe tide. {pause-after="1 s"}\n\nThe boat.\n:::'
    ),
    "a sound's pause in a phrase": (
        '1. Write.\n\n    ::: dictation {phrase-time="4 s"}\n'
        '    - The ferry left. ![Bell](bell.wav){pause-after="1 s"}\n    :::'
    ),
    "a sound's pause, the end of a pattern": (
        '1. signal {pattern="both"}\n\n    It rang. ![Bell](bell.wav){pause-after="1 s"}\n\n'
        "    Not said."
    ),
}


@pytest.mark.parametrize("text", BESIDE.values(), ids=BESIDE.keys())
def test_silences_side_by_side_are_one_problem(tmp_path: Path, text: str) -> None:
    """On the recording they would be one gap."""
    assert errors(tmp_path, text) == ["silences-adjacent"]


APART = {
    "by hand, then a look time: a sentence is between them": (
        f'1. How many? {{answer-time="by hand"}}\n\n{LOOKING}'
    ),
    "a paragraph that is ended by hand, then a look time": (
        f'Write. {{answer-time="by hand"}}\n\n{LOOKING}'
    ),
    "a dictation that ends whole, then a look time": (
        '1. Write. {answer-time="none"}\n\n'
        f'    ::: dictation {{phrase-time="4 s"}}\n{PHRASES}\n\n{LOOKING}'
    ),
    "a dictation that is ended by hand, then an answer time": (
        '1. Write.\n\n    ::: dictation {phrase-time="4 s" answer-time="by hand"}\n' + PHRASES
    ),
    "a passage's pause where the question has no silence": (
        '1. Listen. {answer-time="none"}\n\n    ::: passage {pause-after="1 s"}\n    The tide.\n'
        "    :::"
    ),
    "a pause inside the text of a pattern": (
        '1. signal {pattern="both"}\n\n    ![Bell](bell.wav){pause-after="1 s"} It rang.'
    ),
}


@pytest.mark.parametrize("text", APART.values(), ids=APART.keys())
def test_silences_with_a_sound_between_them_are_allowed(tmp_path: Path, text: str) -> None:
    """What ends in words or has no silence of its own is no neighbour."""
    assert errors(tmp_path, text) == []


DICTATED = '1. Write. {answer-time="none"}\n\n    ::: dictation'
THREE_BETWEEN = 'phrase-time="4 s" between-readings="2 s, 3 s, 4 s"'
HEARD_TWICE = """1. Write. {answer-time="4 s"}

    ::: passage {readings="2" between-readings="2 s, 3 s"}"""
REFUSED = {
    "a sub-question without answer time": (
        "1. Listen.\n\n    - a. How many?",
        "answer-time-missing",
    ),
    "a list that does not suit the order": (
        f"{DICTATED} {{{THREE_BETWEEN}}}\n{PHRASES}",
        "between-readings-count",
    ),
    "a list in a passage inside a question": (
        f"{HEARD_TWICE}\n    The tide.\n    :::\n\n    How high?",
        "between-readings-count",
    ),
    "sub-questions under a pattern": (
        '1. signal {answer-time="4 s" pattern="both"}\n\n    It rang.\n\n    - a. How often?',
        "pattern-content",
    ),
    "sub-questions in a sub-question": (
        '1. Listen. {answer-time="4 s"}\n\n    - a. How many?\n\n        - a. And why?',
        "sub-question-nested",
    ),
    "a later question said again": (
        '::: again {questions="1"}\n:::\n\n1. How many? {answer-time="4 s"}',
        "reference",
    ),
    "a sound's pause that is none": (
        '![Bell](bell.wav){pause-after="0 s"} It rang.', "value-unreadable",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("text", "code"), REFUSED.values(), ids=REFUSED.keys())
def test_what_would_be_lost_or_wrong_is_refused(tmp_path: Path, text: str, code: str) -> None:
    """Nothing that is written is left out in silence, and no silence is guessed."""
    head = HEAD.replace("answer-time: 9 s\n", "")
    assert errors(tmp_path, text, head) == [code]


BY_PART = (
    HEAD.replace("answer-time", "numbering: by-part\nanswer-time")
    + '1. How many boats?\n\n::: again {questions="1"}\n:::\n\n# Next\n\n'
)


def test_numbers_mean_the_questions_of_their_part(tmp_path: Path) -> None:
    """With `numbering: by-part`, `again` and `for-questions` look no further than the part."""
    assert errors(tmp_path, "1. How many gulls?", BY_PART) == []
    beyond = '::: passage {for-questions="2"}\nThe tide.\n:::\n\n1. How many gulls?'
    assert errors(tmp_path, beyond, BY_PART) == ["reference"]


@pytest.mark.parametrize(
    ("head", "text", "expected"),
    [
        ("answer-time: 9 secs\n", "1. Two?\n2. Three?", ["setting-value"]),
        ("", '# A {answer-time="7 sx"}\n\n1. Two?\n\n# B\n\n2. Three?\n',
         ["value-unreadable", "answer-time-missing"]),
        ("", '1. Two? {answer-time="5"}\n2. Three?', ["value-unreadable", "answer-time-missing"]),
    ],
    ids=["of all", "of a part", "of a question"],
)  # fmt: skip
def test_an_answer_time_that_cannot_be_read_is_told_once(
    tmp_path: Path, head: str, text: str, expected: list[str]
) -> None:
    """Not again at each question that it was meant for; at another that has none it is told."""
    whole = HEAD.replace("answer-time: 9 s\n", head)
    assert errors(tmp_path, text, whole) == expected
