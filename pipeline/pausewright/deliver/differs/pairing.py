"""Which unit of the old contents is which of the new: by what they hold, then by their places."""

from __future__ import annotations

from collections import defaultdict
from difflib import SequenceMatcher
from itertools import pairwise
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Sequence

    from pausewright.records.shapes import ContentsUnit

LEAST_ALIKE: Final = 0.3
"""Share of words that two questions have in common, from which one is taken for the other changed,
where as many do not stand between the same neighbours."""
_STAYS: Final = 1000
"""Of two units that have changed places a question is the one that stayed."""


def pairs_of(old: Sequence[ContentsUnit], new: Sequence[ContentsUnit]) -> list[tuple[int, int]]:
    """Return pairs of indices, in the order of the new ones: the same unit before and after."""
    found = _Pairing(old, new)
    found.in_order(lambda unit: (unit.kind, unit.same))
    found.anywhere(lambda unit: (unit.kind, unit.same))
    found.anywhere(lambda unit: (unit.kind, unit.own_words) if unit.own_words else None)
    found.between_neighbours()
    return sorted(((i, j) for i, j in found.to_new.items()), key=lambda pair: pair[1])


def moved(pairs: Sequence[tuple[int, int]], kinds: Sequence[str]) -> set[int]:
    """Return the new indices of units that stand in another order among the others.

    `kinds` are those of the new units. A question that has another place has another number, and
    is not among them if something else can be.
    """
    rows = sorted(pairs)
    if all(a[1] < b[1] for a, b in pairwise(rows)):
        return set()
    weights = [_STAYS if kinds[j].endswith("question") else 1 for _, j in rows]
    best: list[tuple[int, int]] = []
    for at, (_, j) in enumerate(rows):
        before = [(best[k][0], k) for k in range(at) if rows[k][1] < j]
        weight, k = max(before, default=(0, -1))
        best.append((weight + weights[at], k))
    at = max(range(len(best)), key=lambda k: best[k][0])
    stay = set()
    while at >= 0:
        stay.add(rows[at][1])
        at = best[at][1]
    return {j for _, j in rows} - stay


class _Pairing:
    def __init__(self, old: Sequence[ContentsUnit], new: Sequence[ContentsUnit]) -> None:
        self.old, self.new = old, new
        self.to_new: dict[int, int] = {}
        self.to_old: dict[int, int] = {}

    def _pair(self, i: int, j: int) -> None:
        self.to_new[i], self.to_old[j] = j, i

    def in_order(self, key: Callable[[ContentsUnit], Hashable]) -> None:
        """Pair what is equal and stands in the same order."""
        matcher = SequenceMatcher(
            None, [*map(key, self.old)], [*map(key, self.new)], autojunk=False
        )
        for i, j, n in matcher.get_matching_blocks():
            for k in range(n):
                self._pair(i + k, j + k)

    def anywhere(self, key: Callable[[ContentsUnit], Hashable]) -> None:
        """Pair what is left and equal, wherever it stands."""
        free: defaultdict[Hashable, list[int]] = defaultdict(list)
        for i, unit in enumerate(self.old):
            if i not in self.to_new:
                free[key(unit)].append(i)
        for j, unit in enumerate(self.new):
            one = key(unit)
            if j not in self.to_old and one is not None and free.get(one):
                self._pair(free[one].pop(0), j)

    def between_neighbours(self) -> None:
        """Pair what is left of one kind between the same neighbours: in order if as many are."""
        gaps: dict[tuple[int, str], tuple[list[int], list[int]]] = {}
        last = -1
        for i, unit in enumerate(self.old):
            if i in self.to_new:
                last = i
            else:
                gaps.setdefault((last, unit.kind), ([], []))[0].append(i)
        last = -1
        for j, unit in enumerate(self.new):
            if j in self.to_old:
                last = self.to_old[j]
            else:
                gaps.setdefault((last, unit.kind), ([], []))[1].append(j)
        for olds, news in gaps.values():
            if len(olds) == len(news):
                for i, j in zip(olds, news, strict=True):
                    self._pair(i, j)
            else:
                self._alike(olds, news)

    def _alike(self, olds: Sequence[int], news: Sequence[int]) -> None:
        """Pair in order so that as many words as can be are common."""
        n_old, n_new = len(olds), len(news)
        best = [[0.0] * (n_new + 1) for _ in range(n_old + 1)]
        for a in range(n_old - 1, -1, -1):
            for b in range(n_new - 1, -1, -1):
                own = _likeness(self.old[olds[a]], self.new[news[b]])
                paired = own + best[a + 1][b + 1] if own >= LEAST_ALIKE else 0.0
                best[a][b] = max(best[a + 1][b], best[a][b + 1], paired)
        a = b = 0
        while a < n_old and b < n_new:
            if best[a][b] == best[a + 1][b]:
                a += 1
            elif best[a][b] == best[a][b + 1]:
                b += 1
            else:
                self._pair(olds[a], news[b])
                a, b = a + 1, b + 1


def _likeness(old: ContentsUnit, new: ContentsUnit) -> float:
    one, other = set(old.traits), set(new.traits)
    return len(one & other) / len(one | other) if one | other else 0.0
