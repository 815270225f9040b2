"""When known words are said, by an aligner that knows how English sounds.

PocketSphinx (BSD): hidden Markov models of phones, trained on many people, in steps of 10 ms. It
comes with the ear; without it, times follow from the passage alone. It is off by 30 ms at the
median and seldom by more than 0.2 s, but 30 ms is more than the edges of a word beside a silence
are unsure by: those are taken from the sound.
"""

from __future__ import annotations

import importlib.util
import re
import threading
from functools import cache
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray
    from pocketsphinx import Decoder

    from pausewright.alignment.phone_words import SpokenWord

RATE_HZ: Final = 16_000
_FRAME_MS: Final = 10
_LETTERS: Final = re.compile(r"[^a-z']")
_LEAST_S: Final = 0.5
_ONE_AT_A_TIME: Final = threading.Lock()
"""The aligner keeps what it is doing in itself: two versions that ask at once end the program."""


def forced_times(
    samples: NDArray[np.int16], words: Sequence[SpokenWord]
) -> list[tuple[int, int]] | None:
    """Return start and end of each word, in ms; None without the aligner, or where it fails.

    `samples` are at `RATE_HZ`, of shape (n_samples,).
    """
    if not words or len(samples) < _LEAST_S * RATE_HZ or not has_aligner():
        return None
    with _ONE_AT_A_TIME:
        return _aligned(_decoder(), samples, words)


def _aligned(
    decoder: Decoder, samples: NDArray[np.int16], words: Sequence[SpokenWord]
) -> list[tuple[int, int]] | None:
    decoder.reinit_feat()  # what came before has no part in it
    names = [_name(decoder, one) for one in words]
    decoder.set_align_text(" ".join(names))
    try:
        decoder.start_utt()
        decoder.process_raw(samples.tobytes(), full_utt=True)
        decoder.end_utt()
    except RuntimeError:
        return None
    found = [
        (one.start_frame * _FRAME_MS, (one.end_frame + 1) * _FRAME_MS)
        for one in decoder.seg() or ()
        if one.word[0] not in "<[("
    ]
    return found if len(found) == len(words) else None


@cache
def has_aligner() -> bool:
    """Return whether the aligner is installed."""
    return importlib.util.find_spec("pocketsphinx") is not None


@cache
def _decoder() -> Decoder:
    from pocketsphinx import Decoder  # noqa: PLC0415  heavy, and in an extra

    return Decoder(lm=None, samprate=RATE_HZ, cmn="batch", loglevel="FATAL")


def _name(decoder: Decoder, word: SpokenWord) -> str:
    """Return the name by which the aligner knows a word, which learns its sounds if need be."""
    name = _LETTERS.sub("", word.word.lower().replace("’", "'"))
    if name and decoder.lookup_word(name) is not None:
        return name
    phones = word.phones or ("AH",)
    own = "sounds-" + "-".join(phones).lower()
    if decoder.lookup_word(own) is None:
        decoder.add_word(own, " ".join(phones), update=True)
    return own
