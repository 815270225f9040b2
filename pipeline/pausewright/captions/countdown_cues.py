"""How much of an answer time is left, as cues: calm, and right when each of them appears."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from pausewright.plan.clock import Clock
from pausewright.plan.timeline import Wait

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.captions.caption_profiles import CaptionProfile
    from pausewright.plan.timeline import Timeline

CLOSE_S: Final = 10
"""From here on the countdown goes in its smallest steps."""
FAR_STEP_S: Final = 5
"""Before that it changes at every fifth second."""


def left_over_time(
    timeline: Timeline, index: int, wording: str, profile: CaptionProfile
) -> Iterator[tuple[int, int, str]]:
    """Give (start_ms, end_ms, text) of the countdown of one silence; none unless it is to answer.

    A cue says in whole seconds what is left when it appears and stands until the next one, the
    last one until the silence ends. The first comes with the first whole second, then one at
    every fifth second down to ten, then one a second, or as often as the profile's readers can
    read them. Both halves of an answer time with a cue between are one time.

    Parameters
    ----------
    timeline, index : the track and the place of the silence in it
    wording : with the field {time}
    profile : whose readers the steps are for
    """
    placed = timeline.placed[index]
    step = placed.step
    if not isinstance(step, Wait) or step.kind != "answer-time":
        return
    clock = Clock(timeline.rate_hz)
    later_s = _later_s(timeline, index, step)
    here_s = clock.seconds(placed.end_sample - placed.start_sample)

    def needed_s(value_s: int) -> int:
        n_words = len(wording.replace("{time}", time_left(value_s)).split())
        return math.ceil(profile.needed_s(n_words))

    values_s = _values_s(here_s + later_s, later_s, needed_s)
    end_ms = clock.milliseconds(placed.end_sample)
    ends_s = clock.seconds(placed.end_sample) + later_s
    starts_ms = [math.floor(1000 * (ends_s - value_s) + Fraction(1, 2)) for value_s in values_s]
    edges_ms = pairwise([*starts_ms, end_ms])
    for value_s, (start_ms, until_ms) in zip(values_s, edges_ms, strict=True):
        yield start_ms, until_ms, wording.replace("{time}", time_left(value_s))


def time_left(left_s: int) -> str:
    """Return whole seconds as a countdown shows them: "45 s", "1 min 30 s", "2 min"."""
    minutes, seconds = divmod(left_s, 60)
    parts = [f"{minutes} min"] * (minutes > 0) + [f"{seconds} s"] * (seconds > 0)
    return " ".join(parts)


def _later_s(timeline: Timeline, index: int, half: Wait) -> Fraction:
    """Return the other half of an answer time, if the silence is its first one."""
    for placed in timeline.placed[index + 1 :]:
        step = placed.step
        if isinstance(step, Wait):
            is_half = step.kind == half.kind and step.origin.gap == half.origin.gap > 0
            return step.wait_s if is_half else Fraction(0)
    return Fraction(0)


def _values_s(left_s: Fraction, later_s: Fraction, needed_s: Callable[[int], int]) -> Sequence[int]:
    """Return the whole seconds that are shown, each for as long as it needs to be read."""
    values_s: list[int] = []
    value_s = math.floor(left_s)
    while value_s > 0 and value_s - later_s >= needed_s(value_s):
        values_s.append(value_s)
        below_s = value_s - needed_s(value_s)
        step_s = FAR_STEP_S if below_s > CLOSE_S else needed_s(CLOSE_S)
        value_s = below_s - below_s % step_s
    return values_s
