"""Where in a recording there is sound, told from the noise of its room, with a ± for each edge.

Sound reaches from where it comes within 40 dB of the active level of the speech to where it falls
below that, as the check of a track has it. Where the room's noise hides the rest of a word, an edge
is found where the likelihood that there is more than noise is greatest; the noise is learned, band
by band, from where there is nothing else, and what it may look like from itself.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.alignment.spectrum import HOP_MS
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from pausewright.alignment.spectrum import Spectrum

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]

EDGE_DB: Final = -40.0
"""Against the active level of the speech: what is softer is no sound."""
_ACTIVE_DB: Final = -16.0
_NEVER_SOUND_DB: Final = -57.0
_LEAST_POWER: Final = 1e-11
"""Of a band: less is nothing (a digital silence)."""
_FLOOR_SHARE: Final = 0.08
_QUIET_RATIO: Final = 2.2
"""What is within this of the floor is taken for noise at first."""
_QUIET_FRAMES: Final = 40
_AWAY_FRAMES: Final = 16
"""Between sound and what the noise is learned from."""
_BLOCK_FRAMES: Final = 2000
_NEAR_BLOCKS: Final = 2
"""The noise of a place is learned from 10 s around it, and two such blocks before and after."""
_ENOUGH_FRAMES: Final = 300
_SMOOTHED: Final = 3
_LEVEL_SMOOTHED: Final = 5
"""Frames over which the level of a sound that dies away in a room is taken: it flutters there."""
_REACH_FRAMES: Final = 60
"""How far outside its clear part a sound is looked for in the noise: 0.3 s."""
_SURE: Final = 0.9995
_USUAL: Final = 0.97
"""Quantiles of the evidence in noise alone."""
_CHANCE: Final = 0.999
_CHANCE_STEP: Final = 20
_CHANCES: Final = 1.5
"""Sound behind a dip in the noise counts from so many times what the noise holds by chance."""
_CLICK_MS: Final = 25
_JOINED_MS: Final = 50
_PEAK_DB: Final = -30.0
"""A stretch that nowhere comes so near to the speech's level is no speech."""


@frozen
class Stretch:
    """A stretch of sound without a silence in it, in ms from the recording's start."""

    start_ms: int
    end_ms: int
    start_within_ms: int
    """By how much the start may be wrong, either way."""
    end_within_ms: int
    level_db: float
    """Its active level against that of the speech."""


@frozen
class Sounding:
    """What sounds in a recording."""

    stretches: tuple[Stretch, ...]
    """In order; silences between them last 50 ms or longer."""
    length_ms: int
    speech_dbfs: float
    """Active level of the speech."""
    noise_dbfs: float
    """Usual level of what lies between; −110 for nothing."""

    def gaps(self) -> list[tuple[int, int]]:
        """Return start and end of each silence between two stretches, in ms."""
        rows = self.stretches
        return [(a.end_ms, b.start_ms) for a, b in pairwise(rows)]


def sounding(found: Spectrum, length_ms: int) -> Sounding:
    """Return where there is sound in a recording of so many ms."""
    total = np.maximum(found.total.astype(np.float64), _LEAST_POWER)
    active = _active_level(total)
    noise, quiet = _noise(found, total, active * 10 ** (_NEVER_SOUND_DB / 10))
    evidence = _evidence(found, noise)
    noise_total = noise.sum(axis=1)
    heard = _heard(evidence, quiet)
    excess = _smooth(total - noise_total, _LEVEL_SMOOTHED)
    heard &= excess >= active * 10 ** (EDGE_DB / 10)
    stretches = _stretches(heard, total, noise_total, active)
    noise_dbfs = float(10 * np.log10(np.median(noise_total)))
    return Sounding(tuple(stretches), length_ms, float(10 * np.log10(active)), noise_dbfs)


def _active_level(total: Floats) -> float:
    """Return the power of what lies within 16 dB of itself."""
    level = float(np.quantile(total, 0.99))
    for _ in range(8):
        level = float(total[total >= level * 10 ** (_ACTIVE_DB / 10)].mean())
    return level


def _smooth(values: Floats, n: int) -> Floats:
    """Return the mean of `n` neighbours (an odd number), along the first axis."""
    half = n // 2
    wide = ((half, half),) + ((0, 0),) * (values.ndim - 1)
    sums = np.cumsum(np.pad(values, wide, mode="edge"), axis=0, dtype=np.float64)
    sums = np.concatenate([np.zeros_like(sums[:1]), sums])
    found: Floats = (sums[n:] - sums[:-n]) / n
    return found


def _runs(mask: Mask) -> NDArray[np.intp]:
    """Return the half-open ranges in which a mask is true, of shape (n_runs, 2)."""
    steps = np.flatnonzero(np.diff(np.concatenate([[0], mask.astype(np.int8), [0]])))
    return steps.reshape(-1, 2)


def _noise(found: Spectrum, total: Floats, least: float) -> tuple[Floats, Mask]:
    """Return the power of the noise in each band at each frame, and where nothing else is."""
    smooth = _smooth(total, 17)
    floor = float(np.quantile(smooth, _FLOOR_SHARE))
    quiet = _inner(smooth < max(floor * _QUIET_RATIO, 10 * _LEAST_POWER, least))
    bands = np.maximum(found.bands.astype(np.float64), _LEAST_POWER)
    noise = bands
    for _ in range(3 if quiet.any() else 1):
        noise = _noise_near(bands, quiet)
        evidence = _evidence(found, noise)
        if not quiet.any():
            break
        calm = evidence[quiet]
        limit = 2.5 * np.quantile(calm, 0.9)
        now = _inner(_smooth(evidence, 9) < limit)
        if now.sum() < _ENOUGH_FRAMES:
            break
        quiet = now
    return noise, quiet


def _inner(mask: Mask) -> Mask:
    """Return long runs of a mask without what is near their ends."""
    found = np.zeros_like(mask)
    for start, end in _runs(mask):
        if end - start >= _QUIET_FRAMES:
            found[start + _AWAY_FRAMES : end - _AWAY_FRAMES] = True
    return found


def _noise_near(bands: Floats, quiet: Mask) -> Floats:
    """Return the mean power of the quiet frames near each frame; of all where few are near."""
    n_blocks = -(-len(bands) // _BLOCK_FRAMES)
    known = quiet.any()
    whole = bands[quiet].mean(axis=0) if known else np.quantile(bands, _FLOOR_SHARE, axis=0)
    edges = range(0, len(bands), _BLOCK_FRAMES)
    sums = np.add.reduceat(np.where(quiet[:, np.newaxis], bands, 0), edges, axis=0)
    counts = np.add.reduceat(quiet.astype(np.int64), edges)
    found = np.empty((n_blocks, bands.shape[1]))
    for i in range(n_blocks):
        near = slice(max(0, i - _NEAR_BLOCKS), i + _NEAR_BLOCKS + 1)
        n = int(counts[near].sum())
        found[i] = sums[near].sum(axis=0) / n if n >= _ENOUGH_FRAMES else whole
    return np.maximum(np.repeat(found, _BLOCK_FRAMES, axis=0)[: len(bands)], _LEAST_POWER)


def _evidence(found: Spectrum, noise: Floats) -> Floats:
    """Return at each frame by how much more likely more than noise is (a log of likelihoods)."""
    ratio = _smooth(found.bands.astype(np.float64), _SMOOTHED) / noise
    above = np.maximum(ratio, 1.0)
    rows: Floats = (found.freedom * 0.8) * (above - 1 - np.log(above))
    result: Floats = rows.sum(axis=1)
    return result


def _heard(evidence: Floats, quiet: Mask) -> Mask:
    """Return where sound is: where it is clear, and as far around as there is more for it."""
    calm = evidence[quiet] if quiet.any() else evidence[evidence <= np.quantile(evidence, 0.1)]
    sure = 1.3 * float(np.quantile(calm, _SURE)) + 1
    usual = float(np.quantile(calm, _USUAL)) + 0.5
    clear = evidence > sure
    gain = np.minimum(evidence, 3 * sure) - usual
    chance = _chance(gain, quiet)
    found = clear.copy()
    for start, end in _runs(clear):
        if end - start < 2:
            found[start:end] = False
            continue
        n_before = n_reached(gain[max(0, start - _REACH_FRAMES) : start][::-1], chance)
        n_after = n_reached(gain[end : end + _REACH_FRAMES], chance)
        found[start - n_before : end + n_after] = True
    return found


def _chance(gain: Floats, quiet: Mask) -> float:
    """Return how much for sound the noise alone holds, seldom, within the reach of an edge."""
    sums = [
        np.cumsum(windows[::_CHANCE_STEP], axis=1).max(axis=1)
        for start, end in _runs(quiet)
        if end - start >= _REACH_FRAMES
        for windows in [np.lib.stride_tricks.sliding_window_view(gain[start:end], _REACH_FRAMES)]
    ]
    return _CHANCES * float(np.quantile(np.concatenate(sums), _CHANCE)) if sums else 0.0


def n_reached(gain: Floats, chance: float) -> int:
    """Return how many frames sound reaches on: across a dip only for more than noise may hold."""
    sums = np.cumsum(gain)
    reached, best = 0, 0.0
    for start, end in _runs(gain > 0):
        if sums[end - 1] > best + (chance if start > reached else 0.0):
            reached, best = int(end), float(sums[end - 1])
    return reached


def _stretches(heard: Mask, total: Floats, noise: Floats, active: float) -> list[Stretch]:
    """Return the stretches of what is heard, without clicks and what is too soft for speech."""
    runs = [(int(start), int(end)) for start, end in _runs(heard)]
    joined: list[tuple[int, int]] = []
    for start, end in runs:
        if joined and (start - joined[-1][1]) * HOP_MS < _JOINED_MS:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    found = []
    for start, end in joined:
        if (end - start) * HOP_MS < _CLICK_MS:
            continue
        level = float(np.sort(total[start:end])[-max(1, (end - start) // 4) :].mean())
        if level < active * 10 ** (_PEAK_DB / 10):
            continue
        hidden_db = 10 * np.log10(noise[(start + end) // 2] / (active * 10 ** (EDGE_DB / 10)))
        within = _within_ms(float(hidden_db))
        found.append(
            Stretch(
                start * HOP_MS,
                end * HOP_MS,
                *within,
                round(float(10 * np.log10(level / active)), 1),
            )
        )
    return found


_WITHIN_MS: Final = ((-6.0, 20, 25), (3.0, 45, 60), (8.0, 90, 130), (13.0, 200, 260))
"""By how many dB the noise lies above what ends a sound; the ± of a start and of an end."""


def _within_ms(hidden_db: float) -> tuple[int, int]:
    for most_db, start_ms, end_ms in _WITHIN_MS:
        if hidden_db <= most_db:
            return start_ms, end_ms
    return 350, 450
