"""Where a stretch of a recording is on a track: by its samples, slowed by its rise and fall."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.checker.limits.recording import FOUND_LIKENESS, SHAPE_LIKENESS
from pausewright.checker.original.exact_samples import FRAME_S, levels_db
from pausewright.checker.original.stretches import edges_of

if TYPE_CHECKING:
    from typing import TypeAlias

    from numpy.typing import NDArray

    from pausewright.checker.original.exact_samples import Samples, Wave
    from pausewright.checker.original.stretches import Original, Stretch

    Line: TypeAlias = NDArray[np.float64]

PROBE_S: Final = 0.5
NEAR_S: Final = 2.0
FAR_S: Final = 60.0
SEARCHED_S: Final = 30
"""The probe is taken from so much of a stretch."""
_EQUAL: Final = 1e-6
_AROUND_S: Final = 0.3


def located(
    track: Samples, original: Original, stretch: Stretch, predicted: int, least: int
) -> int | None:
    """Return the frame of a track where an unchanged stretch begins; None if it is not there.

    It is looked for near where it should be, then up to a minute around, from frame `least` on.
    """
    rate_hz = track.rate_hz
    n_probe = min(round(PROBE_S * rate_hz), stretch.end - stretch.start)
    most = round(SEARCHED_S * rate_hz)
    wave = original.samples.read(stretch.start, min(stretch.end, stretch.start + most))
    at = _loudest(wave, n_probe)
    probe = wave[at : at + n_probe]
    channel = int(np.argmax((probe**2).sum(axis=0)))
    for reach_s in (NEAR_S, FAR_S):
        reach = round(reach_s * rate_hz)
        first = max(0, least + at, predicted + at - reach)
        last = min(track.n_frames, predicted + at + reach + n_probe)
        if last - first < n_probe:
            continue
        there = track.read(first, last)[:, channel]
        where, likeness = best_place(there, probe[:, channel], predicted + at - first)
        if likeness >= FOUND_LIKENESS:
            return first + where - at
    return None


def _loudest(wave: Wave, n: int) -> int:
    power = np.concatenate([[0.0], np.cumsum((wave**2).sum(axis=1))])
    return int(np.argmax(power[n:] - power[:-n]))


def best_place(where: Line, probe: Line, near: int) -> tuple[int, float]:
    """Return where a probe is most like what it is looked for in, and how like: 1 is the same.

    Of places that are equally like it the one nearest to frame `near` is given.
    """
    n = 1 << int(np.ceil(np.log2(len(where) + len(probe))))
    product = np.fft.irfft(np.fft.rfft(where, n) * np.conj(np.fft.rfft(probe, n)), n)
    product = product[: len(where) - len(probe) + 1]
    power = np.concatenate([[0.0], np.cumsum(where**2)])
    energy = np.maximum(power[len(probe) :] - power[: -len(probe)], 0)
    scale = np.sqrt(energy * float(probe @ probe))
    likeness = np.where(scale > 1e-12 * max(1.0, float(scale.max())), product / (scale + 1e-30), 0)
    best = np.flatnonzero(likeness >= likeness.max() - _EQUAL)
    at = int(best[np.argmin(np.abs(best - near))])
    return at, float(likeness[at])


def located_slowed(
    track: Samples,
    original: Original,
    stretch: Stretch,
    predicted: int,
    *,
    least: int,
    ratio: float,
) -> tuple[int, int] | None:
    """Return where a stretch lies that lasts `ratio` times as long, [start, end); None if nowhere.

    Its rise and fall, 10 ms by 10 ms, are looked for; its edges are then those of the sound.
    """
    rate_hz = track.rate_hz
    n = round(FRAME_S * rate_hz)
    pad = round(_AROUND_S * rate_hz)
    own = levels_db(original.samples, stretch.start - pad, stretch.end + pad)
    floor = stretch.threshold_db - 6
    wanted = np.interp(
        np.arange(0, len(own) * ratio) / ratio, np.arange(len(own)), np.maximum(own, floor)
    )
    for reach_s in (NEAR_S, FAR_S):
        reach = round(reach_s * rate_hz)
        first = max(least, predicted - reach) - round(pad * ratio)
        last = predicted + round((stretch.end - stretch.start + pad) * ratio) + reach
        there = np.maximum(levels_db(track, first, last), floor)
        if len(there) <= len(wanted):
            continue
        at, likeness = _best_shape(there, wanted)
        if likeness < SHAPE_LIKENESS:
            continue
        begin = first + at * n + round(pad * ratio)
        end = begin + round((stretch.end - stretch.start) * ratio)
        half = pad // 2
        levels = levels_db(track, begin - half, end + half)
        found = edges_of(levels, stretch.threshold_db, begin - half, n, ratio=ratio)
        return found or (begin, end)
    return None


def _best_shape(there: Line, wanted: Line) -> tuple[int, float]:
    mean = wanted - wanted.mean()
    n = len(wanted)
    fft = 1 << int(np.ceil(np.log2(len(there) + n)))
    product = np.fft.irfft(np.fft.rfft(there, fft) * np.conj(np.fft.rfft(mean, fft)), fft)
    product = product[: len(there) - n + 1]
    total = np.concatenate([[0.0], np.cumsum(there)])
    square = np.concatenate([[0.0], np.cumsum(there**2)])
    spread = (square[n:] - square[:-n]) - (total[n:] - total[:-n]) ** 2 / n
    scale = np.sqrt(np.maximum(spread, 1e-9) * float(mean @ mean))
    likeness = product / (scale + 1e-9)
    at = int(np.argmax(likeness))
    return at, float(likeness[at])
