"""Utterances cut from a decoded track, mono, at the recogniser's rate; a few at a time."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np

from pausewright.checker.ear.recogniser import EAR_RATE_HZ
from pausewright.checker.limits.heard import CLIP_AFTER_S, CLIP_BEFORE_S
from pausewright.checker.listen.filters import resampled

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from pausewright.checker.ear.recogniser import Clip
    from pausewright.checker.files.decoded_track import Kept
    from pausewright.checker.match.measured import Frames


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
        lead = min(int(CLIP_BEFORE_S * rate_hz), int(start - before) // 2)
        trail = min(int(CLIP_AFTER_S * rate_hz), int(after - end) // 2)
        found.append((start - lead, end + trail))
    return found


def clips(kept: Kept, spans: Sequence[Frames]) -> Iterator[Clip]:
    """Yield the sound of each range of frames, at `EAR_RATE_HZ`, in order.

    Of two channels the louder one is heard. A track that ends early gives shorter clips.
    """
    for start, end in spans:
        yield as_clip(kept.read(start, min(end, kept.n_frames)), kept.rate_hz)


def as_clip(samples: NDArray[np.float32], rate_hz: int) -> Clip:
    """Return sound of shape (n_frames, n_channels) at any rate as a clip for the recogniser."""
    if not len(samples):
        return np.zeros(0, np.float32)
    loudness = np.square(samples, dtype=np.float64).sum(axis=0)
    mono = samples[:, int(loudness.argmax())]
    ratio = Fraction(EAR_RATE_HZ, rate_hz)
    if ratio == 1:
        return np.ascontiguousarray(mono, dtype=np.float32)
    heard = resampled(mono.astype(np.float64), ratio.numerator, ratio.denominator)
    return heard.astype(np.float32)
