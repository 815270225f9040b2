"""The words that differ are as many as jiwer counts (word error rate, a library of others)."""

from __future__ import annotations

import random

import jiwer
import pytest
from pausewright.checker.ear.compare import compare
from pausewright.checker.ear.spoken import Slot

WORDS = ("three", "eight", "twelve", "forty", "ninety", "zero", "seven")
"""Each costs 1 if it is lost, too much or another; so does jiwer's."""


def slots(words: list[str]) -> tuple[Slot, ...]:
    """Return words of one reading each."""
    return tuple(Slot(((word,),)) for word in words)


@pytest.mark.parametrize("seed", range(40))
def test_as_many_words_differ(seed: int) -> None:
    """Rows of figures with words dropped, put in and exchanged at random places."""
    draw = random.Random(seed)  # noqa: S311  no secret
    said = [draw.choice(WORDS) for _ in range(draw.randint(1, 14))]
    heard = list(said)
    for _ in range(draw.randint(0, 6)):
        at = draw.randint(0, len(heard))
        heard[at : at + draw.randint(0, 2)] = [
            draw.choice(WORDS) for _ in range(draw.randint(0, 2))
        ]
    found = compare(slots(said), slots(heard))
    counted = jiwer.process_words(" ".join(said), " ".join(heard) or " ")

    n_differ = counted.substitutions + counted.deletions + counted.insertions
    assert found.cost == n_differ
    assert sum(not step.is_same for step in found.steps) == n_differ
