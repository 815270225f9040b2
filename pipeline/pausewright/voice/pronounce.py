"""Words to sounds by espeak-ng, for models of the Piper kind."""

from __future__ import annotations

import threading
import unicodedata
from functools import cache
from typing import TYPE_CHECKING

from piper.config import PhonemeType
from piper.phonemize_espeak import EspeakPhonemizer

from pausewright.problems import VoiceError
from pausewright.voice.profile import same_language
from pausewright.voice.word_groups import written_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from piper.config import PiperConfig

    from pausewright.voice.engine import Request
    from pausewright.wording.line_elements import SpokenPart


def is_sound(symbol: str) -> bool:
    """Return whether a symbol is heard: no blank, no mark of phrasing, no stress."""
    return unicodedata.category(symbol[0])[0] not in {"P", "Z"} and symbol not in "ˈˌ"


_espeak_lock = threading.Lock()
"""The pronunciation engine has one state for the whole process."""


@cache
def _phonemizer() -> EspeakPhonemizer:
    return EspeakPhonemizer()


def espeak_sounds(language: str, text: str) -> list[list[str]] | None:
    """Return the sounds of each sentence in a language; None if espeak-ng does not speak it."""
    tag = language.lower()
    for voice in (tag, f"{tag}-x-rp", tag.split("-", maxsplit=1)[0]):
        with _espeak_lock:
            try:
                found: list[list[str]] = _phonemizer().phonemize(voice, text)
            except RuntimeError:  # no such pronunciation voice
                continue
        return found
    return None


class Pronouncer:
    """Turns words into the symbols of one model."""

    def __init__(self, name: str, language: str, config: PiperConfig) -> None:
        """Take a voice's name (for messages), its language and its configuration."""
        self._name = name
        self._language = language
        self._config = config
        self._phonemizer = _phonemizer()

    def sentences(self, request: Request) -> tuple[tuple[str, ...], ...]:
        """Return the symbols of each sentence; call it in one thread.

        Raises
        ------
        VoiceError
            If there is nothing to say, or a sound that the model lacks.
        """
        words = request.words
        sentences: list[list[str]] = [[]]
        for part in request.spoken:
            if part.is_ipa:
                self._add(sentences, part.text, [self._ipa(part.text)])
            else:
                self._add(sentences, part.text, self._phonemes(part, request.language))
        known = tuple(
            kept for sentence in sentences if (kept := self._known(sentence, words, request))
        )
        if not known:
            raise VoiceError(
                f"the voice ‘{self._name}’ finds nothing to say in ‘{words}’",
                'write it in words: [that]{say="the words"}',
            )
        return known

    def alone(self, request: Request) -> tuple[str, ...]:
        """Return the sounds of each written word, pronounced alone; call it in one thread."""
        found = []
        for word in written_words(request.spoken):
            symbols: list[str] = []
            for part in word:
                if part.is_ipa:
                    symbols += self._ipa(part.text)
                else:
                    for sentence in self._phonemes(part, request.language):
                        symbols += sentence
            found.append("".join(s for s in symbols if is_sound(s)))
        return tuple(found)

    def _phonemes(self, part: SpokenPart, language: str) -> list[list[str]]:
        config = self._config
        if config.phoneme_type == PhonemeType.TEXT:
            return [list(unicodedata.normalize("NFD", part.text))]
        for voice in self._espeak_voices(part.language or language):
            with _espeak_lock:
                try:
                    found: list[list[str]] = self._phonemizer.phonemize(
                        voice, part.text, vowel_clusters=config.vowel_clusters
                    )
                except RuntimeError:  # no such pronunciation voice
                    continue
            return found
        raise VoiceError(
            f"the voice ‘{self._name}’ cannot pronounce the language {part.language or language}",
            "take out the language, or name a voice that speaks it",
        )

    def _espeak_voices(self, language: str) -> tuple[str, ...]:
        """Return pronunciation voices to try: the model's own for its own language."""
        if same_language(language, self._language):
            return (str(self._config.espeak_voice),)
        tag = language.lower()
        return tag, f"{tag}-x-rp", tag.split("-", maxsplit=1)[0]

    def _ipa(self, text: str) -> list[str]:
        symbols = list(unicodedata.normalize("NFD", " ".join(text.split())))
        unknown = [s for s in symbols if s not in self._config.phoneme_id_map]
        if unknown:
            raise VoiceError(
                f"the voice ‘{self._name}’ has no sound for ‘{unknown[0]}’ in the IPA ‘{text}’",
                "write it with the signs that the voice knows, or use `say` with plain words",
            )
        return symbols

    def _add(
        self, sentences: list[list[str]], text: str, phonemes: Sequence[Sequence[str]]
    ) -> None:
        """Append a part's sounds; its first sentence goes on with the one before."""
        if text[:1].isspace() and sentences[-1] and sentences[-1][-1] != " ":
            sentences[-1].append(" ")
        for i, sentence in enumerate(phonemes):
            if i:
                sentences.append([])
            sentences[-1].extend(sentence)
        if text[-1:].isspace() and sentences[-1] and sentences[-1][-1] != " ":
            sentences[-1].append(" ")

    def _known(self, sentence: Sequence[str], words: str, request: Request) -> tuple[str, ...]:
        """Return the symbols that the model knows; a sound that it lacks is an error."""
        kept = []
        for symbol in sentence:
            if symbol in self._config.phoneme_id_map:
                kept.append(symbol)
            elif unicodedata.category(symbol[0])[0] == "L":
                raise VoiceError(
                    f"the voice ‘{self._name}’ has no sound for ‘{symbol}’, "
                    f"which ‘{words}’ needs in {request.language}",
                    "write it with `ipa` or `say`, or name another voice",
                )
        while kept and kept[-1] == " ":
            kept.pop()
        heard = any(unicodedata.category(symbol[0])[0] == "L" for symbol in kept)
        return tuple(kept) if heard else ()
