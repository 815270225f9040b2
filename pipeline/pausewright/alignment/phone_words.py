"""Words as their sounds, and what it costs to take the sounds of one for those of another.

"see", "sea" and "C" cost nothing against one another; "fifteen" and "fifty" cost a little.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.frozen import frozen
from pausewright.phones.english import VOWELS, Pronunciations, words_in

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from pausewright.phones.english import Phones

    Costs = NDArray[np.float32]

_CLASSES: Final = (
    ("P", "B"),
    ("T", "D"),
    ("K", "G"),
    ("F", "V", "TH", "DH"),
    ("S", "Z"),
    ("SH", "ZH", "CH", "JH"),
    ("M", "N", "NG"),
    ("L", "R", "ER", "W"),
    ("IY", "IH", "EY", "Y"),
    ("EH", "AE", "AH"),
    ("AA", "AO", "AH", "OW"),
    ("UW", "UH", "OW"),
    ("AY", "OY", "AW"),
    ("HH",),
)
_NEAR_COST: Final = 0.4
_FAR_COST: Final = 1.0
_LOST_COST: Final = 0.7
_BLANKS: Final = re.compile(r"\s+")
_LONG_VOWEL_S: Final = 0.115
_OTHER_S: Final = 0.075


@frozen
class SpokenWord:
    """A word and its sounds."""

    word: str
    phones: Phones
    ends_clause: bool = False
    """Whether a mark follows at which a reader may pause."""

    @property
    def usual_s(self) -> float:
        """About how long it lasts in careful speech."""
        return sum(_LONG_VOWEL_S if one in VOWELS else _OTHER_S for one in self.phones)


def spoken_words(texts: Iterable[str]) -> list[tuple[SpokenWord, ...]]:
    """Return the words of each text with their sounds, without stress."""
    rows = [list(words_in(text)) for text in texts]
    known = Pronunciations(word for row in rows for word, _ in row)
    return [
        tuple(
            SpokenWord(
                word,
                tuple(one.rstrip("012") for one in known.phones(word, after)),
                any(mark in after for mark in ".,;:?!–—\n"),
            )
            for word, after in row
        )
        for row in rows
    ]


def _table() -> dict[tuple[str, str], float]:
    found = {}
    for row in _CLASSES:
        for a in row:
            for b in row:
                found[a, b] = 0.0 if a == b else _NEAR_COST
    return found


_COSTS: Final = _table()


def phone_cost(a: str, b: str) -> float:
    """Return what it costs to take one sound for another: 0 to 1."""
    return 0.0 if a == b else _COSTS.get((a, b), _FAR_COST)


def cost(said: Sequence[str], heard: Sequence[str]) -> float:
    """Return what the cheapest way from the sounds of one to those of the other costs."""
    return float(_costs(said, heard)[-1, -1])


def likeness(said: Sequence[str], heard: Sequence[str]) -> float:
    """Return how alike the sounds of two texts are, 0 to 1."""
    longer = max(len(said), len(heard))
    return max(0.0, 1 - cost(said, heard) / (_LOST_COST * longer)) if longer else 1.0


def _costs(said: Sequence[str], heard: Sequence[str]) -> Costs:
    """Return the costs of all beginnings of one to all of the other."""
    table = np.array([[phone_cost(a, b) for b in heard] for a in said], np.float32)
    found = np.empty((len(said) + 1, len(heard) + 1), np.float32)
    lost = np.arange(len(heard) + 1, dtype=np.float32) * np.float32(_LOST_COST)
    found[0] = lost
    for i in range(len(said)):
        row = np.empty_like(lost)
        row[0] = found[i, 0] + _LOST_COST
        row[1:] = np.minimum(found[i, 1:] + _LOST_COST, found[i, :-1] + table[i])
        # what is heard too much, from left to right
        found[i + 1] = np.minimum.accumulate(row - lost) + lost
    return found


def part_of(said: Sequence[str], heard: Sequence[str]) -> tuple[float, int, int]:
    """Return the cheapest way from a text to any part of what was heard, and which part.

    The cost, and the half-open range of sounds of `heard`.
    """
    if not said or not heard:
        return _LOST_COST * len(said), 0, 0
    table = np.array([[phone_cost(a, b) for b in heard] for a in said], np.float32)
    n, m = table.shape
    best = np.zeros(m + 1, np.float32)
    begun = np.arange(m + 1)
    for i in range(n):
        row = best + np.float32(_LOST_COST)
        starts = begun.copy()
        across = best[:-1] + table[i]
        better = across < row[1:]
        row[1:] = np.where(better, across, row[1:])
        starts[1:] = np.where(better, begun[:-1], starts[1:])
        for j in range(1, m + 1):
            if row[j - 1] + _LOST_COST < row[j]:
                row[j], starts[j] = row[j - 1] + _LOST_COST, starts[j - 1]
        best, begun = row, starts
    end = int(best.argmin())
    return float(best[end]), int(begun[end]), end


def sounds(words: Iterable[SpokenWord]) -> list[str]:
    """Return the sounds of words, one after another."""
    return [one for word in words for one in word.phones]


def plain(text: str) -> str:
    """Return text without marks and capitals, for comparing how it is written."""
    return _BLANKS.sub(" ", "".join(c if c.isalnum() else " " for c in text.casefold())).strip()
