"""Utterances cut from a delivered file, mono, at the recogniser's rate; a few at a time."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

import numpy as np
from scipy.signal import resample_poly

from pausewright.checker.decode import TrackReader
from pausewright.checker.ear.recogniser import EAR_RATE_HZ

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    from pausewright.checker.ear.recogniser import Clip
    from pausewright.checker.measured import Frames

BEFORE_S: Final = Fraction(5, 100)
AFTER_S: Final = Fraction(10, 100)
"""What is cut beyond the edges of the sound, for weak consonants; half the silence at most."""


def widened(spans: Sequence[Frames], sounds: Sequence[Frames], rate_hz: int) -> list[Frames]:
    """Return the ranges of utterances with a little of the silence around each.

    `sounds` are all ranges of sound of the track, in order; no range reaches nearer to its
    neighbours than to its own sound.
    """
    starts = np.array([start for start, _ in sounds], dtype=np.int64)
    ends = np.array([end for _, end in sounds], dtype=np.int64)
    found = []
    for start, end in spans:
        before = ends[ends <= start].max(initial=0)
        after = starts[starts >= end].min(initial=end + 10 * rate_hz)
        lead = min(int(BEFORE_S * rate_hz), int(start - before) // 2)
        trail = min(int(AFTER_S * rate_hz), int(after - end) // 2)
        found.append((start - lead, end + trail))
    return found


def clips(path: Path, spans: Sequence[Frames]) -> Iterator[Clip]:
    """Yield the sound of each range of frames, at `EAR_RATE_HZ`, in order.

    Ranges are in order and do not overlap. The file is walked once, to the last range; of two
    channels the louder one is heard. A file that ends early gives shorter clips.

    Raises
    ------
    TrackError
        If the file cannot be read any more.
    """
    with TrackReader(path) as reader:
        rate_hz = reader.format.rate_hz
        waiting = list(reversed(spans))
        held: list[NDArray[np.float32]] = []
        at = 0
        for block in reader.blocks():
            end = at + len(block)
            while waiting and waiting[-1][0] < end:
                start, stop = waiting[-1]
                held.append(block[max(0, start - at) : max(0, min(len(block), stop - at))].copy())
                if stop > end:
                    break
                waiting.pop()
                yield as_clip(np.concatenate(held), rate_hz)
                held = []
            if not waiting:
                return
            at = end
        for _ in waiting:
            whole = np.concatenate(held) if held else np.zeros((0, 1), np.float32)
            yield as_clip(whole, rate_hz)
            held = []


def as_clip(samples: NDArray[np.float32], rate_hz: int) -> Clip:
    """Return sound of shape (n_frames, n_channels) at any rate as a clip for the recogniser."""
    if not len(samples):
        return np.zeros(0, np.float32)
    loudness = np.square(samples, dtype=np.float64).sum(axis=0)
    mono = samples[:, int(loudness.argmax())]
    ratio = Fraction(EAR_RATE_HZ, rate_hz)
    if ratio == 1:
        return np.ascontiguousarray(mono, dtype=np.float32)
    resampled = resample_poly(mono.astype(np.float64), ratio.numerator, ratio.denominator)
    return resampled.astype(np.float32)
