"""Chapters: the timeline's marks as places that a player can jump to."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.plan.clock import Clock
from pausewright.plan.timeline import Mark

if TYPE_CHECKING:
    from pausewright.plan.timeline import Timeline

LONGEST_MS: Final = 2**32 - 2
"""Players count a chapter's time in 32 bits; all ones means "none"."""


@frozen
class Chapter:
    """A titled stretch [start_ms, end_ms) of the track, in whole milliseconds."""

    start_ms: int
    end_ms: int
    title: str

    @property
    def shown_start(self) -> str:
        """The start as `hh:mm:ss.mmm`."""
        seconds, milliseconds = divmod(self.start_ms, 1000)
        minutes, seconds = divmod(seconds, 60)
        hours, minutes = divmod(minutes, 60)
        return f"{hours:02d}:{minutes:02d}:{seconds:02d}.{milliseconds:03d}"


def chapters(
    timeline: Timeline, start_sample: int = 0, end_sample: int | None = None
) -> tuple[Chapter, ...]:
    """Return the chapters of a track in order, each lasting to the next one's start.

    Of a stretch [start_sample, end_sample) of it: the marks in it, in time from its start.

    The start is the mark's sample, rounded to the nearest millisecond, halves up. Marks that
    fall on one millisecond (a part and its first question) become one chapter, titles joined.
    A mark at the very end marks nothing and is left out. A track without marks
    has no chapters.
    """
    clock = Clock(timeline.rate_hz)
    last_sample = timeline.n_samples if end_sample is None else end_sample
    end_ms = clock.milliseconds(last_sample - start_sample)
    starts: list[tuple[int, str]] = []
    for placed in timeline.placed:
        if not isinstance(placed.step, Mark):
            continue
        if not start_sample <= placed.start_sample < last_sample:
            continue
        start_ms = clock.milliseconds(placed.start_sample - start_sample)
        if starts and starts[-1][0] == start_ms:
            starts[-1] = (start_ms, f"{starts[-1][1]}: {placed.step.title}")
        else:
            starts.append((start_ms, placed.step.title))
    starts = [(start_ms, title) for start_ms, title in starts if start_ms < min(end_ms, LONGEST_MS)]
    ends = [*(start_ms for start_ms, _ in starts[1:]), min(end_ms, LONGEST_MS)]
    return tuple(
        Chapter(start_ms, until_ms, title)
        for (start_ms, title), until_ms in zip(starts, ends, strict=False)
    )
