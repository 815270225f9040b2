"""Two people who speak at once in a recording: told with the time, without an ear too.

The prompts of one speaker are Debian's `asterisk-core-sounds-en-wav` (CC-BY-SA), fetched by the
test and not shipped; the second person is the same speaker with other words, which is harder to
tell than another voice.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from recording_cases import Clips, drawn
from recording_figures import RATE_HZ, draft_of
from support.voices.outside_recordings import debian_package

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@pytest.mark.parametrize("seed", [910, 911])
def test_they_are_told_with_the_time(seed: int) -> None:
    """Another question, as loud, lies over a reading in the middle; alone nothing is told there."""
    clips = Clips(debian_package("asterisk-core-sounds-en-wav"), RATE_HZ)
    case, other = (
        drawn(clips, one, noise_dbfs=-60, is_reverberant=False, rustles=0)
        for one in (seed, seed + 500)
    )
    readings = [one for one in case.readings if one.number]
    at = readings[len(readings) // 2]
    start, end = (round(one * RATE_HZ) for one in (at.start_s, at.end_s))
    first = round([one for one in other.readings if one.number][3].start_s * RATE_HZ)
    both = case.samples.copy()
    both[start:end] += other.samples[first : first + end - start]

    def told(samples: NDArray[np.float32]) -> list[str]:
        doubts = draft_of(replace(case, samples=samples), case.paper, None).all_doubts
        ms = (1000 * at.start_s - 1000, 1000 * at.end_s + 1000)
        return [
            one.sentence for one in doubts if one.at_ms is not None and ms[0] < one.at_ms < ms[1]
        ]

    assert told(case.samples) == []
    assert told(both)
