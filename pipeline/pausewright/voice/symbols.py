"""Words to the symbols that two engines share, by the rules of the package hibari.

One symbol is one sound, a stress, a mark or a blank. The alphabet is that of the package's
`vocab.json`, which is the alphabet of both networks.
"""

from __future__ import annotations

import json
import re
import unicodedata
from pathlib import Path
from string import ascii_uppercase
from typing import TYPE_CHECKING, Final

from hibari import tts
from hibari.g2p import G2P

from pausewright.problems import VoiceError
from pausewright.voice.profile import same_language
from pausewright.voice.pronounce import espeak_sounds
from pausewright.voice.shared_load import SharedLoad
from pausewright.voice.word_groups import STRESS, group_ranges, written_words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.voice.engine import Request
    from pausewright.voice.profile import VoiceProfile

FINAL_MARKS: Final = (".", "!", "?", "…")
_FROM_IPA: Final = (
    ("eɪ", "A"),
    ("aɪ", "I"),
    ("aʊ", "W"),
    ("ɔɪ", "Y"),
    ("tʃ", "ʧ"),
    ("dʒ", "ʤ"),
    ("r", "ɹ"),
    ("g", "ɡ"),
)
"""Two signs of IPA that are one symbol of the networks, and two plain letters for IPA's own."""
_FROM_ESPEAK: Final = (
    ("tʃ", "ʧ"),
    ("dʒ", "ʤ"),
    ("ts", "ʦ"),
    ("dz", "ʣ"),
    ("g", "ɡ"),
    ("c\u0327", "ç"),
)
"""The same for the sounds of other languages, which keep their own r."""
_WITHOUT_R: Final = (
    (r"ɪɹ(?![^\W\d_])", "ɪə"),
    (r"ɛɹ(?![^\W\d_])", "ɛː"),
    (r"ɪɹz", "ɪəz"),
    (r"ɛɹz", "ɛːz"),
)
"""Vowels with an r that British English does not sound at the end of a word."""
_NO_LINKS: Final = str.maketrans("[]()", "    ")
"""Brackets would be taken for the package's own marks of pronunciation."""

_LONE_LETTER: Final = re.compile(r"(?<![\w'’.])[B-HJ-Z](?![\w'’])")


def vocabulary() -> Mapping[str, int]:
    """Return the number of each symbol."""
    text = (Path(tts.ASSETS) / "vocab.json").read_text(encoding="utf-8")
    found: dict[str, int] = json.loads(text)
    return found


def is_sound(symbol: str) -> bool:
    """Return whether a symbol is heard: no blank, no mark, no stress."""
    return symbol.isalpha() and symbol not in STRESS


def groups(symbols: str) -> list[str]:
    """Return the sounds of each group between blanks that has any."""
    return [
        "".join(filter(is_sound, symbols[first:end]))
        for first, end in group_ranges(symbols, is_sound)
    ]


_ENGLISH: Final[SharedLoad[bool, G2P]] = SharedLoad()
"""The rules of English by whether they are British: voices of one accent share 0.05 GB."""


class Speller:
    """Spells words in symbols for one voice."""

    def __init__(self, profile: VoiceProfile, *, speaks_others: bool) -> None:
        """Load the tables of pronunciation; takes about a second.

        Parameters
        ----------
        speaks_others : whether the network knows the sounds of other languages than English
        """
        self.numbers = vocabulary()
        self._name = profile.name
        self._language = profile.language
        self._speaks_others = speaks_others
        self._is_english = same_language(profile.language, "en")
        self._is_british = profile.language.lower() == "en-gb"
        self._english = (
            _ENGLISH.get(self._is_british, lambda: G2P(british=self._is_british))
            if self._is_english
            else None
        )
        self._letter_names: dict[str, str] = {}
        if self._english is not None:
            self._letter_names = {
                letter: self._english(letter) for letter in ascii_uppercase if letter not in "AI"
            }

    def symbols(self, request: Request) -> str:
        """Return all symbols of an utterance; call it in one thread.

        Raises
        ------
        VoiceError
            If there is nothing to say, or a sound that the voice lacks.
        """
        pieces = [
            _spaced(
                part.text,
                self._ipa(part.text)
                if part.is_ipa
                else self._words(part.text, part.language or request.language),
            )
            for part in request.spoken
        ]
        symbols = " ".join("".join(pieces).split())
        if not any(symbol.isalpha() for symbol in symbols):
            raise VoiceError(
                f"the voice ‘{self._name}’ finds nothing to say in ‘{request.words}’",
                'write it in words: [that]{say="the words"}',
            )
        mark = request.words.rstrip("”’\"')")[-1:]
        # the rules drop the mark after a letter that stands alone ("Option B.")
        if mark in FINAL_MARKS and not any(symbol in FINAL_MARKS for symbol in symbols[-2:]):
            symbols += mark
        return symbols

    def alone(self, request: Request, symbols: str) -> tuple[str, ...]:
        """Return the sounds of each written word alone, where the groups are not as many."""
        words = written_words(request.spoken)
        if len(words) == len(groups(symbols)):
            return ()
        found = []
        for word in words:
            spelled = "".join(
                self._ipa(part.text)
                if part.is_ipa
                else self._words(part.text, part.language or request.language)
                for part in word
            )
            found.append("".join(filter(is_sound, spelled)))
        return tuple(found)

    def _words(self, text: str, language: str) -> str:
        if self._english is not None and same_language(language, "en"):
            return str(self._english(self._with_letters_named(text)))
        own = same_language(language, self._language)
        sounds = espeak_sounds(language, text) if self._speaks_others or own else None
        if sounds is None:
            raise VoiceError(
                f"the voice ‘{self._name}’ speaks {self._spoken_here()} and cannot say "
                f"‘{text.strip()}’ in {language}",
                f"write it with `ipa`, or name a voice that speaks {language}",
            )
        symbols = " ".join("".join(sentence) for sentence in sounds)
        for espeak, symbol in _FROM_ESPEAK:
            symbols = symbols.replace(espeak, symbol)
        return self._known(symbols, text)

    def _with_letters_named(self, text: str) -> str:
        """Return a text for the rules in which each capital that stands alone has its name.

        By themselves the rules take some for Roman numerals: "Part C" was "part one hundred". What
        is a numeral was put into words before it came here.
        """
        return _LONE_LETTER.sub(
            lambda found: f"[{found[0]}](/{self._letter_names[found[0]]}/)",
            text.translate(_NO_LINKS),
        )

    def _ipa(self, text: str) -> str:
        symbols = " ".join(text.split())
        own_oh = "Q" if self._is_british else "O"
        for ipa, symbol in (*_FROM_IPA, ("oʊ", own_oh), ("əʊ", own_oh)):
            symbols = symbols.replace(ipa, symbol)
        if self._is_british:
            for rhotic, symbol in _WITHOUT_R:
                symbols = re.sub(rhotic, symbol, symbols)
        for symbol in symbols:
            if symbol not in self.numbers:
                raise VoiceError(
                    f"the voice ‘{self._name}’ has no sound for ‘{symbol}’ in the IPA ‘{text}’",
                    "write it with the signs that the voice knows, or use `say` with plain words",
                )
        return symbols

    def _known(self, symbols: str, text: str) -> str:
        """Return the symbols that the network has; a sound that it lacks is an error."""
        for symbol in symbols:
            if symbol not in self.numbers and unicodedata.category(symbol)[0] == "L":
                raise VoiceError(
                    f"the voice ‘{self._name}’ has no sound for ‘{symbol}’, which "
                    f"‘{text.strip()}’ needs",
                    "write it with `ipa` or `say`, or name another voice",
                )
        return "".join(symbol for symbol in symbols if symbol in self.numbers)

    def _spoken_here(self) -> str:
        return "English" if self._is_english else self._language


def _spaced(text: str, symbols: str) -> str:
    before = " " if text[:1].isspace() else ""
    after = " " if text[-1:].isspace() else ""
    return f"{before}{symbols}{after}"
