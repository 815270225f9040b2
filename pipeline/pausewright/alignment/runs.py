"""Runs of speech with a longer silence before and after: readings, announcements, openings.

Which run says again what an earlier one said is told by its sound: of all runs near it the one that
it is most like, and by far.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.alignment.likeness import distance, shape_of
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from pausewright.alignment.spectrum import Spectrum
    from pausewright.alignment.speech import Sounding, Stretch

USUAL_SPLIT_MS: Final = 1000
"""A silence that parts two runs, where the lengths of the silences tell nothing."""
_LEAST_SPLIT_MS, _MOST_SPLIT_MS = 600, 2500
MOST_SPLITS: Final = 3
_CLEAR_JUMP: Final = 1.15
"""By how much the next longer silence must be longer for a border between two kinds."""
_NEAR_RUNS: Final = 5
_ALIKE: Final = 0.62
"""Of the usual distance to other runs: what is nearer says the same."""
_LEAST_SHARE: Final = 0.35
"""Of the longer one's length that the shorter one must have to be a reading of the same."""
_RUSTLE_APART_MS: Final = 300
"""No sound of a word without a voice ("s", a burst) is so far from the rest of it."""
_VOICED: Final = 0.5
_VOICED_FRAMES: Final = 3


@frozen
class Run:
    """A run of speech, or of other sound."""

    stretches: tuple[Stretch, ...]
    is_voiced: bool
    """Whether a voice is in it: without one it is a cough, a rustle, a door."""

    @property
    def start_ms(self) -> int:
        """When it begins."""
        return self.stretches[0].start_ms

    @property
    def end_ms(self) -> int:
        """When it ends."""
        return self.stretches[-1].end_ms

    @property
    def sound_ms(self) -> int:
        """How long there is sound in it."""
        return sum(one.end_ms - one.start_ms for one in self.stretches)


def splits_ms(sounding: Sounding) -> list[int]:
    """Return how long a silence may part two runs: the clearest jumps between their lengths.

    The clearest first, `MOST_SPLITS` at most; the usual one where no jump is clear.
    """
    lengths = [_LEAST_SPLIT_MS, *sorted({end - start for start, end in sounding.gaps()})]
    jumps = []
    for shorter, longer in pairwise(lengths):
        low, high = max(shorter, _LEAST_SPLIT_MS), min(longer, _MOST_SPLIT_MS)
        if high > low and high / low > _CLEAR_JUMP:
            jumps.append((high / low, round((low * high) ** 0.5)))
    jumps.sort(reverse=True)
    return [found for _, found in jumps[:MOST_SPLITS]] or [USUAL_SPLIT_MS]


def runs(sounding: Sounding, samples: NDArray[np.int16], rate_hz: int, parted_ms: int) -> list[Run]:
    """Return the runs of a recording; silences of `parted_ms` or more lie between them."""
    rows: list[list[Stretch]] = []
    for one in sounding.stretches:
        if rows and one.start_ms - rows[-1][-1].end_ms < parted_ms:
            rows[-1].append(one)
        else:
            rows.append([one])
    per_ms = rate_hz // 1000

    def voiced(row: Sequence[Stretch]) -> bool:
        wave = samples[row[0].start_ms * per_ms : row[-1].end_ms * per_ms]
        return is_voiced(wave, rate_hz)

    return [
        Run(tuple(part), voiced(part)) for row in rows for part in _without_rustles(row, voiced)
    ]


def _without_rustles(
    row: list[Stretch], voiced: Callable[[Sequence[Stretch]], bool]
) -> list[list[Stretch]]:
    """Return a run with the sounds without a voice before and after it parted from it."""
    before: list[list[Stretch]] = []
    after: list[list[Stretch]] = []
    while len(row) > 1 and _is_apart(row[0], row[1]) and not voiced(row[:1]):
        before, row = [*before, row[:1]], row[1:]
    while len(row) > 1 and _is_apart(row[-2], row[-1]) and not voiced(row[-1:]):
        after, row = [row[-1:], *after], row[:-1]
    return [*before, row, *after]


def _is_apart(one: Stretch, following: Stretch) -> bool:
    return following.start_ms - one.end_ms >= _RUSTLE_APART_MS


def is_voiced(samples: NDArray[np.int16], rate_hz: int) -> bool:
    """Return whether a voice is in it: some frames repeat 70 to 400 times a second."""
    size, hop = rate_hz * 40 // 1000, rate_hz * 20 // 1000
    if len(samples) < size:
        return False
    frames = np.lib.stride_tricks.sliding_window_view(samples, size)[::hop][:500]
    wave = frames.astype(np.float32)
    wave -= wave.mean(axis=1, keepdims=True)
    power = np.abs(np.fft.rfft(wave, 2 * size)) ** 2
    high = int(900 * 2 * size / rate_hz)
    power[:, high:] = 0
    lags = np.fft.irfft(power)
    lags /= np.maximum(lags[:, :1], 1e-9)
    first, last = rate_hz // 400, rate_hz // 70
    taper = 1 - np.arange(first, last) / size
    best = (lags[:, first:last] / taper).max(axis=1)
    loud = np.square(wave).mean(axis=1)
    # a band below 900 Hz repeats by chance too, so the low part must hold a good share of the sound
    share = power.sum(axis=1) / np.maximum(
        (np.abs(np.fft.rfft(wave, 2 * size)) ** 2).sum(axis=1), 1
    )
    voiced = (best > _VOICED) & (loud > loud.max() / 100) & (share > 0.3)
    return int(voiced.sum()) >= _VOICED_FRAMES


def repeats(
    spectrum: Spectrum,
    rows: Sequence[Run],
    active: float,
    told: Callable[[int, int], None] | None = None,
) -> list[bool]:
    """Return for each run whether it says again what the run before it says.

    Parameters
    ----------
    active : power of the speech
    told : called with runs compared and in all
    """
    shapes = [shape_of(spectrum, one.start_ms, one.end_ms, active) for one in rows]
    n = len(shapes)
    table = np.full((n, n), np.nan)
    for i in range(n):
        for j in range(max(0, i - _NEAR_RUNS), i):
            if min(len(shapes[i]), len(shapes[j])) >= 3:
                table[i, j] = table[j, i] = distance(shapes[i], shapes[j])
        if told is not None:
            told(i + 1, n)
    found = [False] * n
    for i in range(1, n):
        here = table[i, i - 1]
        others = np.concatenate([np.delete(table[i], i - 1), np.delete(table[i - 1], i)])
        others = others[np.isfinite(others)]
        # readings before this one of the same question say the same too
        usual = float(np.quantile(others, 0.6)) if len(others) else np.inf
        shorter, longer = sorted((rows[i].sound_ms, rows[i - 1].sound_ms))
        found[i] = bool(here < _ALIKE * usual) and shorter >= _LEAST_SHARE * longer
    return found
