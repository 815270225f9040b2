"""Filters of a stream, running means and other rates, with numpy alone.

Loading a library of filters costs a check more than all its filtering
(docs/decisions/filters.md). The builder's filters are a module of its own.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    Samples: TypeAlias = NDArray[np.float32]
    Floats: TypeAlias = NDArray[np.float64]

BLOCK = 64
"""Samples that are filtered together by one matrix."""
GROUP = 64
"""Blocks whose states come from one matrix."""
NOTHING = 1e-100
"""A smaller state counts as rest: a processor takes a hundred times as long over numbers that are
almost too small for it (denormal ones), to which a filter comes in silence."""
PIECE_BLOCKS = 512
"""Blocks that are filtered at once: more would not stay in the processor's cache."""
KAISER_BETA = 5.0
ZERO_CROSSINGS = 10
"""Of the low-pass filter of `resampled`, on each side: what scipy's `resample_poly` has."""


class StreamFilter:
    """Recursive filters that follow one another, in state-space form, block by block.

    What goes in comes out a little later, in whole blocks. A block's output is one matrix times
    its samples and another times the state before it (a textbook form of block filtering; from
    memory).
    """

    def __init__(self, sections: Floats, n_channels: int) -> None:
        """Start at rest.

        Parameters
        ----------
        sections : shape (n_sections, 6): three coefficients of what goes in, three of what came
            out, of rising delay; the first of the latter is 1
        n_channels : of the stream
        """
        self._form = _block_form(tuple(tuple(map(float, section)) for section in sections))
        self._n_channels = n_channels
        self._states = np.zeros((n_channels, 2 * len(sections)))
        self._waiting = np.empty((n_channels, PIECE_BLOCKS * BLOCK))
        self._n_waiting = 0

    def add(self, samples: Samples | Floats) -> Iterator[Floats]:
        """Take the next samples, shape (n_channels, n); yield what is filtered, in order."""
        at, n_samples = 0, samples.shape[1]
        while at < n_samples:
            take = min(n_samples - at, self._waiting.shape[1] - self._n_waiting)
            end = self._n_waiting + take
            self._waiting[:, self._n_waiting : end] = samples[:, at : at + take]
            self._n_waiting = end
            at += take
            if end == self._waiting.shape[1]:
                yield self._filtered(end)
                self._n_waiting = 0

    def finish(self) -> Iterator[Floats]:
        """Yield what was taken and has not come out yet, and be at rest again."""
        n = self._n_waiting
        if n:
            whole = -(-n // BLOCK) * BLOCK
            self._waiting[:, n:whole] = 0
            yield self._filtered(whole)[:, :n]
        self._n_waiting = 0
        self._states[:] = 0

    def _filtered(self, n_samples: int) -> Floats:
        """Return what comes of the first samples that wait: whole blocks."""
        form = self._form
        n_blocks, n_states = n_samples // BLOCK, self._states.shape[1]
        n_groups = -(-n_blocks // GROUP)
        found = np.empty((self._n_channels, n_samples))
        for channel in range(self._n_channels):
            blocks = self._waiting[channel, :n_samples].reshape(n_blocks, BLOCK)
            pushes = np.zeros((n_groups * GROUP, n_states))
            pushes[:n_blocks] = blocks @ form.push
            grouped = pushes.reshape(n_groups, GROUP * n_states) @ form.within
            state = self._states[channel]
            for n in range(n_groups):
                grouped[n] += state @ form.onwards
                state = grouped[n, -n_states:]
            before = grouped.reshape(n_groups, GROUP + 1, n_states)
            states = before[:, :GROUP].reshape(-1, n_states)[:n_blocks]
            # the state behind the last block, be its group whole or not
            in_group = n_blocks - (n_groups - 1) * GROUP
            last = before[-1, in_group]
            self._states[channel] = np.where(np.abs(last) < NOTHING, 0, last)
            filtered = found[channel].reshape(n_blocks, BLOCK)
            np.matmul(blocks, form.direct, out=filtered)
            filtered += states @ form.ring
        return found


class _BlockForm(NamedTuple):
    """What a filter does to a block of samples, as matrices that are multiplied from the right."""

    direct: Floats
    """From a block's samples to what comes out, from rest; shape (BLOCK, BLOCK)."""
    ring: Floats
    """From the state before a block to what comes out; shape (n_states, BLOCK)."""
    push: Floats
    """From a block's samples to the state behind it, from rest; shape (BLOCK, n_states)."""
    within: Floats
    """From the pushes of a group's blocks to the states before each of them and behind the last,
    from rest; shape (GROUP × n_states, (GROUP + 1) × n_states)."""
    onwards: Floats
    """From the state before a group to the same states; shape (n_states, (GROUP + 1) × n_states).
    """


@lru_cache(maxsize=8)
def _block_form(sections: tuple[tuple[float, ...], ...]) -> _BlockForm:
    """Return the matrices of filters that follow one another."""
    n_states = 2 * len(sections)
    step, entry = np.zeros((n_states, n_states)), np.zeros(n_states)
    out, through = np.zeros(n_states), 1.0
    for k, (b0, b1, b2, _, a1, a2) in enumerate(sections):
        # transposed direct form II: what goes in is `out` · state + `through` × sample
        own = slice(2 * k, 2 * k + 2)
        taken = np.array([b1 - a1 * b0, b2 - a2 * b0])
        step[own] += np.outer(taken, out)
        step[own, own] = [[-a1, 1.0], [-a2, 0.0]]
        entry[own] = taken * through
        out = b0 * out
        out[2 * k] += 1.0
        through *= b0
    powers = [np.eye(n_states)]
    for _ in range(BLOCK):
        powers.append(step @ powers[-1])
    ring = np.stack([out @ power for power in powers[:BLOCK]], axis=1)
    push = np.stack([power @ entry for power in powers[BLOCK - 1 :: -1]])
    response = np.concatenate([[through], entry @ ring[:, : BLOCK - 1]])
    direct = np.zeros((BLOCK, BLOCK))
    for at in range(BLOCK):
        direct[at, at:] = response[: BLOCK - at]
    leaps = [np.eye(n_states)]
    for _ in range(GROUP):
        leaps.append(powers[BLOCK] @ leaps[-1])
    within = np.zeros((GROUP, n_states, GROUP + 1, n_states))
    for before in range(GROUP):
        for behind in range(before + 1, GROUP + 1):
            within[before, :, behind] = leaps[behind - 1 - before].T
    onwards = np.stack([leap.T for leap in leaps], axis=1).reshape(n_states, -1)
    return _BlockForm(direct, ring, push, within.reshape(GROUP * n_states, -1), onwards)


def running_means(values: Floats, width: int, *, mirrored: bool = False) -> Floats:
    """Return the mean of `width` values around each, along the first axis; like `values`.

    Of an even number one more lies before than after. Beyond the ends the last value goes on, or
    the values come back as in a mirror.
    """
    before = width // 2
    margins = [(before, width - before - 1), *[(0, 0)] * (values.ndim - 1)]
    padded = np.pad(values, margins, mode="symmetric" if mirrored else "edge")
    # a sum of shifted values, not a difference of running sums: beside what is far greater,
    # rounding would leave less than nothing
    total = padded[: len(values)].copy()
    for shift in range(1, width):
        total += padded[shift : shift + len(values)]
    return total / width


def held_peaks(values: Floats, width: int) -> Floats:
    """Return the largest of each `width` values in a row; shape (n_values - width + 1,)."""
    held, reach = values, 1
    while reach < width:
        step = min(reach, width - reach)
        held = np.maximum(held[: len(held) - step], held[step:])
        reach += step
    return held


def resampled(wave: Floats, up: int, down: int) -> Floats:
    """Return a wave at `up` / `down` times its rate, low-passed by a windowed sinc.

    The filter is that of scipy's `resample_poly` (Kaiser window), which the tests compare it
    with; shape (n,) to (⌈n × up / down⌉,).
    """
    n_out = -(-len(wave) * up // down)
    if not n_out:
        return np.zeros(0)
    half = ZERO_CROSSINGS * max(up, down)
    taps = _low_pass(half, max(up, down)) * up
    n_taps = 2 * half // up + 1
    padded = np.pad(wave, (n_taps, n_taps))
    windows = np.lib.stride_tricks.sliding_window_view(padded, n_taps)
    found = np.empty(n_out)
    for first in range(min(up, n_out)):
        # outputs `up` apart meet the same taps, and lie `down` inputs apart
        low = -(-(first * down - half) // up)
        own = taps[first * down - low * up + half :: -up][:n_taps]
        places = windows[low + n_taps :: down][: -(-(n_out - first) // up), : len(own)]
        found[first::up] = places @ own
    return found


@lru_cache(maxsize=8)
def _low_pass(half: int, ratio: int) -> Floats:
    """Return a low pass of 1 / `ratio` of half the rate, shape (2 × half + 1,), of sum 1."""
    taps = np.sinc(np.arange(-half, half + 1) / ratio) * np.kaiser(2 * half + 1, KAISER_BETA)
    return np.asarray(taps / taps.sum())


def transform_length(n_samples: int) -> int:
    """Return a length from `n_samples` on that is quickly transformed: 2, 3 or 5 × a power of 2."""
    power = max(1, 1 << (n_samples - 1).bit_length())
    return next(n for n in (power * 5 // 8, power * 3 // 4, power) if n >= n_samples)
