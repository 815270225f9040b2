"""Do chapters agree with the sound? They lie in a silence, or where a sound begins."""

from __future__ import annotations

import bisect
from typing import TYPE_CHECKING

from pausewright.checker.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.checker.tags import TrackTags

SLACK_S = 0.1
"""How far inside a sound a chapter may start: its edges are soft, and its time is rounded."""


def judge_chapters(
    tags: TrackTags, stretches: Sequence[tuple[int, int]], rate_hz: int
) -> Iterator[Finding]:
    """Yield a finding for the first chapter that starts in the middle of a sound."""
    starts = [start for start, _ in stretches]
    for chapter in tags.chapters:
        at = float(chapter.start_s) * rate_hz
        i = bisect.bisect_right(starts, at) - 1
        if i < 0:
            continue
        start, end = stretches[i]
        if start + SLACK_S * rate_hz < at < end - SLACK_S * rate_hz:
            yield Finding(
                "chapter-off",
                "error",
                "a chapter starts in the middle of a sound: whoever jumps there hears half of it",
                "build the track again",
                at_s=chapter.start_s,
            )
            return
