"""Where speech begins and ends in a take, to the sample.

Rule: a sample counts as heard if its magnitude is above the threshold, 40 dB below the active
speech level. Speech reaches from the first to the last such sample, except that an isolated
click does not begin or end it: heard samples that lie within 5 ms in all and more than 60 ms
away from the rest. (A plosive at the start of a word lasts longer with its breath, or is closer
to the vowel; a released one at the end likewise.)
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

CLICK_S = 0.005
APART_S = 0.060
LEAD_S = 0.010
"""What is kept before the first edge at most, faded in."""
TAIL_S = 0.040
"""What is kept after the last edge at most, faded out."""


@dataclass(frozen=True, slots=True)
class Edges:
    """The half-open range [start, end) of samples that are heard."""

    start: int
    end: int


def speech_edges(
    samples: NDArray[np.float32] | NDArray[np.int16], rate_hz: int, amplitude: float
) -> Edges | None:
    """Return where speech begins and ends, or None if nothing is heard.

    Parameters
    ----------
    samples : shape (n_samples,)
    amplitude : threshold in the unit of the samples; what is above it is heard
    """
    heard = np.flatnonzero((samples > amplitude) | (samples < -amplitude))
    if len(heard) == 0:
        return None
    parts = np.split(heard, np.flatnonzero(np.diff(heard) > APART_S * rate_hz) + 1)
    click = CLICK_S * rate_hz
    lasting = [part for part in parts if part[-1] - part[0] >= click]
    if not lasting:
        return None
    return Edges(int(lasting[0][0]), int(lasting[-1][-1]) + 1)


def cut_to_edges(
    samples: NDArray[np.float32], rate_hz: int, edges: Edges
) -> tuple[NDArray[np.float32], Edges]:
    """Return the take with a short lead and tail, faded to zero, and the edges in it.

    Lead and tail lie below the threshold; a raised cosine takes them to zero. Samples between
    the edges are unchanged.
    """
    lead = min(edges.start, int(LEAD_S * rate_hz))
    tail = min(len(samples) - edges.end, int(TAIL_S * rate_hz))
    cut = samples[edges.start - lead : edges.end + tail].copy()
    cut[:lead] *= _rise(lead)
    cut[len(cut) - tail :] *= _rise(tail)[::-1]
    return cut, Edges(lead, lead + edges.end - edges.start)


def _rise(n_samples: int) -> NDArray[np.float32]:
    """Return a raised cosine from just above 0 to just below 1."""
    phase = (np.arange(n_samples) + 0.5) / max(1, n_samples)
    return (0.5 - 0.5 * np.cos(np.pi * phase)).astype(np.float32)
