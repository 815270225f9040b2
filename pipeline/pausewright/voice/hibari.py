"""A bundled voice: a small network with pronunciation rules of its own.

Repeatable: noise comes from a generator seeded with the take number, and the session computes
in one thread. Its lengths follow a speed for each symbol (see `model_graph`): the silence before
the first sound and the last sound are not slowed with the rest. Takes differ in their noise only,
hardly to be heard. It speaks English only.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from hibari import SAMPLE_RATE, Hibari, dsp

from pausewright.frozen import frozen
from pausewright.problems import VoiceError
from pausewright.voice.engine import RawTake
from pausewright.voice.join_pieces import joined
from pausewright.voice.long_utterances import pieces
from pausewright.voice.model_graph import paced_model
from pausewright.voice.profile import same_language
from pausewright.voice.symbol_times import speeds, word_spans
from pausewright.voice.symbols import Speller, groups
from pausewright.voice.word_groups import by_word

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from pausewright.voice.engine import Request
    from pausewright.voice.profile import VoiceProfile


def _rfft(frames: NDArray[np.float32], axis: int) -> NDArray[np.complex64]:
    return np.fft.rfft(frames, axis=axis).astype(np.complex64, copy=False)


def _irfft(spectra: NDArray[np.complex64], n: int, axis: int) -> NDArray[np.float32]:
    return np.fft.irfft(spectra, n=n, axis=axis).astype(np.float32, copy=False)


# The library takes scipy's transforms where scipy is installed, whose last bits are others: a
# voice's bytes would depend on a package that is not ours.
dsp.rfft, dsp.irfft = _rfft, _irfft

MOST_SYMBOLS: Final = 400
"""The network is trained on sentences up to this long; longer ones are divided."""
_SEED: Final = 20_250_312


@frozen
class Prepared:
    """An utterance as symbols of the network, in pieces that it can say at once."""

    pieces: tuple[str, ...]
    words: str
    """For messages."""
    setting: float
    take: int
    alone: tuple[str, ...] = ()
    """The symbols of each written word alone, where the groups of symbols are not as many."""


class HibariEngine:
    """The loaded voice."""

    def __init__(self, profile: VoiceProfile) -> None:
        """Load model and pronunciation tables; takes about half a second.

        Raises
        ------
        VoiceError
            If the model is missing or damaged, or the profile names a language but English.
        """
        self._name = profile.name
        if not same_language(profile.language, "en"):
            raise VoiceError(
                f"the engine of the voice ‘{profile.name}’ speaks English, not {profile.language}",
                f"correct `language:` in {profile.file.name}",
            )
        model, self._is_paced = paced_model(profile.model_file(), profile.place)
        self._speller = Speller(profile, speaks_others=False)
        try:
            self._voice = Hibari(model=model, threads=1, g2p=_spelled_elsewhere)
        except Exception as fault:  # whatever a damaged file makes the runtime raise
            raise VoiceError(
                f"the model of the voice ‘{profile.name}’ cannot be loaded",
                "check that it is a model for this engine and complete",
            ) from fault

    def prepare(self, request: Request) -> Prepared:
        """Turn words into symbols; call it in one thread."""
        symbols = self._speller.symbols(request)
        return Prepared(
            pieces(symbols, MOST_SYMBOLS),
            request.words,
            request.setting,
            request.take,
            self._speller.alone(request, symbols),
        )

    def synthesise(self, prepared: object) -> RawTake:
        """Turn symbols into samples; safe in several threads."""
        if not isinstance(prepared, Prepared):
            raise TypeError(f"not prepared by this engine: {prepared!r}")
        noise = np.random.default_rng([_SEED, prepared.take])
        said = [self._piece(piece, prepared.setting, noise) for piece in prepared.pieces]
        samples, spans = said[0] if len(said) == 1 else joined(said, SAMPLE_RATE)
        if not samples.any():
            raise VoiceError(
                f"the voice ‘{self._name}’ gives no sound for ‘{prepared.words}’",
                'write it in words: [that]{say="the words"}',
            )
        found = [group for piece in prepared.pieces for group in groups(piece)]
        words = by_word(spans, found, prepared.alone) if spans else ()
        return RawTake(samples, SAMPLE_RATE, words)

    def _piece(
        self, symbols: str, setting: float, noise: np.random.Generator
    ) -> tuple[NDArray[np.float32], list[tuple[int, int]]]:
        """Return the samples of a piece, and the ranges of its words if the model tells them."""
        ids = [0, *(self._speller.numbers[symbol] for symbol in symbols), 0]
        speed = speeds(symbols, setting) if self._is_paced else np.array([setting], np.float32)
        found = self._voice.sess.run(None, {"ids": np.array([ids], np.int64), "speed": speed})
        lengths = found.pop().reshape(-1) if self._is_paced else np.zeros(0, np.float32)
        samples = np.ascontiguousarray(dsp.synth(*(one[0] for one in found), noise), np.float32)
        if not self._is_paced or not lengths.any():
            return samples, []
        return samples, word_spans(symbols, lengths, len(samples) // int(lengths.sum()))


def _spelled_elsewhere(text: str) -> str:
    raise AssertionError(f"nothing is spelled by the package itself: {text}")
