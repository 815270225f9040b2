"""The plan of the rarer constructs, against expectations written out by hand."""

from fractions import Fraction
from pathlib import Path

import pytest
from pausewright.plan.passage_steps import phrase_times_s
from pausewright.plan.steps import steps
from pausewright.script.model import Dictation, Question
from support.scripts.short_scripts import DONE, RULES, short, worded

HEAD = (
    """---
title: Wide
language: en-GB
voice: joe
"""
    + RULES
    + """---

# One

Begin.

"""
)


def _plan(folder: Path, text: str) -> list[str]:
    """Return the plan between "Begin." and the end, without marks."""
    plan = [short(s) for s in steps(worded(folder, HEAD + text + DONE))]
    plan = [row for row in plan if not row.startswith("# ")]
    start, end = plan.index("Begin.") + 1, plan.index("Done.")
    return plan[start:end]


BY_HAND = [
    "hold 20",
    "(continuation)",
    "default-pause 4/5",
    "The recording continues.",
    "default-pause 4/5",
]


def test_a_dictation_is_read_whole_in_phrases_and_whole(tmp_path: Path) -> None:
    """Phrase times grow evenly, each phrase is said twice, the last time gives way."""
    text = """1. The text begins. {answer-time="none" readings="1"}

    ::: dictation {between-readings="5 s, 20 s" phrase-time="4 s to 8 s" phrase-readings="2"}
    - The ferry left
    - at ten, {phrase-time="14 s"}
    - with a crate.

    - Nobody spoke.
    :::
"""
    whole = ["The ferry left at ten, with a crate.", "default-pause 4/5", "Nobody spoke."]

    assert _plan(tmp_path, text) == [
        "default-pause 4/5",
        "Number one.",
        "default-pause 4/5",
        "The text begins.",
        "default-pause 4/5",
        *whole,
        "between-readings 5",
        "The ferry left",
        "between-phrase-readings 2",
        "The ferry left",
        "phrase-time 4",
        "at ten,",
        "between-phrase-readings 2",
        "at ten,",
        "phrase-time 14",
        "with a crate.",
        "between-phrase-readings 2",
        "with a crate.",
        "phrase-time 6",
        "Nobody spoke.",
        "between-phrase-readings 2",
        "Nobody spoke.",
        "between-readings 20",
        *whole,
        "default-pause 4/5",
    ]


def test_phrase_times_grow_in_exact_fractions(tmp_path: Path) -> None:
    """4 s to 11 s over four phrases: 4, 6⅓, 8⅔ and 11 s, worked by hand."""
    bullets = "\n".join(f"    - phrase {w}" for w in ("one", "two", "three", "four"))
    text = f"""1. Now. {{answer-time="none"}}

    ::: dictation {{phrase-time="4 s to 11 s"}}
{bullets}
    :::
"""
    script = worded(tmp_path, HEAD + text + DONE).script
    question = next(b for _, _, b in script.blocks() if isinstance(b, Question))
    dictation = next(c for c in question.content if isinstance(c, Dictation))

    assert phrase_times_s(dictation) == (
        Fraction(4),
        Fraction(19, 3),
        Fraction(26, 3),
        Fraction(11),
    )


def test_sub_questions_are_asked_one_by_one(tmp_path: Path) -> None:
    """The stem once, then each part with its own readings and answer time."""
    text = """1. Listen to the bell.

    - a. How many strokes? {answer-time="4 s"}
    - b. Is it high?
"""
    assert _plan(tmp_path, text) == [
        "default-pause 4/5",
        "Number one.",
        "default-pause 4/5",
        "Listen to the bell.",
        "default-pause 4/5",
        "Number one A.",
        "default-pause 4/5",
        "How many strokes?",
        "between-readings 3",
        "How many strokes?",
        "answer-time 4",
        "Number one B.",
        "default-pause 4/5",
        "Is it high?",
        "between-readings 3",
        "Is it high?",
        "answer-time 10",
    ]


def test_an_answer_time_by_hand_is_a_stop(tmp_path: Path) -> None:
    """The invigilator ends it: hold, tone, "the recording continues"."""
    assert _plan(tmp_path, '1. Draw it. {answer-time="by hand" readings="1"}') == [
        "default-pause 4/5",
        "Number one.",
        "default-pause 4/5",
        "Draw it.",
        *BY_HAND,
    ]


def test_a_withdrawn_question_keeps_number_and_time(tmp_path: Path) -> None:
    """It is not read; its answer time stays."""
    assert _plan(tmp_path, "1. Old words. {.withdrawn}\n2. Next. {readings=1}") == [
        "default-pause 4/5",
        "Leave question one blank.",
        "answer-time 10",
        "Number two.",
        "default-pause 4/5",
        "Next.",
        "answer-time 10",
    ]


def test_again_says_earlier_questions_once_more(tmp_path: Path) -> None:
    """With a pattern, with its own answer time; withdrawn questions are left out."""
    text = """1. harbour {readings=1}
2. Old. {.withdrawn}
3. signal {readings=1}

::: again {questions="1-3" pattern="only" answer-time="2 s"}
Once more.
:::
"""
    plan = _plan(tmp_path, text)
    assert plan[plan.index("Once more.") :] == [
        "Once more.",
        "default-pause 4/5",
        "Word one: harbour.",
        "answer-time 2",
        "Word three: signal.",
        "answer-time 2",
    ]


def test_a_time_cue_splits_a_long_answer_time_in_half(tmp_path: Path) -> None:
    """Two halves whose sum is the declared time; a short one is left whole."""
    text = (
        '1. Long. {answer-time="45 s" time-cue="half" readings=1}\n'
        '2. Short. {answer-time="30 s" time-cue="half" readings=1}'
    )
    plan = _plan(tmp_path, text)
    assert plan[4:7] == ["answer-time 45/2", "Half of the time is gone.", "answer-time 45/2"]
    assert plan[-1] == "answer-time 30"


def test_a_passage_can_wait_for_a_signal_after_each_piece(tmp_path: Path) -> None:
    """Whole, in pieces each ended by the invigilator, whole (supervised readings)."""
    text = """::: passage {order="whole, pieces, whole" between-readings="5 s" answer-time="20 s"}
One boat.

Two gulls.
:::"""
    whole = ["One boat.", "default-pause 4/5", "Two gulls."]
    assert _plan(tmp_path, text) == [
        "default-pause 4/5",
        *whole,
        "between-readings 5",
        "One boat.",
        *BY_HAND,
        "Two gulls.",
        *BY_HAND,
        *whole,
        "answer-time 20",
    ]


def test_a_passage_inside_a_question_plays_in_its_place(tmp_path: Path) -> None:
    """Its own readings, within the question's one reading."""
    text = """1. Listen. {readings=1}

    ::: passage {readings=2 between-readings="4 s"}
    The bell rings.
    :::

    How often?
"""
    assert _plan(tmp_path, text) == [
        "default-pause 4/5",
        "Number one.",
        "default-pause 4/5",
        "Listen.",
        "default-pause 4/5",
        "The bell rings.",
        "between-readings 4",
        "The bell rings.",
        "default-pause 4/5",
        "How often?",
        "answer-time 10",
    ]


def test_answers_are_read_aloud_in_class_practice(tmp_path: Path) -> None:
    """After the questions, each key with its number."""
    text = (
        HEAD.replace("language: en-GB", "language: en-GB\nuse: practice")
        + '1. Two and two? {key="4 | four" readings=1}\n2. Say it. {key="Yes." readings=1}\n'
        + "\n# Answers {.answers}\n\nNow the answers."
        + DONE
    )
    plan = [short(s) for s in steps(worded(tmp_path, text))]
    start = plan.index("Now the answers.")
    assert plan[start : plan.index("# End")] == [
        "Now the answers.",
        "default-pause 4/5",
        "Number one.",
        "default-pause 2/5",
        "four.",
        "default-pause 4/5",
        "Number two.",
        "default-pause 2/5",
        "Yes.",
        "default-pause 4/5",
    ]


def test_options_are_read_with_their_letters(tmp_path: Path) -> None:
    """Each answer to choose comes after its own pause."""
    text = """1. Which? {readings=1}

    - A. a gull
    - B. ![a boat](boat.svg)
"""
    assert _plan(tmp_path, text)[3:] == [
        "Which?",
        "default-pause 1",
        "A, a gull",
        "default-pause 1",
        "B.",
        "answer-time 10",
    ]


@pytest.mark.parametrize("rest", ["{.rest}", '{.rest for="30 s"}'])
def test_a_rest_stop_is_a_stop(tmp_path: Path, rest: str) -> None:
    """Cue, hold, tone, "the recording continues"."""
    hold = "hold 30" if "30" in rest else "hold 20"
    assert _plan(tmp_path, f"::: stop {rest}\nYou may rest.\n:::") == [
        "default-pause 4/5",
        "You may rest.",
        hold,
        *BY_HAND[1:],
    ]
