"""Recordings with words: cut at their own silences, and their words shared out over the parts.

A recogniser hears half a minute at most at once. A longer recording is heard part by part; which
words of the script belong to which part is found by what is heard in each.
"""

from __future__ import annotations

from difflib import SequenceMatcher
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from pausewright.checker.ear.spoken import plain_words, spoken

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.match.measured import Frames

PART_S: Final = 20
"""Length that a part should not pass."""
LONGEST_S: Final = 27
"""Length that it must not: sound without a silence is cut in equal pieces."""
_ENDS: Final = (".", "?", "!", ";", ":", ",")


def parts_of(stretches: Sequence[Frames], rate_hz: int) -> list[Frames]:
    """Return ranges of frames to be heard one by one: whole stretches of sound, cut at silences.

    Where a part would be too long it ends at the longest silence in its second half.
    """
    found: list[Frames] = []
    first = 0
    while first < len(stretches):
        last = first
        while (
            last + 1 < len(stretches)
            and stretches[last + 1][1] - stretches[first][0] <= PART_S * rate_hz
        ):
            last += 1
        if last + 1 < len(stretches):
            half = stretches[first][0] + PART_S * rate_hz // 2
            usable = [i for i in range(first, last + 1) if stretches[i][1] >= half] or [last]
            last = max(usable, key=lambda i: stretches[i + 1][0] - stretches[i][1])
        found += _not_too_long((stretches[first][0], stretches[last][1]), rate_hz)
        first = last + 1
    return found


def _not_too_long(part: Frames, rate_hz: int) -> list[Frames]:
    start, end = part
    n = -(-(end - start) // (LONGEST_S * rate_hz))
    edges = [start + (end - start) * k // n for k in range(n + 1)]
    return list(pairwise(edges))


def shared_out(words: str, heard: Sequence[str]) -> list[str]:
    """Return the part of a text that belongs to each part of a recording, by what was heard there.

    The texts together are the whole text. A border that is not clear lies behind a mark if there
    is one near.
    """
    tokens = words.split()
    said = [(word, at) for at, token in enumerate(tokens) for word in _plain(token)]
    there = [(word, part) for part, text in enumerate(heard) for word in _plain(text)]
    blocks = SequenceMatcher(
        None, [w for w, _ in said], [w for w, _ in there], autojunk=False
    ).get_matching_blocks()
    pairs = [(said[b.a + k][1], there[b.b + k][1]) for b in blocks for k in range(b.size)]
    borders = [0]
    for part in range(len(heard) - 1):
        before = max((at + 1 for at, where in pairs if where <= part), default=borders[-1])
        after = min((at for at, where in pairs if where > part), default=len(tokens))
        low = max(before, borders[-1])
        borders.append(_border(tokens, low, max(low, after)))
    borders.append(len(tokens))
    return [" ".join(tokens[a:b]) for a, b in pairwise(borders)]


def _border(tokens: Sequence[str], low: int, high: int) -> int:
    """Return before which word of `low` to `high` a part ends: behind the strongest mark."""
    middle = (low + high) / 2

    def unfit(at: int) -> tuple[int, float]:
        end = tokens[at - 1].rstrip("”’\"'")[-1:] if at else "."
        rank = _ENDS.index(end) if end in _ENDS else len(_ENDS)
        return min(rank, 3) // 3 + (rank == len(_ENDS)), abs(at - middle)

    return min(range(low, high + 1), key=unfit)


def _plain(text: str) -> tuple[str, ...]:
    return plain_words(spoken(text, is_heard=False))
