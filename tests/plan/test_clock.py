"""The builder's clock."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pausewright.plan.clock import Clock, ClockError, shown_seconds
from pausewright.plan.extra_time import percent, seconds


@given(st.fractions(min_value=0, max_value=100_000), st.sampled_from([16_000, 22_050, 44_100]))
def test_samples_are_never_short_and_less_than_one_too_long(wait_s: Fraction, rate_hz: int) -> None:
    """A wait is never shorter than declared and less than one sample longer."""
    over_s = Fraction(Clock(rate_hz).samples(wait_s), rate_hz) - wait_s

    assert 0 <= over_s < Fraction(1, rate_hz)


@pytest.mark.parametrize(
    ("wait_s", "n_samples"),
    [
        # worked by hand: AA-03 of the published gap ladder 5, 10, 15 s and the same + 25 %
        (Fraction(5), 220_500),
        (Fraction(10), 441_000),
        (Fraction(15), 661_500),
        (Fraction(25, 4), 275_625),
        (Fraction(25, 2), 551_250),
        (Fraction(75, 4), 826_875),
        (Fraction(1, 3), 14_700),
        (Fraction(57, 100), 25_137),
    ],
)
def test_worked_examples_at_44100_hz(wait_s: Fraction, n_samples: int) -> None:
    """Hand-worked sample counts come out, quarter seconds whole."""
    assert Clock(44_100).samples(wait_s) == n_samples


def test_a_negative_wait_is_refused() -> None:
    """There is no silence of less than nothing."""
    with pytest.raises(ClockError, match="cannot be negative: -1 s"):
        Clock(44_100).samples(Fraction(-1))


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("25/4", "6.25"),
        ("300/49", "6.122"),
        ("20/3", "6.667"),
        ("1/80000", "0.0000125"),
        ("7", "7"),
    ],
)
def test_people_are_shown_no_fractions(value: str, text: str) -> None:
    """A time whose decimal does not end is shown to the nearest thousandth, never as 300/49."""
    assert shown_seconds(Fraction(value)) == text
    assert seconds(Fraction(value)) == f"{text} s"
    assert "/" not in percent(Fraction(value))
