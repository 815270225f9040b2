"""Measured silences as their makers are likely to have declared them."""

from __future__ import annotations

from statistics import median
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

_NEAR_MS: Final = 350
"""Silences of the same kind in a row that differ by no more are taken for one declared value."""
_GRIDS_MS: Final = ((60_000, 15_000, 500), (20_000, 5_000, 400), (2_500, 1_000, 300))
"""From which length on, what declared values are multiples of, and how near one must be."""
_OTHER_SHARE: Final = 1.45
"""By how many times the silences around it a single one must be longer or shorter."""
_AROUND: Final = 2
_LEAST_SHARE: Final = 0.92
"""Of all others, in a shortest one: where times change, half the longer is near the shorter."""
_SELDOM: Final = 4
"""One in so many may be unlike those around it, or one at all."""
_FINE_MS: Final = 500
_FINEST_MS: Final = 100


def likely_ms(measured_ms: float) -> int:
    """Return the value that a measured silence was likely meant to have, in ms.

    Whole seconds (of long silences multiples of 5 s or 15 s) where one is near, else half seconds,
    else tenths.
    """
    for least, grid, near in _GRIDS_MS:
        value = round(measured_ms / grid) * grid
        if measured_ms >= least and value and abs(measured_ms - value) <= near:
            return value
    value = round(measured_ms / 1000) * 1000
    if value and abs(measured_ms - value) <= min(300, 0.1 * measured_ms):
        return value
    value = round(measured_ms / _FINE_MS) * _FINE_MS
    if value and abs(measured_ms - value) <= 0.1 * measured_ms:
        return value
    return max(_FINEST_MS, round(measured_ms / _FINEST_MS) * _FINEST_MS)


def likely_values(measured_ms: Sequence[float | None]) -> list[int | None]:
    """Return the likely values of silences of one kind in order; None for one that is not known.

    Neighbours that differ little get one value: that of their median.
    """
    found: list[int | None] = [None] * len(measured_ms)
    group: list[int] = []
    for i, value in enumerate(measured_ms):
        if value is None:
            continue
        if group and abs(value - median(measured_ms[k] or 0 for k in group)) > _NEAR_MS:
            _fill(found, measured_ms, group)
            group = []
        group.append(i)
    _fill(found, measured_ms, group)
    return found


def unusual(values_ms: Sequence[int | None]) -> list[tuple[int, int]]:
    """Return which silences of one kind are unlike those around them, and what those last.

    One that is shorter than both beside it or the shortest of all by itself, or one that is longer
    where those are alike. The first and the last
    may belong to longer ones: there only a shorter one counts, against the two next to it. Where
    many are unlike they are meant to be so.
    """
    known = [(i, value) for i, value in enumerate(values_ms) if value]
    last = len(known) - 1
    found = []
    for k, (i, value) in enumerate(known):
        first = max(0, min(k - 1, last - _AROUND))
        around = [known[at][1] for at in range(first, min(first + _AROUND, last) + 1) if at != k]
        if len(around) < _AROUND:
            continue
        are_alike = max(around) < _OTHER_SHARE * min(around)
        is_longer = value >= _OTHER_SHARE * max(around) and 0 < k < last
        others = [ms for at, (_, ms) in enumerate(known) if at != k]
        is_least = len(others) > _SELDOM and 0 < k < last and value <= _LEAST_SHARE * min(others)
        if value * _OTHER_SHARE <= min(around) or (is_longer and are_alike) or is_least:
            found.append((i, around[0]))
    return found if len(found) <= max(1, len(known) // _SELDOM) else []


def _fill(
    found: list[int | None], measured_ms: Sequence[float | None], group: Sequence[int]
) -> None:
    if group:
        value = likely_ms(median(measured_ms[i] or 0 for i in group))
        for i in group:
            found[i] = value
