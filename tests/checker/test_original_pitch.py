"""How many times higher slowed words are, though their places are known to a fraction only."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import numpy as np
import pytest
from pausewright.checker.original.pitch import pitch_share

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from pausewright.checker.original.exact_samples import Samples

RATE_HZ = 22_050
LENGTH_S = 4.0


class Wave:
    """A wave in memory, read as recordings are."""

    rate_hz = RATE_HZ

    def __init__(self, line: NDArray[np.float64]) -> None:
        """Take its samples."""
        self._line = line

    def read(self, start: int, end: int) -> NDArray[np.float64]:
        """Return [start, end), of shape (n, 1)."""
        part: NDArray[np.float64] = self._line[start:end, None]
        return part


def voice_hz(at_s: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a pitch that falls from 230 to 130 Hz with a rise in between, as a sentence's does."""
    found: NDArray[np.float64] = 230 - 25 * at_s + 18 * np.sin(2 * np.pi * 0.9 * at_s)
    return found


def said(pace: float, raised: float, late_s: float) -> tuple[Samples, int]:
    """Return a sentence of harmonics at a pace, and its length; it begins late by `late_s`."""
    length_s = LENGTH_S / pace
    at_s = np.clip((np.arange(round(length_s * RATE_HZ)) / RATE_HZ - late_s) * pace, 0, LENGTH_S)
    phase = 2 * np.pi * np.cumsum(voice_hz(at_s) * raised) / RATE_HZ
    line = np.sum([np.sin(k * phase) / k for k in range(1, 6)], axis=0) * 0.1
    return cast("Samples", Wave(line)), len(line)


@pytest.mark.parametrize("late_s", [-0.12, 0.0, 0.12])
@pytest.mark.parametrize("raised", [0.96, 0.99, 1.0, 1.01, 1.03])
def test_it_is_found_wherever_the_words_lie(raised: float, late_s: float) -> None:
    """Within half a percent; at the wrong place the fall of the voice alone is up to 3 %."""
    one, n_one = said(1.0, 1.0, 0.0)
    other, n_other = said(0.8, raised, late_s)

    assert pitch_share(one, (0, n_one), other, (0, n_other)) == pytest.approx(raised, abs=0.005)


@pytest.mark.parametrize("lost_s", [-1.0, 1.4])
@pytest.mark.parametrize("raised", [0.96, 1.0, 1.03])
def test_soft_ends_that_are_heard_longer_or_shorter_tell_nothing(
    raised: float, lost_s: float
) -> None:
    """Where the end is taken a second off, the declared pace says where each word lies."""
    one, n_one = said(1.0, 1.0, 0.0)
    other, n_other = said(0.8, raised, 0.0)
    n_heard = n_other - round(max(0, lost_s) * RATE_HZ)
    own_end = n_one + round(min(0, lost_s) * RATE_HZ)
    found = pitch_share(one, (0, own_end), other, (0, n_heard), 1.25)

    assert found == pytest.approx(raised, abs=0.005)
