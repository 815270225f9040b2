"""When words are first heard: a voice may count the pause before a word to the word itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pausewright.voice.edges import speech_edges
from pausewright.voice.level import EDGE_BELOW_SPEECH_DB, active_speech_level_db

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.sound.take import Take

_FULL_SCALE = 32768


def heard_starts(take: Take, spans: Sequence[tuple[int, int]], rate_hz: int) -> list[int]:
    """Return for each word the first sample at which it is heard, 40 dB below the speech.

    Parameters
    ----------
    take : of one channel
    spans : half-open sample ranges of its words, as the voice tells them
    rate_hz : the take's rate
    """
    samples = take.samples[:, 0].astype(np.float32) / np.float32(_FULL_SCALE)
    active_db = active_speech_level_db(samples[take.edge_start : take.edge_end], rate_hz)
    if active_db is None:
        return [start for start, _ in spans]
    amplitude = 10 ** ((active_db - EDGE_BELOW_SPEECH_DB) / 20)
    starts = []
    for start, end in spans:
        edges = speech_edges(samples[start:end], rate_hz, amplitude)
        starts.append(start if edges is None else start + edges.start)
    return starts
