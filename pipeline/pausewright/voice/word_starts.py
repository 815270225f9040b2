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
CLOSURE_S = 0.1
"""A shorter silence inside a phrase is how a consonant (p, t, k) begins: it belongs to its word."""


def heard_starts(
    take: Take, spans: Sequence[tuple[int, int]], after_marks: Sequence[bool], rate_hz: int
) -> list[int]:
    """Return for each word its first sample; a pause before its sound is not part of it.

    Sound is what is not further than 40 dB below the speech.

    Parameters
    ----------
    take : of one channel
    spans : half-open sample ranges of its words, as the voice tells them
    after_marks : whether a mark stands between a word and the one before it
    rate_hz : the take's rate
    """
    samples = take.samples[:, 0].astype(np.float32) / np.float32(_FULL_SCALE)
    active_db = active_speech_level_db(samples[take.edge_start : take.edge_end], rate_hz)
    if active_db is None:
        return [start for start, _ in spans]
    amplitude = 10 ** ((active_db - EDGE_BELOW_SPEECH_DB) / 20)
    starts = []
    for (start, end), is_after_mark in zip(spans, after_marks, strict=True):
        edges = speech_edges(samples[start:end], rate_hz, amplitude)
        n_silent = 0 if edges is None else edges.start
        is_pause = is_after_mark or n_silent >= CLOSURE_S * rate_hz
        starts.append(start + n_silent if is_pause else start)
    return starts
