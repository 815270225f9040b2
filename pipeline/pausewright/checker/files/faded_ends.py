"""What of a stretch of a track may belong to its neighbours: the faded ends of their sounds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pausewright.checker.limits.edges import FADED_DBFS

if TYPE_CHECKING:
    from pausewright.checker.files.decode import Samples


def without_faded_ends(part: Samples, at: int, length: int, n_near: int) -> Samples:
    """Return samples with zeros for what is faint near the ends of their stretch.

    Parameters
    ----------
    part : samples of a stretch, from `at` on in it
    length : of the whole stretch
    n_near : so many samples are near an end
    """
    where = np.arange(at, at + len(part))
    is_near = (where < n_near) | (where >= length - n_near)
    if not is_near.any():
        return part
    is_faint = is_near[:, None] & (abs(part.reshape(len(part), -1)) <= 10 ** (FADED_DBFS / 20))
    return np.where(is_faint.reshape(part.shape), 0, part).astype(part.dtype)
