"""The second bundled voice: a small network with pronunciation rules of its own.

Repeatable: noise comes from a generator seeded with the take number, and the session computes
in one thread. Its rounding of lengths is evened out, so that it can be brought to any pace (see
`model_graph`). Takes differ in their noise only, hardly to be heard. It speaks English only.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from string import ascii_uppercase
from typing import TYPE_CHECKING

import numpy as np
from hibari import SAMPLE_RATE, Hibari, dsp
from hibari.g2p import G2P

from pausewright.problems import VoiceError
from pausewright.voice.engine import RawTake
from pausewright.voice.model_graph import evenly_rounding_model
from pausewright.voice.profile import same_language
from pausewright.voice.word_groups import by_word, group_ranges, heard_ranges, written_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

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

MOST_SYMBOLS = 400
"""The network is trained on sentences up to this long."""

LEAD_FRAMES = 2
"""The network sounds its symbols earlier than their lengths add up to, by about two frames of
25 ms: measured on 81 words against a pronunciation aligner whose own lead was taken out."""

_SEED = 20_250_312
_FROM_IPA = (
    ("eɪ", "A"),
    ("aɪ", "I"),
    ("oʊ", "O"),
    ("əʊ", "Q"),
    ("aʊ", "W"),
    ("ɔɪ", "Y"),
    ("tʃ", "ʧ"),
    ("dʒ", "ʤ"),
    ("r", "ɹ"),
    ("g", "ɡ"),
)
"""Two signs of IPA that are one symbol of the network, and two plain letters for IPA's own."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """An utterance as symbols of the network."""

    symbols: str
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
        self._language = profile.language
        if not same_language(profile.language, "en"):
            raise VoiceError(
                f"the engine of the voice ‘{profile.name}’ speaks English, not {profile.language}",
                f"correct `language:` in {profile.file.name}",
            )
        model, self._has_lengths = evenly_rounding_model(profile.model_file(), profile.place)
        british = profile.language.lower() == "en-gb"
        try:
            self._voice = Hibari(model=model, threads=1, g2p=G2P(british=british))
        except Exception as fault:  # whatever a damaged file makes the runtime raise
            raise VoiceError(
                f"the model of the voice ‘{profile.name}’ cannot be loaded",
                "check that it is a model for this engine and complete",
            ) from fault
        self._letter_names = {
            letter: self._voice.g2p(letter) for letter in ascii_uppercase if letter not in "AI"
        }

    def prepare(self, request: Request) -> Prepared:
        """Turn words into symbols; call it in one thread."""
        words = request.words
        pieces = []
        for part in request.spoken:
            language = part.language or request.language
            if part.is_ipa:
                found = self._ipa(part.text)
            elif same_language(language, "en"):
                found = self._voice.g2p(_with_letters_named(part.text, self._letter_names))
            else:
                raise VoiceError(
                    f"the voice ‘{self._name}’ speaks English and cannot say "
                    f"‘{part.text.strip()}’ in {language}",
                    f"write it with `ipa`, or name a voice that speaks {language}",
                )
            pieces.append(_spaced(part.text, found))
        symbols = " ".join("".join(pieces).split())
        if not any(symbol.isalpha() for symbol in symbols):
            raise VoiceError(
                f"the voice ‘{self._name}’ finds nothing to say in ‘{words}’",
                'write it in words: [that]{say="the words"}',
            )
        if len(symbols) > MOST_SYMBOLS:
            raise VoiceError(
                f"the voice ‘{self._name}’ cannot say so long a sentence: ‘{words[:60]}…’",
                "divide it into shorter sentences",
            )
        n_words = len(written_words(request.spoken))
        alone = () if n_words == len(_groups(symbols)) else self._alone(request)
        return Prepared(symbols, words, request.setting, request.take, alone)

    def _alone(self, request: Request) -> tuple[str, ...]:
        found = []
        for word in written_words(request.spoken):
            symbols = ""
            for part in word:
                text = _with_letters_named(part.text, self._letter_names)
                symbols += self._ipa(part.text) if part.is_ipa else self._voice.g2p(text)
            found.append("".join(filter(_is_sound, symbols)))
        return tuple(found)

    def synthesise(self, prepared: object) -> RawTake:
        """Turn symbols into samples; safe in several threads."""
        if not isinstance(prepared, Prepared):
            raise TypeError(f"not prepared by this engine: {prepared!r}")
        noise = np.random.default_rng([_SEED, prepared.take])
        ids = self._voice.ids(prepared.symbols)
        samples, lengths = self._run(ids, prepared.setting, noise)
        if not samples.any():
            raise VoiceError(
                f"the voice ‘{self._name}’ gives no sound for ‘{prepared.words}’",
                'write it in words: [that]{say="the words"}',
            )
        spans = _word_spans(prepared, ids, lengths, len(samples))
        return RawTake(np.ascontiguousarray(samples, dtype=np.float32), SAMPLE_RATE, spans)

    def _run(
        self, ids: Sequence[int], setting: float, noise: np.random.Generator
    ) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """Return the samples and the length of each sound in frames; the latter may be empty."""
        found = self._voice.sess.run(
            None,
            {"ids": np.asarray([ids], np.int64), "speed": np.asarray([setting], np.float32)},
        )
        lengths = found.pop() if self._has_lengths else np.zeros(0, np.float32)
        samples: NDArray[np.float32] = dsp.synth(*(output[0] for output in found), noise)
        return samples, lengths.reshape(-1)

    def _ipa(self, text: str) -> str:
        symbols = " ".join(text.split())
        for ipa, own in _FROM_IPA:
            symbols = symbols.replace(ipa, own)
        for symbol in symbols:
            if symbol not in self._voice.vocab:
                raise VoiceError(
                    f"the voice ‘{self._name}’ has no sound for ‘{symbol}’ in the IPA ‘{text}’",
                    "write it with the signs that the voice knows, or use `say` with plain words",
                )
        return symbols


def _groups(symbols: str) -> list[str]:
    """Return the sounds of each group between blanks that has any."""
    return [
        "".join(filter(_is_sound, symbols[first:end]))
        for first, end in group_ranges(symbols, _is_sound)
    ]


def _is_sound(symbol: str) -> bool:
    return symbol.isalpha() and symbol not in "ˈˌ"


def _word_spans(
    prepared: Prepared, ids: Sequence[int], lengths: NDArray[np.float32], n_samples: int
) -> tuple[tuple[int, int], ...]:
    """Return half-open sample ranges of the written words; empty if they are not known."""
    if len(lengths) != len(ids) or len(ids) != len(prepared.symbols) + 2 or not lengths.any():
        return ()
    frames = np.concatenate(([0.0], np.cumsum(lengths))) - LEAD_FRAMES
    at = np.maximum(frames, 0.0) * n_samples / np.sum(lengths)
    # the first symbol comes after the pad at the start
    spans = [
        (int(at[first + 1]), int(at[end + 1]))
        for first, end in heard_ranges(prepared.symbols, _is_sound)
    ]
    return by_word(spans, _groups(prepared.symbols), prepared.alone)


_NO_LINKS = str.maketrans("[]()", "    ")
"""Brackets would be taken for the engine's own marks of pronunciation."""
_LONE_LETTER = re.compile(r"(?<![\w'’.])[B-HJ-Z](?![\w'’])")


def _with_letters_named(text: str, names: Mapping[str, str]) -> str:
    """Return a text for the engine's rules in which each capital that stands alone has its name.

    By themselves the rules take some for Roman numerals: "Part C" was "part one hundred". What is
    a numeral was put into words before it came here.
    """
    return _LONE_LETTER.sub(
        lambda found: f"[{found[0]}](/{names[found[0]]}/)", text.translate(_NO_LINKS)
    )


def _spaced(text: str, symbols: str) -> str:
    before = " " if text[:1].isspace() else ""
    after = " " if text[-1:].isspace() else ""
    return f"{before}{symbols}{after}"
