"""Silences that are not silent: where speech stands out of a room's noise.

Forty decibels below the speech there is nothing but noise on a track that was recorded in a room.
Steady noise is looked for inside the stretches of sound; where there is some, sound is what
stands out of it in any of five bands. The noise is learned from the file itself, place by place.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from scipy.ndimage import uniform_filter1d

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from numpy.typing import NDArray

    from pausewright.checker.kept import Kept

    Samples: TypeAlias = NDArray[np.float32]
    Floats: TypeAlias = NDArray[np.float64]
    Span: TypeAlias = tuple[int, int]

STEADY_S = 0.6
"""A stretch that stays soft and steady for so long is noise, and no speech."""
BELOW_SPEECH_DB = 9.0
"""How far below the speech it must stay, in every frame of 40 ms."""
MOST_SPREAD_DB = 9.0
"""How much its loudest frames (95 %) may stand above its softest (5 %)."""
FRAME_S = 0.04
NOISY_FROM_DB = 56.0
"""From this level below the speech on, single samples of steady noise pass the threshold of
40 dB now and then: the whole track is then searched for what stands out of the noise."""
CHUNK_S = 30.0
"""The noise is learned anew for each such stretch; memory holds one."""
BANDS_HZ = (150, 400, 900, 2000, 3500, 5500, 8000, 10500)
WINDOW_S, HOP_S = 0.012, 0.003
SMOOTHED = 5
"""Hops over which a band's power is averaged."""
SPREADS = 4.5
"""A band has sound from so many standard deviations (of its decibels) above the mean noise."""
LASTING_S = 0.012
"""What stands out for a shorter time is noise still."""
SHORTEST_SILENCE_S = 0.2
"""Shorter silences (stop consonants, joins of words) belong to the sound around them."""


@dataclass(frozen=True, slots=True)
class Noise:
    """A stretch of steady noise."""

    start: int
    end: int
    level_dbfs: float
    """RMS."""


@dataclass(frozen=True, slots=True)
class Gated:
    """Where sound is, once noise is told from it."""

    stretches: tuple[Span, ...]
    noises: tuple[Noise, ...]


def gate(kept: Kept, stretches: Sequence[Span], speech_dbfs: float) -> Gated:
    """Return the stretches of sound without the steady noise between them.

    `stretches` are those at 40 dB below the speech. Where no noise is found they are returned as
    they are.
    """
    rate_hz = kept.rate_hz
    found: list[Span] = []
    noises: list[Noise] = []
    if _floor_dbfs(kept, stretches) > speech_dbfs - NOISY_FROM_DB:
        stretches = kept.runs()
    for start, end in stretches:
        if end - start < STEADY_S * rate_hz:
            found.append((start, end))
            continue
        steady = list(_steady(kept, start, end, speech_dbfs))
        noises += steady
        found += _sounding(kept, start, end, steady) if steady else [(start, end)]
    return Gated(tuple(joined_spans(found, int(SHORTEST_SILENCE_S * rate_hz))), tuple(noises))


def _floor_dbfs(kept: Kept, stretches: Sequence[Span]) -> float:
    """Return the usual level of what is not sound; −200 where it is silent."""
    edges = [0, *(at for span in stretches for at in span), kept.n_frames]
    between = [
        frame_levels(kept, start, end)
        for start, end in zip(edges[::2], edges[1::2], strict=True)
        if end - start > FRAME_S * kept.rate_hz
    ]
    return float(np.median(np.concatenate(between))) if between else -200.0


def joined_spans(spans: Iterable[Span], shortest: int) -> list[Span]:
    """Return spans with those joined that are less than `shortest` frames apart."""
    joined: list[Span] = []
    for start, end in spans:
        if joined and start - joined[-1][1] < shortest:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return joined


def _chunks(start: int, end: int, rate_hz: int) -> Iterator[Span]:
    n = int(CHUNK_S * rate_hz)
    for at in range(start, end, n):
        yield at, min(end, at + n)


def frame_levels(kept: Kept, start: int, end: int, frame_s: float = FRAME_S) -> Floats:
    """Return the RMS level of whole frames in dBFS, the louder channel's; −200 for silence."""
    n = int(frame_s * kept.rate_hz)
    levels = []
    for low, high in _chunks(start, start + (end - start) // n * n, kept.rate_hz):
        frames = kept.read(low, low + (high - low) // n * n).reshape(-1, n, kept.n_channels)
        power = np.einsum("fnc,fnc->fc", frames, frames, dtype=np.float64) / n
        levels.append(10 * np.log10(np.maximum(power.max(axis=1), 1e-20)))
    return np.concatenate(levels) if levels else np.zeros(0)


def _runs(wanted: NDArray[np.bool_]) -> list[Span]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], wanted.astype(np.int8), [0]])))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def _steady(kept: Kept, start: int, end: int, speech_dbfs: float) -> Iterator[Noise]:
    """Yield the soft, steady parts of a stretch, a little trimmed."""
    n = int(FRAME_S * kept.rate_hz)
    levels = frame_levels(kept, start, end)
    for first, last in _runs(levels < speech_dbfs - BELOW_SPEECH_DB):
        if (last - first) * FRAME_S < STEADY_S:
            continue
        inner = levels[first:last]
        middle = float(np.median(inner))
        # the ends may hold the fall and rise of speech: keep to what is near the middle
        near = np.flatnonzero(np.abs(inner - middle) < MOST_SPREAD_DB / 2)
        if len(near) < 0.8 * len(inner):
            continue
        inner = inner[near[0] : near[-1] + 1]
        low, high = np.percentile(inner, [5, 95])
        if high - low > MOST_SPREAD_DB or len(inner) * FRAME_S < STEADY_S * 0.8:
            continue
        at = start + (first + int(near[0])) * n
        level = 10 * np.log10(np.mean(10 ** (inner / 10)))
        yield Noise(at, at + len(inner) * n, float(level))


def _band_levels(wave: Samples, rate_hz: int) -> Floats:
    """Return the level of each band at each hop in decibels, smoothed; shape (n_hops, n_bands)."""
    n, hop = int(WINDOW_S * rate_hz), max(1, int(HOP_S * rate_hz))
    mono = wave.mean(axis=1) if wave.shape[1] > 1 else wave[:, 0]
    padded = np.pad(mono, (n // 2, n))
    frames = np.lib.stride_tricks.sliding_window_view(padded, n)[: len(mono) : hop]
    edges = [f for f in BANDS_HZ if f < rate_hz / 2]
    if edges[-1] < rate_hz / 2 and len(edges) < len(BANDS_HZ):
        edges.append(int(rate_hz / 2))
    bins = [round(f * n / rate_hz) for f in edges]
    window = np.hanning(n).astype(np.float32)
    levels = np.empty((len(frames), len(bins) - 1))
    for at in range(0, len(frames), 2048):
        power = np.abs(np.fft.rfft(frames[at : at + 2048] * window, axis=1)) ** 2
        levels[at : at + 2048] = np.stack(
            [
                power[:, low : max(low + 1, high)].sum(axis=1)
                for low, high in itertools.pairwise(bins)
            ],
            axis=1,
        )
    smoothed = uniform_filter1d(levels, SMOOTHED, axis=0, mode="nearest")
    return 10 * np.log10(np.maximum(smoothed, 1e-20))


def _sounding(kept: Kept, start: int, end: int, steady: Sequence[Noise]) -> Iterator[Span]:
    """Yield where a stretch stands out of its noise."""
    rate_hz = kept.rate_hz
    hop = max(1, int(HOP_S * rate_hz))
    lasting = max(1, round(LASTING_S / HOP_S))
    margin = int(0.03 * rate_hz)
    for low, high in _chunks(start, end, rate_hz):
        levels = _band_levels(kept.read(low, high), rate_hz)
        near = [s for s in steady if s.start < high and s.end > low]
        if not near:  # speech without a pause: the noise nearest to it
            noise = min(steady, key=lambda s: min(abs(s.start - high), abs(s.end - low)))
            sample = _band_levels(kept.read(noise.start + margin, noise.end - margin), rate_hz)
        else:
            parts = [
                levels[
                    max(0, (s.start + margin - low) // hop) : max(0, (s.end - margin - low) // hop)
                ]
                for s in near
            ]
            sample = np.concatenate([part for part in parts if len(part)] or [levels])
        low_db, mean = np.percentile(sample, [15.9, 50], axis=0)
        spread = mean - low_db  # the upper half may hold the soft ends of words
        loud = (levels > mean + SPREADS * np.maximum(spread, 0.5)).any(axis=1)
        for first, last in _runs(loud):
            if last - first >= lasting:
                yield low + first * hop, min(high, low + (last - 1) * hop + 1)
