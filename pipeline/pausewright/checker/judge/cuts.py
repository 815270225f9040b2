"""Where a track was cut into pieces: in the hold of each stop, and nowhere else."""

from __future__ import annotations

from fractions import Fraction
from itertools import accumulate
from typing import TYPE_CHECKING

from pausewright.checker.limits.times import CUT_SLACK_S, LEAST_HELD, LEAST_LEAD_S
from pausewright.checker.result.findings import Finding
from pausewright.checker.result.naming import clock

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.checker.listen.listen import Heard
    from pausewright.checker.match.match import Matching
    from pausewright.checker.match.measured import MeasuredSilence

CUT_AGAIN = "build the pieces again (--split-at-stops)"


def judge_cuts(heard: Heard, matching: Matching) -> Iterator[Finding]:
    """Give what is wrong with the cuts between the pieces of a track; all times in the whole."""
    rate_hz = heard.track_format.rate_hz
    ends = list(accumulate(file.n_frames for file in heard.files))[:-1]
    names = [file.name for file in heard.files[1:]]
    holds = [s for s in matching.silences if s.expected.kind == "hold"]
    places = [_place(hold, rate_hz) for hold in holds]
    cut: set[int] = set()
    for end, name in zip(ends, names, strict=True):
        at_s = Fraction(end, rate_hz)
        inside = next(
            (n for n, p in enumerate(places) if p is not None and p[0] <= at_s <= p[1]), None
        )
        place = None if inside is None else places[inside]
        if inside is None or place is None:
            yield Finding(
                "piece-cut",
                "error",
                f"‘{name}’ begins where the test does not hold: it was not cut at a stop",
                CUT_AGAIN,
                at_s=at_s,
            )
            continue
        cut.add(inside)
        yield from _within(name, at_s, place, holds[inside])
    for n, (place, hold) in enumerate(zip(places, holds, strict=True)):
        if place is not None and n not in cut:
            yield Finding(
                "piece-cut",
                "error",
                f"no piece ends in the hold at {clock(place[0])}",
                CUT_AGAIN,
                at_s=place[0],
                place=hold.expected.place,
            )


def _place(hold: MeasuredSilence, rate_hz: int) -> tuple[Fraction, Fraction] | None:
    """Return where a hold was measured, in seconds; None if it was not."""
    if hold.at_frame is None or hold.n_frames is None:
        return None
    start_s = Fraction(hold.at_frame, rate_hz)
    return start_s, start_s + Fraction(hold.n_frames, rate_hz)


def _within(
    name: str, at_s: Fraction, place: tuple[Fraction, Fraction], hold: MeasuredSilence
) -> Iterator[Finding]:
    """Give what is wrong with a cut inside a hold."""
    held_s, lead_s = at_s - place[0], place[1] - at_s
    least_held_s = LEAST_HELD * hold.wait_s
    least_lead_s = min(LEAST_LEAD_S, hold.wait_s / 4)
    for what, measured_s, least_s in (
        (f"the hold before ‘{name}’ is too short for pressing pause", held_s, least_held_s),
        (f"‘{name}’ begins with too little silence", lead_s, least_lead_s),
    ):
        if measured_s < least_s - CUT_SLACK_S:
            yield Finding(
                "piece-cut",
                "error",
                what,
                CUT_AGAIN,
                at_s=at_s,
                place=hold.expected.place,
                expected=least_s,
                measured=measured_s,
                difference=measured_s - least_s,
                allowed=CUT_SLACK_S,
                unit="s",
            )
