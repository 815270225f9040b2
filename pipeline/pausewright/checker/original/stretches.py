"""Where the stretches that a script names sound in its recording, by the check's own ears."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.checker.limits.recording import (
    ABOVE_NOISE_DB,
    DOUBT_DB,
    HEARD_BELOW_SPEECH_DB,
    HIDDEN_S,
    SOFTER_DB,
)
from pausewright.checker.original.exact_samples import FRAME_S, levels_db
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from pausewright.checker.original.exact_samples import Samples
    from pausewright.script.model import Sound

REACH_S: Final = 0.15
HELD_S: Final = 0.15
_LEAST: Final = 8


@frozen
class Stretch:
    """A stretch of the recording, [start, end) in frames."""

    start: int
    end: int
    doubt: int
    """By how many frames its edges may be off."""
    length_doubt: int
    """By how many its length may be off: both edges of soft words move together."""
    threshold_db: float
    """What is louder is sound here."""


class Original:
    """A recording and the stretches of it that a script names."""

    def __init__(self, samples: Samples, sounds: Sequence[Sound]) -> None:
        """Listen to it once."""
        self.samples = samples
        self.rate_hz = samples.rate_hz
        self._n = round(FRAME_S * self.rate_hz)
        self._levels = levels_db(samples, 0, samples.n_frames)
        self._parts = sorted({self.part(sound) for sound in sounds})
        inside = np.concatenate(
            [
                self._levels[a // self._n : max(a // self._n + 1, b // self._n)]
                for a, b in self._parts
            ]
        )
        self.speech_db = float(np.quantile(inside, 0.9)) if len(inside) else 0.0
        self._found = {part: self._edges(i) for i, part in enumerate(self._parts)}

    def part(self, sound: Sound) -> tuple[int, int]:
        """Return from and to of a stretch in frames."""
        start = math.floor((sound.from_s or 0) * self.rate_hz)
        end = self.samples.n_frames
        return start, end if sound.to_s is None else min(end, math.ceil(sound.to_s * self.rate_hz))

    def stretch(self, sound: Sound) -> Stretch:
        """Return where a stretch sounds."""
        return self._found[self.part(sound)]

    def following(self, sound: Sound) -> Stretch | None:
        """Return the next stretch of the recording."""
        at = self._parts.index(self.part(sound)) + 1
        return self._found[self._parts[at]] if at < len(self._parts) else None

    def quiet_db(self, start: int, end: int) -> NDArray[np.float64]:
        """Return the levels of a gap without what is beside speech; of all if it is short."""
        beside = round(0.1 * self.rate_hz)
        if end - start > 4 * beside:
            start, end = start + beside, end - beside
        return self._levels[-(-start // self._n) : max(-(-start // self._n) + 1, end // self._n)]

    def _gap(self, i: int) -> NDArray[np.float64]:
        """Return the levels of the gap before part `i`; after the last for one more."""
        start = self._parts[i - 1][1] if i else 0
        end = self._parts[i][0] if i < len(self._parts) else self.samples.n_frames
        return self.quiet_db(start, end) if end > start else np.zeros(0)

    def _noise_db(self, i: int) -> float:
        """Return what the noise around part `i` does not pass."""
        near = [self._gap(k) for k in range(max(0, i - 2), min(len(self._parts), i + 3) + 1)]
        levels = np.sort(np.concatenate(near))
        if len(levels) < _LEAST:
            return -math.inf
        calm = levels[levels < levels[len(levels) // 2] + 10]
        return float(np.quantile(calm, 0.95))

    def _edges(self, i: int) -> Stretch:
        hidden_db = self._noise_db(i) + ABOVE_NOISE_DB
        threshold = max(hidden_db, self.speech_db - HEARD_BELOW_SPEECH_DB)
        start, end = self._outer(i, threshold)
        others = [self._outer(i, threshold + by_db) for by_db in (DOUBT_DB, -SOFTER_DB)]
        doubt = max(max(abs(start - first), abs(end - last)) for first, last in others)
        if threshold == hidden_db:
            doubt = max(doubt, round(HIDDEN_S * self.rate_hz))
        length_doubt = max(abs((last - first) - (end - start)) for first, last in others)
        return Stretch(start, end, doubt, max(doubt, length_doubt), threshold)

    def _outer(self, i: int, threshold: float) -> tuple[int, int]:
        part = self._parts[i]
        before = self._parts[i - 1][1] if i else 0
        after = self._parts[i + 1][0] if i + 1 < len(self._parts) else self.samples.n_frames
        reach = round(REACH_S * self.rate_hz)
        first = max((min(before, part[0]) + part[0]) // 2, part[0] - reach) // self._n
        last = min((max(after, part[1]) + part[1]) // 2, part[1] + reach) // self._n
        return edges_of(self._levels[first:last], threshold, first * self._n, self._n) or part


def edges_of(
    levels: NDArray[np.float64], threshold: float, start: int, n: int, *, ratio: float = 1.0
) -> tuple[int, int] | None:
    """Return first and one past last frame of sound in levels of `n` frames each, specks left out.

    A single 10 ms by itself at either end, further than 0.15 s from the rest, is no speech; of
    sound that lasts `ratio` times as long, both so much longer.
    """
    loud = np.flatnonzero(levels > threshold)
    if not len(loud):
        return None
    held = round(HELD_S * ratio / FRAME_S)
    most = math.ceil(ratio)
    runs = np.split(loud, np.flatnonzero(np.diff(loud) > held) + 1)
    while len(runs) > 1 and len(runs[0]) <= most:
        del runs[0]
    while len(runs) > 1 and len(runs[-1]) <= most:
        del runs[-1]
    return start + int(runs[0][0]) * n, start + (int(runs[-1][-1]) + 1) * n


def runs_of(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return the half-open ranges where flags are set."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    return [(int(a), int(b)) for a, b in edges.reshape(-1, 2)]
