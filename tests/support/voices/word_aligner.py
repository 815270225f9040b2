"""When each word of a recording begins, by an aligner that knows nothing of our voices.

PocketSphinx (BSD) with the US English model and the CMU pronunciations in its package: hidden
Markov models of phones, in steps of 10 ms. It is told the words and asked where they are.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

import numpy as np
import soxr
from pocketsphinx import Decoder

if TYPE_CHECKING:
    from numpy.typing import NDArray

HEARD_HZ: Final = 16_000
FRAMES_PER_S: Final = 100


class Aligner:
    """One decoder; sounds are aligned one after another."""

    def __init__(self) -> None:
        """Load the model from its package."""
        self._decoder = Decoder(lm=None, samprate=HEARD_HZ, loglevel="FATAL")

    def starts_s(self, wave: NDArray[np.float32], rate_hz: int, text: str) -> list[float]:
        """Return when each word of a text begins in a wave.

        Empty if a word is in no list of pronunciations, or the words were not found.

        Parameters
        ----------
        wave : shape (n_samples,), full scale 1
        """
        words = [re.sub(r"[^a-z']", "", word.lower().replace("’", "'")) for word in text.split()]
        if any(not word or self._decoder.lookup_word(word) is None for word in words):
            return []
        heard = soxr.resample(wave, rate_hz, HEARD_HZ)
        sound = (heard * 32767).clip(-32768, 32767).astype(np.int16).tobytes()
        self._decoder.set_align_text(" ".join(words))
        try:
            self._listen(sound)  # the words
            self._decoder.set_alignment()
            self._listen(sound)  # their phones, by which the words' times get better
        except RuntimeError:
            return []
        found = self._decoder.get_alignment() or ()
        starts_s = [one.start / FRAMES_PER_S for one in found if one.name[0] not in "<["]
        return starts_s if len(starts_s) == len(words) else []

    def _listen(self, sound: bytes) -> None:
        self._decoder.start_utt()
        self._decoder.process_raw(sound, full_utt=True)
        self._decoder.end_utt()
