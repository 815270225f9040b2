"""The plan of a script, against expectations written out by hand."""

from fractions import Fraction
from pathlib import Path

import pytest
from pausewright.plan.steps import steps
from pausewright.plan.timeline import Say, Wait, timeline
from support.scripts.short_scripts import HEAD, SMALL, short, worded


def _plan(folder: Path, text: str) -> list[str]:
    return [short(step) for step in steps(worded(folder, text))]


def test_a_small_script_is_planned_as_written_out_by_hand(tmp_path: Path) -> None:
    """Every word, silence and mark of a small script comes in the order of the rules."""
    assert _plan(tmp_path, SMALL) == [
        "lead-in 1/2",
        "# Opening",
        "There are two questions.",
        "default-pause 4/5",
        "# Stop 1",
        "Ask now.",
        "hold 20",
        "(continuation)",
        "default-pause 4/5",
        "The recording continues.",
        "default-pause 4/5",
        "# Test",
        "You have six seconds.",
        "default-pause 2/5",
        "Listen well.",
        "default-pause 4/5",
        "# Question 1",
        "Number one.",
        "default-pause 4/5",
        "How many boats are there?",
        "between-readings 3/2",
        "How many boats are there?",
        "answer-time 6",
        "# Question 2",
        "Number two.",
        "default-pause 4/5",
        "Two gulls and three gulls make how many?",
        "between-readings 3/2",
        "Two gulls and three gulls make how many?",
        "answer-time 5/2",
        "Turn over.",
        "page-turn-time 4",
        "# End",
        "Stop writing.",
        "pause 2",
        "Thank you.",
        "run-out 1",
    ]


PATTERN = (
    HEAD.replace(
        'announce: "Number {number}."',
        """accept-voice-language: "invented test"
patterns:
  word-sentence-word:
    - say: "Number {number}: {1}."
    - pause: 1.5 s
    - say: "{2}"
    - pause: 1.5 s
    - say: "Again: {1}."
""",
    )
    + """
# Words {pattern="word-sentence-word" answer-time="12 s"}

1. harbour

    The harbour is calm.

# End

Done.
"""
)


def test_a_pattern_replaces_readings_and_announcements(tmp_path: Path) -> None:
    """Word, sentence, word: three sayings with the author's pauses between (check value AA-21)."""
    assert _plan(tmp_path, PATTERN)[2:9] == [
        "# Question 1",
        "Number one: harbour.",
        "pause 3/2",
        "The harbour is calm.",
        "pause 3/2",
        "Again: harbour.",
        "answer-time 12",
    ]


PASSAGE = """---
title: On the quay
language: en-GB
voice: joe
tones:
  bell: {frequency: 660 Hz, length: 0.6 s}
speakers:
  Nora: {voice: joe}
  Emil: {voice: joe}
---

# Part

## Talk {.printed}

Look at questions 1 and 2. {look-time="40 s"}

::: passage {readings="3" between-readings="10 s, 20 s" answer-time="60 s" for-questions="1-2"}
[bell]{.tone}

**Nora:** Good morning.
**Emil:** Morning. [0.9 s]{.pause} Cold today.
:::

1. Who speaks first? {key="Nora"}
2. What is the weather like? {key="cold"}

# End

Done.
"""


def test_a_passage_has_readings_of_its_own(tmp_path: Path) -> None:
    """Three playings with their own two silences; printed questions take no time."""
    plan = _plan(tmp_path, PASSAGE)
    heard = [
        "(bell)",
        "default-pause 4/5",
        "Good morning.",
        "default-pause 3/5",
        "Morning.",
        "pause 9/10",
        "Cold today.",
    ]

    assert plan[1:3] == ["# Part", "Look at questions one and two."]
    assert plan[3] == "look-time 40"
    assert plan[4:] == [
        "# Questions 1–2",
        *heard,
        "between-readings 10",
        *heard,
        "between-readings 20",
        *heard,
        "answer-time 60",
        "# End",
        "Done.",
        "run-out 1",
    ]


def test_only_instructions_and_numbers_are_captioned_by_default(tmp_path: Path) -> None:
    """A caption may show instructions and question numbers, never a question."""
    shown = [
        getattr(s.element, "words", "")
        for s in steps(worded(tmp_path))
        if isinstance(s, Say) and s.captioned
    ]

    assert "Number one." in shown
    assert "There are two questions." in shown
    assert not any("gull" in words or "boats" in words for words in shown)


def test_the_timeline_has_no_holes(tmp_path: Path) -> None:
    """Steps lie end to end, and the whole is the sum of the parts."""
    planned = steps(worded(tmp_path))
    line = timeline(planned, lambda element: 1000 + len(str(element)), 44_100)

    assert [p.start_sample for p in line.placed[1:]] == [p.end_sample for p in line.placed[:-1]]
    waits = sum(p.end_sample - p.start_sample for p in line.placed if isinstance(p.step, Wait))
    declared_s = sum((s.wait_s for s in planned if isinstance(s, Wait)), Fraction(0))
    n_waits = sum(isinstance(s, Wait) for s in planned)
    assert 0 <= Fraction(waits, 44_100) - declared_s < Fraction(n_waits, 44_100)


@pytest.mark.parametrize("gap_s", [5, 10, 15])
def test_published_gap_ladder(tmp_path: Path, gap_s: int) -> None:
    """The published answer times of 5, 10 and 15 s are planned to the sample (AA-10)."""
    text = SMALL.replace("6 s", f"{gap_s} s").replace("six seconds", f"{gap_s} seconds")
    line = timeline(steps(worded(tmp_path, text)), lambda _: 100, 44_100)
    answer = next(
        p for p in line.placed if isinstance(p.step, Wait) and p.step.kind == "answer-time"
    )

    assert answer.end_sample - answer.start_sample == gap_s * 44_100
