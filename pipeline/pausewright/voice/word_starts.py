"""When words are first heard: a voice may count the pause before a word to the word itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pausewright.voice.edges import loud_windows
from pausewright.voice.speech_level import active_speech_level_db

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from pausewright.sound.take import Take

_FULL_SCALE = 32768
PAUSE_S = 0.1
"""A shorter silence inside a phrase is how a consonant (p, t, k) begins: it belongs to its word."""
CLOSURE_S = 0.05
"""But no more of it than this: nothing is heard of the word before."""
SOUND_BELOW_SPEECH_DB = 34.0
"""A level further below the speech is the voice's silence."""
WINDOW_S = 0.01
"""Over so long a stretch the level is taken; a voice's silence hisses, with single samples that are
far above its level."""


def heard_starts(
    take: Take, spans: Sequence[tuple[int, int]], after_marks: Sequence[bool], rate_hz: int
) -> list[int]:
    """Return for each word its first sample; a pause before its sound is not part of it.

    Sound is what has a level no further than `SOUND_BELOW_SPEECH_DB` below that of the speech.

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
    amplitude = 10 ** ((active_db - SOUND_BELOW_SPEECH_DB) / 20)
    starts = []
    for (start, end), is_after_mark in zip(spans, after_marks, strict=True):
        n_silent = _n_silent(samples[start:end], round(WINDOW_S * rate_hz), amplitude)
        is_pause = is_after_mark or n_silent >= PAUSE_S * rate_hz
        n_own = 0 if is_pause else min(n_silent, round(CLOSURE_S * rate_hz))
        starts.append(start + n_silent - n_own)
    return starts


def _n_silent(samples: NDArray[np.float32], n_window: int, amplitude: float) -> int:
    """Return how many samples pass before a window whose RMS is `amplitude`; 0 if there is none.

    A word comes up so fast that it begins near the end of the first such window.
    """
    loud = loud_windows(samples, n_window, amplitude)
    if len(loud) == 0 or loud[0] == 0:
        return 0
    return int(loud[0]) + n_window - 1
