"""When each word of a known text is said in a stretch of sound, with a ± for each.

The pauses of the sound are laid on the places between words where a reader may pause, so that each
piece between two pauses is as long as its words ask for; inside a piece words share the time by
their sounds. No recogniser is needed.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.alignment.phone_words import SpokenWord

_PAUSE_MS: Final = 170
"""Shorter silences are within words."""
_LONG_PAUSE_MS: Final = 350
_SPREAD: Final = 0.16
"""By which share the length of a piece differs from what its words ask for (a deviation)."""
_SPREAD_MS: Final = 110.0
_NO_MARK: Final = 2.5
"""What a pause between words without a mark costs; a long one twice that."""
_MARK_PASSED: Final = 0.25
_MOST_WORDS: Final = 60
"""Of a piece without a pause."""
_EDGE_MS: Final = 25
_DRIFT: Final = 0.14
"""How far off a word may be, by its distance to the nearer end of its piece."""


@frozen
class TimedWord:
    """A word and when it is said, in ms from the beginning of the sound."""

    word: str
    start_ms: int
    end_ms: int
    within_ms: int
    """By how much its start may be wrong, either way."""


def word_times(
    stretches: Sequence[tuple[int, int]], words: Sequence[SpokenWord]
) -> list[TimedWord]:
    """Return the time of each word, in order; none without sound or words.

    `stretches` are the half-open ranges of sound, in ms, in order.
    """
    pieces = _pieces(stretches)
    if not pieces or not words:
        return []
    usual = [1000 * one.usual_s for one in words]
    sound_ms = sum(end - start for start, end in pieces)
    tempo = sound_ms / max(1.0, sum(usual))
    borders, doubt = _borders(pieces, words, [one * tempo for one in usual])
    found: list[TimedWord] = []
    for (start, end), (first, last), unsure in zip(pieces, pairwise(borders), doubt, strict=True):
        total = sum(usual[first:last])
        done = 0.0
        for k in range(first, last):
            at = start + (end - start) * done / total
            done += usual[k]
            until = start + (end - start) * done / total
            drift = _DRIFT * min(at - start, end - at) + unsure
            found.append(TimedWord(words[k].word, round(at), round(until), round(_EDGE_MS + drift)))
    return found


def _pieces(stretches: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    for start, end in stretches:
        if found and start - found[-1][1] < _PAUSE_MS:
            found[-1] = (found[-1][0], end)
        else:
            found.append((start, end))
    return found


def _borders(
    pieces: Sequence[tuple[int, int]], words: Sequence[SpokenWord], usual_ms: Sequence[float]
) -> tuple[list[int], list[float]]:
    """Return before which word each piece begins, and at the end how many words there are.

    Also by how many ms each piece may be wrong, from how much dearer another place for its border
    would be. A piece may hold no word (a cough).
    """
    n, m = len(pieces), len(words)
    sums = [0.0]
    for one in usual_ms:
        sums.append(sums[-1] + one)
    marks = [0]
    for word in words:
        marks.append(marks[-1] + word.ends_clause)
    infinite = float("inf")
    best = [[infinite] * (m + 1) for _ in range(n + 1)]
    back = [[0] * (m + 1) for _ in range(n + 1)]
    best[0][0] = 0.0
    for i, (start, end) in enumerate(pieces):
        pause_ms = pieces[i + 1][0] - end if i + 1 < n else 0
        for b in range(m + 1):
            if i + 1 == n and b != m:
                continue
            here = 0.0
            if 0 < b < m and not words[b - 1].ends_clause:
                here = _NO_MARK * (2 if pause_ms > _LONG_PAUSE_MS else 1)
            for a in range(max(0, b - _MOST_WORDS), b + 1):
                if best[i][a] == infinite:
                    continue
                asked = sums[b] - sums[a]
                spread = _SPREAD * asked + _SPREAD_MS
                passed = max(0, marks[max(a, b - 1)] - marks[a])
                total = (
                    best[i][a]
                    + ((end - start - asked) / spread) ** 2
                    + here
                    + _MARK_PASSED * passed
                )
                if total < best[i + 1][b]:
                    best[i + 1][b] = total
                    back[i + 1][b] = a
    if best[n][m] == infinite:  # more words than pieces can hold: they share the whole
        return _shared(pieces, sums), [float(pieces[-1][1] - pieces[0][0]) / 10] * n
    borders = [m]
    for i in range(n, 0, -1):
        borders.append(back[i][borders[-1]])
    borders.reverse()
    return borders, _unsure(pieces, borders, sums, words)


def _shared(pieces: Sequence[tuple[int, int]], sums: Sequence[float]) -> list[int]:
    total = sum(end - start for start, end in pieces)
    borders, done = [0], 0
    for start, end in pieces[:-1]:
        done += end - start
        wanted = sums[-1] * done / total
        at = min(range(len(sums)), key=lambda k: abs(sums[k] - wanted))
        borders.append(max(borders[-1], at))
    return [*borders, len(sums) - 1]


def _unsure(
    pieces: Sequence[tuple[int, int]],
    borders: Sequence[int],
    sums: Sequence[float],
    words: Sequence[SpokenWord],
) -> list[float]:
    """Return for each piece how far the length of its sound is from what its words ask for.

    A border behind a mark is trusted more.
    """
    found = []
    for (start, end), (a, b) in zip(pieces, pairwise(borders), strict=True):
        asked = sums[b] - sums[a]
        off = abs(end - start - asked)
        is_marked = (a == 0 or words[a - 1].ends_clause) and (
            b == len(words) or words[b - 1].ends_clause
        )
        found.append(off * (0.5 if is_marked else 1.0) if b > a else 0.0)
    return found
