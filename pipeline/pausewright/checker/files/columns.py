"""What both channels of a block come to, sample by sample, and a few samples of one.

Channel by channel: numpy takes twenty times as long over an axis of two.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias, TypeVar

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Samples: TypeAlias = NDArray[np.float32]

Real = TypeVar("Real", np.float32, np.float64)


def loudest(block: Samples) -> Samples:
    """Return the greatest size of each frame over the channels, shape (n_frames,)."""
    size = np.abs(block[:, 0])
    for channel in range(1, block.shape[1]):
        np.maximum(size, np.abs(block[:, channel]), out=size)
    return size


def mixed(block: NDArray[Real]) -> NDArray[Real]:
    """Return the mean of the channels, shape (n_frames,)."""
    total = block[:, 0].copy()
    for channel in range(1, block.shape[1]):
        total += block[:, channel]
    total /= block.shape[1]
    return total


def means(wave: NDArray[Real], n: int) -> NDArray[np.float64]:
    """Return the mean of every `n` values of a wave, whose length is a multiple of `n`."""
    found: NDArray[np.float64] = (wave.reshape(-1, n) @ np.full(n, 1 / n, wave.dtype)).astype(
        np.float64, copy=False
    )
    return found


def is_zero(block: Samples) -> NDArray[np.bool_]:
    """Return which frames are exactly 0 in all channels, shape (n_frames,)."""
    found: NDArray[np.bool_] = block[:, 0] == 0
    for channel in range(1, block.shape[1]):
        found &= block[:, channel] == 0
    return found
