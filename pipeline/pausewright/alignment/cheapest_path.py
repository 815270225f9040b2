"""The cheapest way through two rows that are walked together, each step taking some of both."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable


class Step(NamedTuple):
    """Which places of the first and the second row belong together, half open, and the cost."""

    first: tuple[int, int]
    second: tuple[int, int]
    cost: float


def cheapest_path(
    n: int, m: int, steps: Callable[[int, int], Iterable[tuple[int, int, float]]]
) -> tuple[list[Step], float]:
    """Return the steps from the start of two rows to their ends that cost least, and their sum.

    `n` and `m` are the lengths of the rows. `steps` gives from two places, for each step that stays
    within the rows, how many it takes of either and what it costs. The first of equal ones counts.
    """
    best = [[inf] * (m + 1) for _ in range(n + 1)]
    back = [[(0, 0, 0.0)] * (m + 1) for _ in range(n + 1)]
    best[0][0] = 0.0
    for i in range(n + 1):
        for j in range(m + 1):
            here = best[i][j]
            if here == inf:
                continue
            for di, dj, cost in steps(i, j):
                if here + cost < best[i + di][j + dj]:
                    best[i + di][j + dj] = here + cost
                    back[i + di][j + dj] = (di, dj, cost)
    found: list[Step] = []
    i, j = n, m
    while i or j:
        di, dj, cost = back[i][j]
        found.append(Step((i - di, i), (j - dj, j), cost))
        i, j = i - di, j - dj
    return found[::-1], best[n][m]
