"""Gaps of a recording in a version: all that lies in them is there, sample for sample."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.checker.limits.recording import FOUND_LIKENESS, LOST_S
from pausewright.checker.original.gap_targets import is_slowed
from pausewright.checker.original.locating import best_place
from pausewright.checker.result.findings import BUILD, Finding
from pausewright.checker.result.naming import where_of
from pausewright.script.silences import silence_name

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.checker.match.measured import Frames
    from pausewright.checker.original.gap_targets import OwnGap
    from pausewright.checker.original.sides import Sides

_BLOCK: Final = 1 << 16


def gaps_kept(sides: Sides, spans: Sequence[Frames | None]) -> Iterator[Finding]:
    """Find gaps of which less is left than everything but what lies close to slowed speech.

    Where one is made longer all its samples are there, on both sides of what was put in.
    """
    sounds = sides.expected.sounds
    for i, target in enumerate(sides.targets):
        span_before = spans[i - 1] if i else (0, 0)
        span_after = spans[i] if i < len(spans) else (sides.track.n_frames,) * 2
        own = target.own
        if own is None or span_before is None or span_after is None or not sides.is_exact:
            continue
        beside = [i > 0 and is_slowed(sounds[i - 1]), i < len(spans) and is_slowed(sounds[i])]
        is_longer = target.wait_s * sides.rate_hz > own.end - own.start
        if not target.is_joined or not (any(beside) or is_longer):
            continue
        gap = span_before[1], span_after[0]
        n_left, n_right = _common(
            sides, own, gap, is_slowed_before=beside[0], is_slowed_after=beside[1]
        )
        n_own = own.end - own.start
        lost = sum(beside) * int(LOST_S * sides.rate_hz) + own.doubt
        sides.same.extend([(gap[0], gap[0] + n_left), (gap[1] - n_right, gap[1])])
        if n_left + n_right < min(n_own, gap[1] - gap[0]) - lost:
            silence = sides.expected.silences[i]
            yield Finding(
                "recording-changed",
                "error",
                f"of the {silence_name(silence.kind)}{where_of(silence)} in the recording not "
                "everything is left",
                BUILD,
                at_s=Fraction(gap[0], sides.rate_hz),
                question=silence.question,
                place=silence.place,
                expected=Fraction(n_own, sides.rate_hz),
                measured=Fraction(n_left + n_right, sides.rate_hz),
                unit="s",
            )


def _common(
    sides: Sides, own: OwnGap, gap: Frames, *, is_slowed_before: bool, is_slowed_after: bool
) -> tuple[int, int]:
    """Return how many frames of a gap are the recording's, from its left and from its right.

    Beside slowed speech the edge of the gap is only nearly known: the place is looked for.
    """
    slack = int(LOST_S * sides.rate_hz)
    probe = min(slack, (own.end - own.start) // 4)
    left: int | None = own.start - gap[0]
    right: int | None = own.end - gap[1]
    if is_slowed_before:
        first = own.start + slack
        left = _shift(sides, first, probe, first - (own.start - gap[0]))
    if is_slowed_after:
        first = own.end - slack - probe
        right = _shift(sides, first, probe, first - (own.end - gap[1]))
    n_left = n_right = 0
    if left is not None:
        start = own.start + (slack if is_slowed_before else 0)
        n_left = _run(sides, start, min(own.end, gap[1] + left), left)
    if right is not None:
        end = own.end - (slack if is_slowed_after else 0)
        n_right = _run(sides, end, max(own.start, gap[0] + right), right)
    return n_left, n_right


def _shift(sides: Sides, first: int, n: int, about: int) -> int | None:
    """Return recording frame less track frame for a piece of the recording near a place."""
    own = sides.original.samples.read(first, first + n)
    reach = int(LOST_S * sides.rate_hz)
    there = sides.track.read(about - reach, about + n + reach)
    if not own.any():
        return first - about
    at, likeness = best_place(there[:, 0], own[:, 0], reach)
    return first - (about - reach + at) if likeness > FOUND_LIKENESS else None


def _run(sides: Sides, start: int, end: int, shift: int) -> int:
    """Return how many frames of the recording, from `start` towards `end`, the track has."""
    step = 1 if end >= start else -1
    n = 0
    while n < abs(end - start):
        size = min(_BLOCK, abs(end - start) - n)
        first = start + n if step > 0 else start - n - size
        own = sides.original.samples.read(first, first + size)
        there = sides.track.read(first - shift, first - shift + size)
        wrong = np.flatnonzero((own != there).any(axis=1))
        if len(wrong):
            return n + (int(wrong[0]) if step > 0 else size - 1 - int(wrong[-1]))
        n += size
    return n
