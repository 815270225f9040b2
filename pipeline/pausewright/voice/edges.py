"""Where speech begins and ends in a take, to the sample.

Rule: a sample counts as heard if its magnitude is above the threshold, 40 dB below the active
speech level. Speech reaches from the first to the last such sample, except that an isolated
click does not begin or end it: heard samples that lie within 5 ms in all and more than 60 ms
away from the rest. (A plosive at the start of a word lasts longer with its breath, or is closer
to the vowel; a released one at the end likewise.)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

CLICK_S = 0.005
APART_S = 0.060
LEAD_S = 0.010
"""What is kept before the first edge at most, faded in."""
TAIL_S = 0.040
"""What is kept after the last edge at most, faded out."""


SOFT_WINDOW_S = 0.020
"""Over so long a stretch the level is taken by which an end of a take counts as soft."""
FADE_IN_S, FADE_OUT_S = 0.020, 0.030
"""In how long a soft end comes up from nothing, and goes down to it."""


@frozen
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


def soft_ends_faded(
    samples: NDArray[np.float32], rate_hz: int, amplitude: float
) -> NDArray[np.float32]:
    """Return a take whose soft beginning and end are faded into silence.

    Voices end many words in a tenth of a second of hiss, some 40 dB below the speech: too soft to
    be heard as part of the word, and hidden by the slightest noise of a room, so that nobody who
    measures there could tell where the silence begins. What comes before the first 20 ms of RMS
    `amplitude` or more, or after the last, is faded; nothing between them is changed. All of a
    softer take is left as it is.

    Parameters
    ----------
    samples : shape (n_samples,)
    amplitude : RMS in the unit of the samples
    """
    n = round(SOFT_WINDOW_S * rate_hz)
    firm = loud_windows(samples, n, amplitude)
    if len(firm) == 0:
        return samples
    start, end = int(firm[0]), int(firm[-1]) + n
    rise, fall = _rise(round(FADE_IN_S * rate_hz)), _rise(round(FADE_OUT_S * rate_hz))[::-1]
    gain = np.zeros(len(samples), np.float32)
    gain[start:end] = 1
    lead, tail = min(start, len(rise)), min(len(samples) - end, len(fall))
    gain[start - lead : start] = rise[len(rise) - lead :]
    gain[end : end + tail] = fall[:tail]
    return samples * gain


def loud_windows(samples: NDArray[np.float32], n: int, amplitude: float) -> NDArray[np.intp]:
    """Return where windows of `n` samples begin whose RMS is `amplitude` or more, in order."""
    sums = np.cumsum(np.pad(np.square(samples, dtype=np.float64), (1, 0)))
    return np.flatnonzero(sums[n:] - sums[:-n] >= n * amplitude**2)


def _rise(n_samples: int) -> NDArray[np.float32]:
    """Return a raised cosine from just above 0 to just below 1."""
    phase = (np.arange(n_samples) + 0.5) / max(1, n_samples)
    return (0.5 - 0.5 * np.cos(np.pi * phase)).astype(np.float32)
