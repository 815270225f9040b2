"""A take: finished sound of one element, ready to be laid."""

from __future__ import annotations

import math
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from pausewright.frozen import frozen

Pcm: TypeAlias = NDArray[np.int16]
"""Audio: shape (n_frames, n_channels), dtype int16, full scale ±32767."""


@frozen
class Take:
    """Sound at the track's rate and level.

    The timeline counts the audible stretch [edge_start, edge_end). What lies before and after
    it (a few milliseconds of fade, below the edge threshold) reaches into the silences beside
    it, so that the written gap is the heard gap.
    """

    samples: Pcm
    edge_start: int
    edge_end: int

    @property
    def n_sound_samples(self) -> int:
        """Length of the audible stretch."""
        return self.edge_end - self.edge_start


def rise(n_samples: int) -> NDArray[np.float64]:
    """Return a raised cosine of this length, from just above 0 to just below 1."""
    return 0.5 - 0.5 * np.cos(math.pi * (np.arange(n_samples) + 0.5) / n_samples)
