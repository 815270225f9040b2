"""When the words of a recording are heard on a track, from the pauses that were measured in it.

The check's own way, by letters and marks: a pause stands behind the mark whose share of the
letters is nearest to its share of the sound. Between two such places words share the sound by
their letters, and how far each may be off follows from how far it is from the nearer of them and
from how well the places fit.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

_PAUSE_MS: Final = 180
_LONG_PAUSE_MS: Final = 400
_MARKS: Final = (".", ",", ";", ":", "?", "!", "…", "–", "—")
_BY_LETTERS: Final = 0.25
"""How much more or fewer letters than usual are said in a second."""
_LEAST_MS: Final = 150
_NO_MARK: Final = 3.0
_MOST_WORDS: Final = 80


@frozen
class WordPlaces:
    """When words begin, in ms from the start of their sound, and how far each may be off."""

    begins_ms: tuple[int, ...]
    """One more than there are words: the last is the end."""
    within_ms: tuple[int, ...]


def word_places(words: Sequence[str], parts_ms: Sequence[tuple[int, int]]) -> WordPlaces | None:
    """Return when words begin that are heard in stretches of sound; None where nothing tells.

    `parts_ms` are the stretches, in ms from the start of the sound, in order.
    """
    pieces: list[tuple[int, int]] = []
    for start, end in parts_ms:
        if pieces and start - pieces[-1][1] < _PAUSE_MS:
            pieces[-1] = (pieces[-1][0], end)
        else:
            pieces.append((start, end))
    if not pieces or not words:
        return None
    letters = [0]
    for word in words:
        letters.append(
            letters[-1] + sum(c.isalnum() for c in word) * (2 if _is_figure(word) else 1) + 1
        )
    sound_ms = sum(end - start for start, end in pieces)
    borders = _borders(pieces, words, letters, sound_ms / letters[-1])
    if borders is None:
        return None
    begins: list[int] = []
    within: list[int] = []
    rate = sound_ms / letters[-1]
    for (start, end), (a, b) in zip(pieces, pairwise(borders), strict=True):
        n = letters[b] - letters[a]
        off = abs((end - start) - n * rate)
        for k in range(a, b):
            at = start + (end - start) * (letters[k] - letters[a]) / n
            begins.append(round(at))
            within.append(round(_LEAST_MS + off + _BY_LETTERS * min(at - start, end - at)))
    return WordPlaces((*begins, pieces[-1][1]), (*within, 0))


def _is_figure(word: str) -> bool:
    return any(c.isdigit() for c in word)


def _borders(
    pieces: Sequence[tuple[int, int]], words: Sequence[str], letters: Sequence[int], rate: float
) -> list[int] | None:
    """Return before which word each piece begins, and the count of words."""
    n_words = len(words)
    costs: dict[int, tuple[float, tuple[int, ...]]] = {0: (0.0, (0,))}
    for i, (start, end) in enumerate(pieces):
        is_last = i + 1 == len(pieces)
        pause_ms = 0 if is_last else pieces[i + 1][0] - end
        reached: dict[int, tuple[float, tuple[int, ...]]] = {}
        for a, (cost, way) in costs.items():
            lasts = (n_words,) if is_last else range(a, min(n_words, a + _MOST_WORDS) + 1)
            for b in lasts:
                asked = (letters[b] - letters[a]) * rate
                off = (end - start - asked) / (_BY_LETTERS * asked + _LEAST_MS)
                total = cost + off * off
                if not is_last and 0 < b < n_words and not words[b - 1].endswith(_MARKS):
                    total += _NO_MARK * (2 if pause_ms > _LONG_PAUSE_MS else 1)
                if b not in reached or total < reached[b][0]:
                    reached[b] = (total, (*way, b))
        costs = reached
    found = costs.get(n_words)
    return list(found[1]) if found else None
