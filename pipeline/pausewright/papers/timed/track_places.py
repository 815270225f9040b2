"""Everything on a track, end to end, without a word of it: what a stop at any place falls into."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.plan.timeline import Mark, Say
from pausewright.records.shapes import RunningPlace

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.plan.timeline import Timeline
    from pausewright.wording.line_elements import SoundElement


def places_of(
    timeline: Timeline, take_of: Callable[[SoundElement], str] = lambda _: ""
) -> tuple[RunningPlace, ...]:
    """Return what is said and waited for, in order of time, without holes.

    `take_of` gives the mark of a sound as it is laid, "" where that is not known.
    """
    return tuple(
        RunningPlace(
            one.step.role if isinstance(one.step, Say) else one.step.kind,
            one.end_sample - one.start_sample,
            "" if one.step.question is None else str(one.step.question),
            one.step.reading,
            take_of(one.step.element) if isinstance(one.step, Say) else "",
        )
        for one in timeline.placed
        if not isinstance(one.step, Mark)
    )
