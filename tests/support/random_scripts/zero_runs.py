"""Silences of a WAV file by counting zeros: a measurer that knows nothing of the package.

It is for tracks of the fake voice only, whose speech holds no zero but between words.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import soundfile

if TYPE_CHECKING:
    from pathlib import Path

SHORTEST = 3_000
"""Frames; between two words of the fake voice lie 1,764, in the shortest pause 4,410."""


def zero_runs(track: Path) -> tuple[list[int], int]:
    """Return the lengths of all runs of at least `SHORTEST` zero frames, and of the whole file."""
    samples, rate_hz = soundfile.read(track, dtype="int16", always_2d=True)
    assert rate_hz == 44_100
    sounding = np.flatnonzero(samples.any(axis=1))
    bounds = np.concatenate([[-1], sounding, [len(samples)]])
    lengths = np.diff(bounds) - 1
    return [int(n) for n in lengths[lengths >= SHORTEST]], len(samples)
