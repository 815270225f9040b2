"""Speech of a recording made slower or faster at the same pitch, to a length in samples."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.sound.recording.room_tone import blended
from pausewright.sound.stretch import stretched_channels

if TYPE_CHECKING:
    from pausewright.plan.recorded_plan import Slowed
    from pausewright.sound.recording.source import RecordingFile, Wave

CONTEXT_S: Final = 0.2
"""What of the recording around it is stretched with speech: its ends are smeared, and cut off."""


def slowed(file: RecordingFile, piece: Slowed) -> Wave:
    """Return a stretch at its new length, its edges blended into the recording's own quiet.

    The speech begins `piece.before` samples after the start and is `piece.n_spoken` long.
    """
    rate_hz = file.format.rate_hz
    n_context = round(CONTEXT_S * rate_hz)
    first, last = piece.start - n_context, piece.end + n_context
    source = _padded(file, first, last)
    factor = piece.n_spoken / (piece.end - piece.start)
    longer = stretched_channels(source.astype(np.float32), rate_hz, factor).astype(np.float64)
    begin = round(n_context * factor) - piece.before
    n_all = piece.n_samples
    found = np.zeros((n_all, source.shape[1]))
    have = longer[max(0, begin) : begin + n_all]
    found[max(0, -begin) : max(0, -begin) + len(have)] = have
    most, allowed = float(np.abs(found).max(initial=0.0)), float(np.abs(source).max(initial=0.0))
    if most > allowed:  # phases move in a stretch: no peak may be higher than the reader's
        found *= allowed / most
    for n_edge, is_start in ((piece.before, True), (piece.after, False)):
        n = n_edge // 3
        if not n:
            continue
        if is_start:
            own = _padded(file, piece.start - n_edge, piece.start - n_edge + n)
            found[:n] = blended(own, found[:n])
        else:
            own = _padded(file, piece.end + n_edge - n, piece.end + n_edge)
            found[-n:] = blended(found[-n:], own)
    return found


def _padded(file: RecordingFile, start: int, end: int) -> Wave:
    """Return samples [start, end), zeros where there is no recording."""
    found = np.zeros((end - start, file.format.n_channels))
    have = file.read(start, end)
    at = max(0, -start)
    found[at : at + len(have)] = have
    return found
