"""Whose lengths are judged: one line that lost words does not make a stranger of its voice."""

from __future__ import annotations

from pausewright.checker.judge.lost_words import _Said, _scales

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
    assert _scales({"iris": voice()}, in_noise=False)["iris"] is not None
    assert _scales({"iris": voice(1)}, in_noise=False)["iris"] is not None
    only_pair = [*voice()[:12], said(12, "line 0", 0.6)]
    assert _scales({"iris": only_pair}, in_noise=False)["iris"] is not None


def test_a_reader_who_is_never_as_long_again_is_a_stranger() -> None:
    """A voice of ours says the same words again in the same time."""
    assert _scales({"iris": voice(0, 1, 2)}, in_noise=False)["iris"] is None
