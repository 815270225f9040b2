"""Which stretch of sound is which expected sound: a cheapest monotone alignment.

Expected chunks and measured stretches are walked together. A chunk may be heard as several
stretches (commas), be missing, or run into the next one; a stretch may be extra. Costs are like
negative logarithms of likelihood: 0 for what fits, about 7 for an expected sound that is not
there or a stretch that nobody expected, and less for each one more in a row. Dynamic programming
by rows, each row only as wide as the costs near its best, so that time and memory grow with the
length of the test alone.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

FIRST = 4.0
"""Cost of beginning a run of missing or extra sounds: one long run is likelier than many short."""
MISSING = 2.5
"""Cost of each missing sound in it."""
EXTRA = 2.5
"""Cost of each extra stretch in it."""
EXTRA_BLIP = 1.0
"""The same under 0.15 s."""
EXTRA_REST = 0.7
"""The same less than 0.45 s after another stretch: likely more of the same sound."""
FUSED = 9.0
"""Cost of two chunks in one stretch: the silence between them is gone."""
FILLED = 7.0
"""The same where it is full of sound, and the stretch longer by just so much."""
MOST_FUSED_PARTS = 3
"""In so many stretches two such chunks are looked for; each more takes time at every chunk."""
BESIDE_SKIP, BESIDE_SKIP_SHARE = 1.0, 0.8
"""Cost of a silence beside something missing or extra: it should still be like one of the
silences expected near here, so the least of their costs counts by this share."""
MID_READING = 1.5
"""Added where something missing begins or ends in the middle of a reading or block."""
NEAR = 7
"""How many expected silences, back from the present one, are near."""
CUT_OFF_S = 0.05
"""Less silence than this after the last stretch: the file ends inside a sound."""
CUT_OFF = 0.5
"""Most that such a last sound costs for being too short."""
CLOSE_STRAY, CLOSE_STRAY_S = 0.06, 0.03
"""By how much an utterance strays from what its voice needs for the words: standard deviation as a
share, and in seconds."""
WORST_GAP = 6.0
WORST_LENGTH = 4.5
NEVER = 50.0
BEAM = 250.0
"""Rows keep what costs at most this more than their best: some 100 lost sounds in a row."""
WIDE_BEAM = 8000.0
"""The same where much is lost; slower in the square of the length."""


@frozen
class Chunk:
    """An expected sound, or several with hardly a silence between them."""

    gap_before_s: float
    """The silence expected before it."""
    seconds: float | None
    """Estimated or known length; None if nothing is known."""
    is_exact: bool = False
    """Whether the length is known and not estimated (a tone, a recorded sound)."""
    most_parts: int = 1
    """In how many stretches it may be heard."""
    is_opening: bool = True
    """Whether a reading or a block of the script begins with it."""
    may_pause: bool = False
    """Whether long silences inside belong to it (recorded sounds)."""
    is_close: bool = False
    """Whether the length is estimated by what the voice itself needs for the words."""


@frozen
class Alignment:
    """For each chunk the half-open range of stretches that it was heard as; None if missing."""

    found: tuple[tuple[int, int] | None, ...]
    fused: frozenset[int]
    """Chunks that share their stretches with the chunk before them."""
    cost: float


@frozen
class Stretches:
    """The measured stretches of sound in seconds, in order and without overlaps."""

    starts_s: Floats
    """Shape (n_stretches,)."""
    ends_s: Floats
    """Shape (n_stretches,)."""
    trail_s: float
    """Silence after the last one."""


def skip_cost(n_missing: int) -> float:
    """Return the least that it costs in an alignment that so many sounds in a row are missing."""
    return FIRST + MISSING * n_missing + BESIDE_SKIP


def align(
    chunks: Sequence[Chunk], stretches: Stretches, run_out_s: float, beam: float = BEAM
) -> Alignment:
    """Return the cheapest alignment of expected chunks with stretches of sound.

    `run_out_s` is the silence expected after the last chunk; `beam` how much dearer than the
    best so far an alignment may become before it is given up.
    """
    return _Table(chunks, stretches, run_out_s, beam).solved()


@frozen
class _Row:
    """Costs of having consumed some chunks, by the number of stretches consumed, from `low`."""

    low: int
    matched: Floats
    """The last chunk was heard up to here."""
    skipped: Floats
    """Something was skipped last: a chunk is missing or a stretch is extra."""
    source: Floats
    """Cost of being about to hear the next chunk; filled when that chunk is known."""


@frozen
class _Steps:
    """How each cost of a row came about, to walk back."""

    low: int
    parts: NDArray[np.int16]
    """In how many stretches the last chunk was heard; negative if with the chunk before."""
    skip: NDArray[np.int8]
    """1: chunk missing after a skip; 2: chunk missing after a match; 3: stretch extra."""
    is_begun: NDArray[np.bool_]
    """Whether an extra stretch next begins a run, coming from a match."""
    from_skip: NDArray[np.bool_]
    """Whether the next chunk starts from a skip; filled when that chunk is known."""


class _Table:
    def __init__(
        self, chunks: Sequence[Chunk], stretches: Stretches, run_out_s: float, beam: float
    ) -> None:
        self._chunks = chunks
        self._beam = beam
        self._starts, self._ends = starts_s, ends_s = stretches.starts_s, stretches.ends_s
        self._is_cut_off = stretches.trail_s < CUT_OFF_S
        trail = gap_costs(np.array([stretches.trail_s]), run_out_s)
        self._end = BESIDE_SKIP_SHARE * float(trail[0])
        self._n = len(starts_s)
        before = np.concatenate([[0.0], ends_s[:-1]]) if self._n else np.zeros(0)
        self._gaps = starts_s - before
        pause = 0.4 + 12.0 * np.maximum(0.0, self._gaps - 0.45)
        self._inside = np.cumsum(np.where(self._gaps > 2.5, NEVER, pause))
        blip = ends_s - starts_s < 0.15
        one = np.where(blip, EXTRA_BLIP, EXTRA)
        one[1:][self._gaps[1:] < 0.45] = EXTRA_REST
        self._extra = np.concatenate([[0.0], np.cumsum(one)])
        self._steps: list[_Steps] = []

    def solved(self) -> Alignment:
        width = min(self._n, 64) + 1
        matched = np.full(width, np.inf)
        matched[0] = 0.0
        parts = np.zeros(width, dtype=np.int16)
        nothing = np.full(width, np.inf)
        row = self._finished(0, matched, nothing, parts, np.zeros(width, dtype=np.int8))
        earlier: _Row | None = None
        for at in range(len(self._chunks)):
            row, earlier = self._next_row(at, row, earlier), row
        rest = self._extra[-1] - self._extra[row.low : row.low + len(row.matched)]
        is_over = np.arange(row.low, row.low + len(rest)) < self._n
        ended = row.matched + np.where(is_over, FIRST, self._end)
        best = np.minimum(ended, row.skipped) + rest
        last = int(np.argmin(best))
        is_skip = bool(row.skipped[last] < ended[last])
        return self._traced(row.low + last, float(best[last]), is_skip=is_skip)

    def _next_row(self, at: int, row: _Row, earlier: _Row | None) -> _Row:
        chunk = self._chunks[at]
        width = len(row.matched)
        mid = 0.0 if chunk.is_opening else MID_READING
        # where the chunk can start: after the last one directly, or after a skip
        upto = min(width, self._n - row.low)
        gaps = self._gaps[row.low : row.low + upto]
        direct = np.full(width, np.inf)
        direct[:upto] = row.matched[:upto] + gap_costs(gaps, chunk.gap_before_s)
        near = {c.gap_before_s for c in self._chunks[max(0, at - NEAR + 1) : at + 1]}
        beside = np.min([gap_costs(gaps, gap_s) for gap_s in near], axis=0)
        resumed = np.full(width, np.inf)
        resumed[:upto] = row.skipped[:upto] + BESIDE_SKIP + mid + BESIDE_SKIP_SHARE * beside
        source = np.minimum(direct, resumed)
        self._steps[-1].from_skip[:] = resumed < direct
        row.source[:] = source

        new_width = min(width + chunk.most_parts + 40, self._n - row.low + 1)
        matched = np.full(new_width, np.inf)
        how = np.zeros(new_width, dtype=np.int16)
        for parts in range(1, chunk.most_parts + 1):
            n = min(width, new_width - parts)
            if n <= 0:
                break
            cost = source[:n] + self._heard_cost(chunk, chunk.seconds, row.low, n, parts)
            better = cost < matched[parts : parts + n]
            matched[parts : parts + n][better] = cost[better]
            how[parts : parts + n][better] = parts
        if earlier is not None:
            self._fuse(at, row, earlier, matched, how)

        missing = np.full(new_width, np.inf)
        skip = np.ones(new_width, dtype=np.int8)
        begun = row.matched + mid + FIRST
        missing[:width] = np.minimum(row.skipped, begun) + MISSING
        skip[:width][begun < row.skipped] = 2
        return self._finished(row.low, matched, missing, how, skip)

    def _finished(
        self,
        low: int,
        matched: Floats,
        missing: Floats,
        parts: NDArray[np.int16],
        skip: NDArray[np.int8],
    ) -> _Row:
        """Add the extra stretches to a row, cut it to what is near its best, and keep its steps."""
        base = self._extra[low : low + len(matched)]
        reached = np.minimum.accumulate(np.minimum(matched + FIRST, missing) - base)
        extra = np.concatenate([[np.inf], reached[:-1] + base[1:]])
        is_extra = extra < missing
        skipped = np.where(is_extra, extra, missing)
        skip = np.where(is_extra, 3, skip).astype(np.int8)
        best = np.minimum(matched, skipped)
        near = np.flatnonzero(best <= best.min() + self._beam)
        kept = slice(int(near[0]), int(near[-1]) + 1)
        low += kept.start
        matched, skipped = matched[kept].copy(), skipped[kept].copy()
        self._steps.append(
            _Steps(
                low,
                parts[kept].copy(),
                skip[kept].copy(),
                matched + FIRST <= skipped,
                np.zeros(len(matched), dtype=np.bool_),
            )
        )
        return _Row(low, matched, skipped, np.empty_like(matched))

    def _heard_cost(
        self, chunk: Chunk, seconds: float | None, low: int, n: int, parts: int
    ) -> Floats:
        """Return what it costs to hear a chunk as `parts` stretches from each of `n` places."""
        first = slice(low, low + n)
        last = slice(low + parts - 1, low + parts - 1 + n)
        span = self._ends[last] - self._starts[first]
        if chunk.is_close and seconds is not None:
            cost = close_costs(span, seconds)
        else:
            cost = length_costs(span, seconds, is_exact=chunk.is_exact)
        if parts > 1 and not chunk.may_pause:
            cost = cost + (self._inside[last] - self._inside[first])
        at_end = self._n - low - parts
        if self._is_cut_off and seconds is not None and 0 <= at_end < n and span[at_end] < seconds:
            cost[at_end] = min(cost[at_end], CUT_OFF)
        return cost

    def _fuse(
        self,
        at: int,
        row: _Row,
        earlier: _Row,
        matched: Floats,
        how: NDArray[np.int16],
    ) -> None:
        """Add the ways in which nothing parts this chunk from the one before it."""
        one, two = self._chunks[at - 1], self._chunks[at]
        if one.seconds is None or two.seconds is None or one.is_exact != two.is_exact:
            return
        gone_s = one.seconds + two.seconds
        filled_s = gone_s + two.gap_before_s
        close = replace(two, is_close=True)
        shift = earlier.low - row.low
        for parts in range(1, min(one.most_parts + two.most_parts, MOST_FUSED_PARTS + 1)):
            n = min(len(earlier.source), self._n - earlier.low - parts + 1)
            if n <= 0:
                return
            gone = FUSED + self._heard_cost(two, gone_s, earlier.low, n, parts)
            filled = FILLED + self._heard_cost(close, filled_s, earlier.low, n, parts)
            cost = earlier.source[:n] + np.minimum(gone, filled)
            from_, to = max(0, -shift - parts), min(n, len(matched) - shift - parts)
            if to <= from_:
                continue
            place = slice(from_ + shift + parts, to + shift + parts)
            better = cost[from_:to] < matched[place]
            matched[place][better] = cost[from_:to][better]
            how[place][better] = -parts

    def _traced(self, j: int, cost: float, *, is_skip: bool) -> Alignment:
        found: list[tuple[int, int] | None] = [None] * len(self._chunks)
        fused: set[int] = set()
        row = len(self._chunks)
        while row > 0:
            steps = self._steps[row]
            k = j - steps.low
            if is_skip and steps.skip[k] == 3:
                j -= 1
                is_skip = not steps.is_begun[k - 1]
                continue
            if is_skip:
                row -= 1
                is_skip = steps.skip[k] == 1
                continue
            parts = int(steps.parts[k])
            n = abs(parts)
            found[row - 1] = (j - n, j)
            if parts < 0:
                fused.add(row - 1)
                row -= 1
                found[row - 1] = (j - n, j)
            row, j = row - 1, j - n
            steps = self._steps[row]
            is_skip = bool(steps.from_skip[j - steps.low])
        return Alignment(tuple(found), frozenset(fused), cost)


def gap_costs(measured_s: Floats, expected_s: float) -> Floats:
    """Return what measured silences cost where `expected_s` is expected: 0 within 30 ms."""
    ratio = np.abs(np.log((measured_s + 0.15) / (expected_s + 0.15)))
    off: Floats = np.minimum(WORST_GAP, 1.0 + 5.0 * ratio)
    off[np.abs(measured_s - expected_s) <= 0.03] = 0.0
    return off


def close_costs(span_s: Floats, seconds: float) -> Floats:
    """Return what measured lengths cost where `seconds` is what the voice needs for the words.

    A negative logarithm of a normal distribution; a short sound strays by its edges too.
    """
    stray = math.hypot(CLOSE_STRAY, CLOSE_STRAY_S / seconds)
    ratio = np.log(np.maximum(span_s, 1e-3) / seconds) / stray
    cost: Floats = np.minimum(WORST_LENGTH, 0.5 * ratio**2)
    return cost


def length_costs(span_s: Floats, seconds: float | None, *, is_exact: bool) -> Floats:
    """Return what measured lengths cost where `seconds` is known, estimated or None."""
    if seconds is None:
        return np.full(len(span_s), 0.5)
    if is_exact:
        over: Floats = np.maximum(0.0, np.abs(span_s - seconds) - 0.03) * 20
        return np.minimum(WORST_LENGTH, over)
    ratio = np.abs(np.log(np.maximum(span_s, 1e-3) / seconds))
    cost: Floats = np.minimum(WORST_LENGTH, 0.5 * (ratio / 0.2) ** 1.5)
    return cost
