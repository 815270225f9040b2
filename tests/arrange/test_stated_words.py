"""Stated values in other words: true, near, and in the author's manner."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pausewright.arrange.statement_words import count_words, duration_words, ordinal_words
from pausewright.script import numbers_in_words

F = Fraction


@pytest.mark.parametrize(
    ("like", "value", "words"),
    [
        ("six seconds", F(15, 2), "seven and a half seconds"),
        ("five seconds", F(25, 4), "six and a quarter seconds"),
        ("fifteen seconds", F(75, 4), "eighteen and three quarters seconds"),
        ("Six seconds", F(9), "Nine seconds"),
        ("6 s", F(15, 2), "7½ s"),
        ("6 seconds", F(25, 4), "6¼ seconds"),
        ("twelve seconds", F(12) * F(4, 3), "sixteen seconds"),
        ("ten seconds", F(100, 7), "fourteen seconds"),
        ("a minute", F(75), "one minute and fifteen seconds"),
        ("one minute", F(90), "one minute and thirty seconds"),
        ("two minutes", F(150), "two and a half minutes"),
        ("five minutes", F(375), "six and a quarter minutes"),
        ("ninety seconds", F(225, 2), "one minute and fifty-two seconds"),
        ("a six-second", F(15, 2), "seven-and-a-half-second"),
        ("30 min", F(2250), "37½ min"),
        ("30 seconds", F(130), "2 minutes and 10 seconds"),
        ("half a second", F(3, 4), "three quarters of a second"),
        ("half a second", F(1, 1000), None),
    ],
)
def test_times(like: str, value: Fraction, words: str | None) -> None:
    """A time keeps its unit and manner, and is cut, never rounded up."""
    assert duration_words(like, value, british=True) == words


@settings(deadline=None)
@given(st.fractions(min_value=F(1), max_value=F(7200), max_denominator=1000), st.booleans())
def test_a_stated_time_is_never_longer_and_at_most_a_tenth_shorter(
    value: Fraction,
    in_minutes: bool,  # noqa: FBT001
) -> None:
    """For every time from a second to two hours there are words, and they are true."""
    words = duration_words("two minutes" if in_minutes else "six seconds", value, british=True)

    assert words is not None
    told = numbers_in_words.duration_s(words)
    assert told is not None
    assert F(9, 10) * value <= told <= value


@pytest.mark.parametrize(
    ("like", "value", "words"),
    [
        ("twice", 3, "three times"),
        ("once", 2, "twice"),
        ("Twice", 3, "Three times"),
        ("two times", 3, "three times"),
        ("2 times", 3, "3 times"),
        ("two", 3, "three"),
        ("twenty-four", 18, "eighteen"),
        ("24", 18, "18"),
    ],
)
def test_counts(like: str, value: int, words: str) -> None:
    """A count keeps its manner."""
    assert count_words(like, value, british=True) == words


@pytest.mark.parametrize(
    ("like", "value", "words"),
    [("second", 3, "third"), ("2nd", 3, "3rd"), ("Second", 4, "Fourth"), ("2", 3, "3")],
)
def test_ordinals(like: str, value: int, words: str) -> None:
    """An ordinal keeps its manner."""
    assert ordinal_words(like, value) == words


def test_every_count_of_readings_reads_back() -> None:
    """What is written is read as the same number, for all readings there can be."""
    for value in range(1, 10):
        assert numbers_in_words.times(count_words("twice", value, british=True) or "") == value
        assert numbers_in_words.ordinal(ordinal_words("second", value) or "") == value
