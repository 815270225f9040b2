"""Recursive filters by their frequency response: exact to rounding, and without scipy.

Loading scipy costs a build more than all its filtering (docs/decisions/filters.md).
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Final, TypeAlias

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

Section: TypeAlias = tuple[tuple[float, ...], tuple[float, ...]]
"""Coefficients of one filter, of rising delay: of what goes in, and of what came out."""

_LONGEST_PIECE: Final = 1 << 16
"""Samples that are transformed at once."""


def filtered(
    samples: NDArray[np.float64], sections: Sequence[Section], n_ring: int
) -> NDArray[np.float64]:
    """Return samples after filters that follow one another, each from rest.

    Parameters
    ----------
    samples : shape (n_samples,); the result has the same
    sections : the filters
    n_ring : after so many samples of silence nothing comes out any more; at most 32,768
    """
    n_transformed = min(_LONGEST_PIECE, 1 << (len(samples) + n_ring - 1).bit_length())
    n_piece = n_transformed - n_ring
    n_pieces = -(-len(samples) // n_piece)
    whole = np.zeros((n_pieces, n_piece))
    whole.reshape(-1)[: len(samples)] = samples
    spectra = np.fft.rfft(whole, n_transformed, axis=1)
    spectra *= _response(tuple(sections), n_transformed)
    pieces = np.fft.irfft(spectra, n_transformed, axis=1)
    for before, after in pairwise(pieces):
        after[:n_ring] += before[n_piece:]
    return np.ascontiguousarray(pieces[:, :n_piece]).reshape(-1)[: len(samples)]


@lru_cache(maxsize=8)
def _response(sections: tuple[Section, ...], n_transformed: int) -> NDArray[np.complex128]:
    """Return the factor for each frequency of a real transform."""
    delay = np.exp(-2j * np.pi * np.arange(n_transformed // 2 + 1) / n_transformed)
    factor = np.ones(len(delay), np.complex128)
    for given, came in sections:
        factor *= np.polyval(given[::-1], delay) / np.polyval(came[::-1], delay)
    factor.flags.writeable = False
    return factor
