"""Dictations, sub-questions, waits by hand and the other rarer kinds, as worked out by hand."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.checker.expect.contents import phrase_times_s
from pausewright.checker.expect.expect import expect
from pausewright.script.model import Dictation
from support.tracks.checker_tracks import HEAD, shape, worded

if TYPE_CHECKING:
    from pathlib import Path

BY_HAND = (
    "hold 20",
    "ToneCue",
    "paragraph-pause 0.8",
    "The recording continues.",
    "paragraph-pause 0.8",
)
"""Rule 6: what stands where an answer time is ended by hand."""
DICTATION = """\
::: dictation {ATTRIBUTES}
- The ferry left
- after ten.

- Nobody spoke.
:::
"""


def dictation(attributes: str, then: str = "The end.") -> str:
    """Return a script with a dictation at the margin, and what follows it."""
    return HEAD + "Write.\n\n" + DICTATION.replace("ATTRIBUTES", attributes) + f"\n{then}\n"


# ---- dictations ------------------------------------------------------------------------------


def test_dictation_in_its_usual_order(tmp_path: Path) -> None:
    """Whole, phrases with growing times, whole; `between-readings` replaces the last time."""
    text = dictation('between-readings="5 s, 15 s" phrase-time="4 s to 9 s" answer-time="30 s"')

    assert shape(tmp_path, text) == [
        *("lead-in 0.5", "Write.", "paragraph-pause 0.8"),
        *("The ferry left after ten.", "paragraph-pause 0.8", "Nobody spoke."),
        "between-readings 5",
        *("The ferry left", "phrase-time 4", "after ten.", "phrase-time 6.5", "Nobody spoke."),
        "between-readings 15",
        *("The ferry left after ten.", "paragraph-pause 0.8", "Nobody spoke."),
        *("answer-time 30", "The end.", "run-out 1"),
    ]


def test_dictation_that_ends_in_phrases(tmp_path: Path) -> None:
    """Each phrase is said as often as declared; the last phrase's time ends the dictation."""
    text = dictation(
        'order="phrases" phrase-time="6 s" phrase-readings="2" between-phrase-readings="1.5 s"'
    )

    twice = [
        [words, "between-phrase-readings 1.5", words, "phrase-time 6"]
        for words in ("The ferry left", "after ten.", "Nobody spoke.")
    ]
    assert shape(tmp_path, text) == [
        *("lead-in 0.5", "Write.", "paragraph-pause 0.8"),
        *(part for phrase in twice for part in phrase),
        *("The end.", "run-out 1"),
    ]


def test_answer_time_replaces_the_last_phrase_time(tmp_path: Path) -> None:
    """A dictation's own answer time stands in the place of its last phrase's time."""
    text = dictation('order="phrases" phrase-time="6 s" answer-time="12 s"')

    assert shape(tmp_path, text)[-4:] == [
        "Nobody spoke.",
        "answer-time 12",
        "The end.",
        "run-out 1",
    ]


def test_dictation_that_ends_whole(tmp_path: Path) -> None:
    """With nothing declared after it, a whole reading ends with the default pause."""
    text = dictation('order="whole" phrase-time="6 s"')

    assert shape(tmp_path, text)[-4:] == [
        *("Nobody spoke.", "paragraph-pause 0.8", "The end.", "run-out 1")
    ]


def test_dictation_in_a_question(tmp_path: Path) -> None:
    """Rule 4: inside a question a dictation is read in every reading; the answer time ends it."""
    text = (
        HEAD + '# Q {answer-time="9 s" between-paragraphs="1.2 s"}\n\n1. Write this.\n\n'
        '    ::: dictation {order="whole" phrase-time="6 s"}\n    - One cat.\n    :::\n\nThe end.\n'
    )

    reading = ("Write this.", "between-paragraphs 1.2", "One cat.")
    assert shape(tmp_path, text.replace("9 s", '9 s" readings="2')) == [
        *("lead-in 0.5", *reading, "between-readings 3", *reading),
        *("answer-time 9", "The end.", "run-out 1"),
    ]
    assert shape(tmp_path, text.replace("9 s", "none"))[-3:] == [
        *("paragraph-pause 0.8", "The end.", "run-out 1")
    ]


SEVEN = ("4", "31/6", "19/3", "15/2", "26/3", "59/6", "11")
"""4 s to 11 s over seven phrases: 4 + 7 × k / 6 seconds."""


def test_phrase_times_grow_exactly(tmp_path: Path) -> None:
    """Seven phrases from 4 s to 11 s get 4 + 7 k / 6 seconds, as exact fractions."""
    bullets = "".join(f"- word {letter}\n" for letter in "abcdefg")
    text = (
        f'{HEAD}Write.\n\n::: dictation {{phrase-time="4 s to 11 s"}}\n{bullets}:::\n\nThe end.\n'
    )
    (block,) = [b for _, _, b in worded(tmp_path, text).script.blocks() if isinstance(b, Dictation)]

    assert phrase_times_s(block) == tuple(map(Fraction, SEVEN))
    expected = expect(worded(tmp_path, text)).silences
    # between-readings replaces the last one
    assert [s.wait_s for s in expected if s.kind == "phrase-time"] == list(
        map(Fraction, SEVEN[:-1])
    )


@pytest.mark.parametrize(
    ("bullets", "times_s"),
    [
        (("a",), (4,)),
        (("a", "b"), (4, 11)),
        (("a", 'b {phrase-time="14 s"}', "c", "d"), (4, 14, "7.5", 11)),
        (('a {phrase-time="3 s"}', "b"), (3, 4)),
        (('a {phrase-time="3 s"}', 'b {phrase-time="2 s"}'), (3, 2)),
    ],
)
def test_phrases_with_times_of_their_own(
    bullets: tuple[str, ...], times_s: tuple[str | int, ...], tmp_path: Path
) -> None:
    """A phrase with its own time takes no part in the growing."""
    items = "".join(f"- {bullet}\n" for bullet in bullets)
    text = f'{HEAD}Write.\n\n::: dictation {{phrase-time="4 s to 11 s"}}\n{items}:::\n\nThe end.\n'
    (block,) = [b for _, _, b in worded(tmp_path, text).script.blocks() if isinstance(b, Dictation)]

    assert phrase_times_s(block) == tuple(Fraction(time_s) for time_s in times_s)


# ---- again -----------------------------------------------------------------------------------


AGAIN = """\
---
title: T
language: en-GB
accept-voice-language: tried
announce: "Number {number}."
patterns:
  word:
    - say: "Word {number}, {1}."
---

# Q {answer-time="5 s" readings="2" between-readings="2 s"}

1. Which is it?
2. Where is it? {.withdrawn}
3. Who is it?

::: again {ATTRIBUTES}
Once more.

Listen.
:::

The end.
"""


def test_again_as_it_was_read(tmp_path: Path) -> None:
    """Lead-in, then one reading of each question; the withdrawn one is left out."""
    found = shape(tmp_path, AGAIN.replace("ATTRIBUTES", 'questions="1-3"'))

    assert found[found.index("Once more.") :] == [
        *("Once more.", "paragraph-pause 0.8", "Listen.", "paragraph-pause 0.8"),
        *("Number one.", "announcement-pause 0.8", "Which is it?", "paragraph-pause 0.8"),
        *("Number three.", "announcement-pause 0.8", "Who is it?", "paragraph-pause 0.8"),
        *("The end.", "run-out 1"),
    ]


def test_again_by_a_pattern_with_its_own_answer_time(tmp_path: Path) -> None:
    """The block's pattern is said for each question, and its own answer time follows each."""
    text = AGAIN.replace("ATTRIBUTES", 'questions="1, 3" pattern="word" answer-time="4 s"')

    assert shape(tmp_path, text)[-10:] == [
        *("Once more.", "paragraph-pause 0.8", "Listen.", "paragraph-pause 0.8"),
        *("Word one, Which is it?", "answer-time 4", "Word three, Who is it?", "answer-time 4"),
        *("The end.", "run-out 1"),
    ]


def test_rows_of_questions_said_again(tmp_path: Path) -> None:
    """Questions said again are rows of their own."""
    text = AGAIN.replace("ATTRIBUTES", 'questions="1, 3" answer-time="4 s"')

    rows = expect(worded(tmp_path, text)).rows
    assert [(str(row.item), row.readings, row.answer_time_s) for row in rows] == [
        *(("1", 2, Fraction(5)), ("2", 1, Fraction(5)), ("3", 2, Fraction(5))),
        *(("1 again", 1, Fraction(4)), ("3 again", 1, Fraction(4))),
    ]


# ---- rule 6: waits that the invigilator ends -------------------------------------------------


def test_answer_times_by_hand(tmp_path: Path) -> None:
    """Rule 6: hold, tone and "the recording continues" after a question, passage and paragraph."""
    text = (
        HEAD + 'Look. {answer-time="by hand"}\n\n'
        '::: passage {answer-time="by hand"}\nA horn.\n:::\n\n'
        '# Q\n\n1. Draw. {answer-time="by hand"}\n\nThe end.\n'
    )

    assert shape(tmp_path, text) == [
        *("lead-in 0.5", "Look.", *BY_HAND, "A horn.", *BY_HAND, "Draw.", *BY_HAND),
        *("The end.", "run-out 1"),
    ]
    rows = expect(worded(tmp_path, text)).rows
    assert [(str(row.item), row.is_by_hand, row.answer_time_s) for row in rows] == [
        ("passage 1", True, None),
        ("1", True, None),
    ]


def test_a_stop_to_rest(tmp_path: Path) -> None:
    """Rule 6: a stop for a rest is a stop."""
    text = HEAD + 'One.\n\n::: stop {.rest for="30 s"}\nRest here.\n:::\n\nThe end.\n'

    assert shape(tmp_path, text) == [
        *("lead-in 0.5", "One.", "paragraph-pause 0.8", "Rest here.", "hold 30", "ToneCue"),
        *("paragraph-pause 0.8", "The recording continues.", "paragraph-pause 0.8"),
        *("The end.", "run-out 1"),
    ]


# ---- rule 4: kinds of questions --------------------------------------------------------------


SUBS = """\
---
title: T
language: en-GB
announce: "Number {number}."
again: "Again."
---

# Q {answer-time="7 s" readings="2" between-readings="2 s"}

1. A garden is long.

    It is wide.

    - a. What is its area? {answer-time="5 s"}
    - b. How long is the fence? {answer-time="none"}

The end.
"""


def test_sub_questions(tmp_path: Path) -> None:
    """Rule 4: the stem once, then each sub-question in readings of its own."""
    one = ("announcement-pause 0.8", "What is its area?")
    two = ("announcement-pause 0.8", "How long is the fence?")
    assert shape(tmp_path, SUBS) == [
        *("lead-in 0.5", "Number one.", "announcement-pause 0.8", "A garden is long."),
        *("between-paragraphs 0.8", "It is wide.", "paragraph-pause 0.8"),
        *("Number one A.", *one, "between-readings 2", "Again.", *one, "answer-time 5"),
        *("Number one B.", *two, "between-readings 2", "Again.", *two, "paragraph-pause 0.8"),
        *("The end.", "run-out 1"),
    ]


def test_rows_of_sub_questions(tmp_path: Path) -> None:
    """The stem and each sub-question are rows; sounds carry the label of their own."""
    expectation = expect(worded(tmp_path, SUBS))

    assert [(str(row.item), row.readings, row.answer_time_s) for row in expectation.rows] == [
        ("1", 1, None),
        ("1a", 2, 5),
        ("1b", 2, None),
    ]
    assert [str(s.question or "") for s in expectation.sounds] == [
        *["1"] * 3,
        *["1a"] * 4,
        *["1b"] * 4,
        "",
    ]


def test_a_withdrawn_question(tmp_path: Path) -> None:
    """Rule 4: its line once, whatever the readings, then its answer time."""
    text = (
        HEAD + '# Q {answer-time="6 s" readings="2"}\n\n'
        '1. What is it? {.withdrawn}\n2. Draw. {.withdrawn answer-time="by hand"}\n'
        '3. See. {.withdrawn answer-time="none"}\n\nThe end.\n'
    )

    assert shape(tmp_path, text) == [
        *("lead-in 0.5", "Leave question one blank.", "answer-time 6"),
        *("Leave question two blank.", *BY_HAND),
        *("Leave question three blank.", "paragraph-pause 0.8", "The end.", "run-out 1"),
    ]


def test_answers_read_aloud(tmp_path: Path) -> None:
    """After the part's own words, number and answer of each test question with a key."""
    text = (
        "---\ntitle: T\nlanguage: en-GB\nuse: practice\nanswer-time: 3 s\n---\n\n"
        '# Warm up {.practice}\n\n1. One? {key="1"}\n\n'
        '# Sums\n\n1. Two? {key="54 | fifty-four"}\n2. Three?\n3. Four? {key="Boat"}\n\n'
        "# Answers {.answers}\n\nHere they are.\n\n# End\n\nThe end.\n"
    )

    found = shape(tmp_path, text)
    assert found[found.index("Here they are.") :] == [
        *("Here they are.", "paragraph-pause 0.8", "Number one.", "sentence-pause 0.4"),
        *("fifty-four.", "paragraph-pause 0.8", "Number three.", "sentence-pause 0.4"),
        *("Boat.", "paragraph-pause 0.8", "The end.", "run-out 1"),
    ]


# ---- time cues -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("declared", "expected"),
    [
        ("61 s", ["answer-time 30.5", "Half of the time is gone.", "answer-time 30.5"]),
        ("30 s", ["answer-time 30"]),
        ("by hand", list(BY_HAND)),
    ],
)
def test_time_cue(declared: str, expected: list[str], tmp_path: Path) -> None:
    """A time cue: over 30 s two exact halves with the cue between; else none, and never by hand."""
    text = f'{HEAD}# Q {{time-cue="half"}}\n\n1. Draw. {{answer-time="{declared}"}}\n\nThe end.\n'

    assert shape(tmp_path, text) == ["lead-in 0.5", "Draw.", *expected, "The end.", "run-out 1"]


def test_halves_add_up_in_the_row(tmp_path: Path) -> None:
    """The row of a question with a time cue shows the declared time."""
    text = f'{HEAD}1. Draw. {{answer-time="100 s" time-cue="half"}}\n\nThe end.\n'

    expectation = expect(worded(tmp_path, text))

    assert expectation.rows[0].answer_time_s == 100
    assert [s.role for s in expectation.sounds] == ["question", "cue", "instruction"]


# ---- rule 5: passages ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("attributes", "after"),
    [
        ("", "between-paragraphs 1.2"),
        (' pause-after="4 s"', "pause 4"),
        (' answer-time="6 s"', "answer-time 6"),
    ],
)
def test_passage_in_a_question(attributes: str, after: str, tmp_path: Path) -> None:
    """Rule 5: with its own readings, look time and silence after it, in every reading."""
    text = (
        HEAD + '# Q {answer-time="9 s" readings="2" between-paragraphs="1.2 s"}\n\n'
        "1. Listen.\n\n"
        f'    ::: passage {{readings="2" between-readings="2 s" look-time="5 s"{attributes}}}\n'
        "    A horn.\n    :::\n\n    Where is it?\n\nThe end.\n"
    )

    reading = [
        *("Listen.", "look-time 5", "A horn.", "between-readings 2", "A horn.", after),
        "Where is it?",
    ]
    assert shape(tmp_path, text) == [
        *("lead-in 0.5", *reading, "between-readings 3", *reading),
        *("answer-time 9", "The end.", "run-out 1"),
    ]


def test_passage_in_pieces(tmp_path: Path) -> None:
    """Rule 5: whole readings with `between-readings` after them; each piece with a wait by hand."""
    text = (
        HEAD + "Ready.\n\n"
        '::: passage {order="whole, pieces, whole" between-readings="10 s" answer-time="30 s"}\n'
        "The path starts here.\n\nIt ends there.\n:::\n\nThe end.\n"
    )

    whole = ("The path starts here.", "between-paragraphs 0.8", "It ends there.")
    assert shape(tmp_path, text) == [
        *("lead-in 0.5", "Ready.", "paragraph-pause 0.8", *whole, "between-readings 10"),
        *("The path starts here.", *BY_HAND, "It ends there.", *BY_HAND, *whole),
        *("answer-time 30", "The end.", "run-out 1"),
    ]


def test_passage_that_ends_in_pieces(tmp_path: Path) -> None:
    """Rule 5: after pieces only what is declared follows the last wait."""
    text = HEAD + 'Ready.\n\n::: passage {order="pieces"}\nThe path starts here.\n:::\n\nThe end.\n'

    assert shape(tmp_path, text) == [
        *("lead-in 0.5", "Ready.", "paragraph-pause 0.8", "The path starts here.", *BY_HAND),
        *("The end.", "run-out 1"),
    ]
