"""How fast each symbol of a network is said, and when its words are heard."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.voice.symbols import is_sound
from pausewright.voice.word_groups import heard_ranges

if TYPE_CHECKING:
    from numpy.typing import NDArray

LEAD_FRAMES: Final = 2
"""Both networks sound their symbols earlier than their lengths add up to, by about two frames of
25 ms: measured on 81 words against a pronunciation aligner whose own lead was taken out."""
LENGTHENERS: Final = ("ː", "ʰ", "ʲ", "̃")
"""Signs that belong to the sound before them."""


def speeds(symbols: str, setting: float) -> NDArray[np.float32]:
    """Return the speed of each symbol with a pad at both ends, shape (n_symbols + 2,), float32.

    The networks count the silence before the words to the first pad, and what follows the words to
    the last sound. Neither is slowed: the pad at the start keeps its own speed; the last sound, its
    marks and the pad at the end have it at least.
    """
    last = max((at for at, symbol in enumerate(symbols) if is_sound(symbol)), default=0)
    while last and symbols[last] in LENGTHENERS:
        last -= 1
    found = np.full(len(symbols) + 2, setting, np.float32)
    found[0] = 1.0
    found[last + 1 :] = max(setting, 1.0)
    return found


def word_spans(
    symbols: str, lengths: NDArray[np.float32], frame_samples: int
) -> list[tuple[int, int]]:
    """Return half-open sample ranges of the groups between blanks.

    The first begins with the sound itself, wherever that is heard in it: the network's own pause
    before it has no fixed length.

    Parameters
    ----------
    lengths : of each symbol with the pads, in frames, shape (n_symbols + 2,)
    """
    frames = np.concatenate(([0.0], np.cumsum(lengths, dtype=np.float64))) - LEAD_FRAMES
    at = np.rint(np.maximum(frames, 0.0) * frame_samples).astype(np.int64)
    spans = [
        # the first symbol comes after the pad at the start
        (int(at[first + 1]), int(at[end + 1]))
        for first, end in heard_ranges(symbols, is_sound)
    ]
    if spans:
        spans[0] = (0, spans[0][1])
    for (_, end), (start, _) in pairwise(spans):
        if end > start:
            raise AssertionError("words follow each other")
    return spans
