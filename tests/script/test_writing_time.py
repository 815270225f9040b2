"""Dictation phrases that are too long for the hand."""

from pathlib import Path

import pytest
from pausewright.script.reader import read

SCRIPT = """---
title: Ferry dictation
language: en-GB
voice: joe
RATE
---

# Text

1. The text begins. {answer-time="none"}

    ::: dictation {order="whole, phrases" phrase-time="TIME" phrase-readings="READINGS"}
    - one two three four five six seven eight
    :::

# End

Done.
"""


def _warnings(folder: Path, time: str, rate: str = "", readings: str = "1") -> list[str]:
    text = SCRIPT.replace("TIME", time).replace("RATE", rate).replace("READINGS", readings)
    problems = read(folder / "t.md", text.replace("\n\n---", "\n---")).problems
    assert [p for p in problems if p.severity == "error"] == []
    return [p.message for p in problems if p.code == "phrase-too-long"]


@pytest.mark.parametrize(
    ("rate", "needed"),
    [
        # published writing rates (CV-17): 20 words a minute at 15 to 16, 13 at 13; eight words
        # take 24 s and 36.9 s (DERIVED in the same table)
        ("", "about 24 s to write at 20 words"),
        ("writing-rate: 13 words/min", "about 37 s to write at 13 words"),
    ],
)
def test_eight_words_need_the_published_time(tmp_path: Path, rate: str, needed: str) -> None:
    """A shorter silence is warned of, with the sum; a longer one is not."""
    found = _warnings(tmp_path, "10 s", rate)
    assert len(found) == 1
    assert needed in found[0]
    assert "10 s are there" in found[0]
    assert _warnings(tmp_path, "37 s", rate) == []


def test_a_second_reading_gives_time_too(tmp_path: Path) -> None:
    """The silence between and the reading itself count: 20 + 2 + 8 · 60 / 140 s > 24 s."""
    assert len(_warnings(tmp_path, "20 s")) == 1
    assert _warnings(tmp_path, "20 s", readings="2") == []
