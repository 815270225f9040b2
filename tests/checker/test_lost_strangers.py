"""Whose lengths are judged: one line that lost words does not make a stranger of its voice."""

from __future__ import annotations

import math

import pytest
from pausewright.checker.judge.lost_words import _paces, _Said
from pausewright.checker.limits.words import SPREADS

LIKELY_S = 2.0


def said(index: int, key: str, share: float) -> _Said:
    """Return an utterance that lasts a share of what its voice needs."""
    measured_s = share * LIKELY_S
    return _Said(
        (index,), "iris", LIKELY_S, 6.0, (0, round(44_100 * measured_s)), measured_s, 0.0, 0.0, key
    )


def voice(*cut: int) -> list[_Said]:
    """Return twelve lines, the first three said twice; those of the second time that are cut."""
    rows = [said(at, f"line {at}", 1 + 0.02 * (-1) ** at) for at in range(12)]
    return rows + [
        said(12 + at, f"line {at}", 0.6 if at in cut else rows[at].measured_s / LIKELY_S)
        for at in range(3)
    ]


def test_one_line_that_differs_is_judged_with_all_others() -> None:
    """Its other reading is as long as ever: words are missing from one of them."""
    assert _paces({"iris": voice()}, in_noise=False)["iris"] is not None
    assert _paces({"iris": voice(1)}, in_noise=False)["iris"] is not None
    only_pair = [*voice()[:12], said(12, "line 0", 0.6)]
    assert _paces({"iris": only_pair}, in_noise=False)["iris"] is not None


def test_a_reader_who_is_never_as_long_again_is_a_stranger() -> None:
    """A voice of ours says the same words again in the same time."""
    assert _paces({"iris": voice(0, 1, 2)}, in_noise=False)["iris"] is None


def straying(spread: float) -> list[_Said]:
    """Return twelve lines, half of them longer than the voice needs and half shorter."""
    return [said(at, f"line {at}", math.exp(spread * (-1) ** at)) for at in range(12)]


def test_who_strays_a_little_too_much_is_judged_by_what_he_strays() -> None:
    """The further a voice strays, the less is a short line a sign; far off it is none."""
    own, other, nobody = (
        _paces({"iris": straying(spread)}, in_noise=False)["iris"] for spread in (0.05, 0.11, 0.14)
    )
    assert own is not None
    assert own.is_own
    assert own.spread == SPREADS["iris"]
    assert other is not None
    assert not other.is_own
    assert other.spread == pytest.approx(0.11, rel=0.1)
    assert nobody is None


def test_one_line_that_is_said_twice_makes_no_stranger() -> None:
    """It would raise the spread by which all others are judged, and lost words would pass."""
    rows = voice()[:12]
    twice = [*rows[:11], said(11, "line 11", 2.0)]
    pace = _paces({"iris": twice}, in_noise=False)["iris"]

    assert pace is not None
    assert pace.is_own
    assert pace.scale == pytest.approx(0, abs=0.02)


def test_who_is_much_longer_in_many_lines_is_a_stranger() -> None:
    """Four of twelve by a half: that is nobody who said a line twice."""
    rows = voice()[:12]
    slow = [*rows[:8], *(said(at, f"line {at}", 1.5) for at in range(8, 12))]

    assert _paces({"iris": slow}, in_noise=False)["iris"] is None
