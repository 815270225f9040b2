"""Two delivered files that must hold the same stretch of sound, sample by sample."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from pausewright.checker.files.decode import TrackReader
from pausewright.checker.limits.edges import EXCERPT_BELOW_DB
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.files.decode import Samples


@frozen
class SameStretch:
    """What a comparison found."""

    n_samples: int
    """In each channel."""
    is_exact: bool
    """Whether both files hold the samples that were written."""
    n_differing: int
    below_db: float
    """How far the difference lies below the sound, in dB; infinite if there is none."""

    @property
    def is_same(self) -> bool:
        """Whether both hold the same: every sample, or of lossy copies as near as they can be."""
        return not self.n_differing if self.is_exact else self.below_db >= EXCERPT_BELOW_DB


def same_stretch(one: tuple[Path, int], other: tuple[Path, int], n_samples: int) -> SameStretch:
    """Compare stretches of two files, each given with the sample at which it starts.

    Raises
    ------
    TrackError
        If one cannot be read.
    """
    first, is_exact = _stretch(*one, n_samples)
    second, too = _stretch(*other, n_samples)
    n_both = min(len(first), len(second))
    off = first[:n_both].astype(np.float64) - second[:n_both]
    power, wrong = float(np.mean(first.astype(np.float64) ** 2)), float(np.mean(off**2))
    below_db = math.inf if not wrong else 10 * math.log10(max(power, 1e-12) / wrong)
    n_differing = int(np.count_nonzero(off)) + n_samples - n_both
    return SameStretch(n_samples, is_exact and too, n_differing, below_db)


def _stretch(path: Path, start: int, n_samples: int) -> tuple[Samples, bool]:
    parts: list[Samples] = []
    at = 0
    with TrackReader(path) as reader:
        for block in reader.blocks():
            first, last = max(0, start - at), min(len(block), start + n_samples - at)
            if first < last:
                parts.append(block[first:last].copy())
            at += len(block)
        empty = np.zeros((0, reader.format.n_channels), np.float32)
        return np.concatenate([*parts, empty]), reader.format.is_exact
