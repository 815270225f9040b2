"""Silences that are not silent: where speech stands out of a room's noise.

Forty decibels below the speech there is nothing but noise on a track that was recorded in a room.
Steady noise is looked for inside the stretches of sound; where there is some, sound is what
stands out of it in any of several bands, and what is faint beside that as far as there is evidence
for it. The noise is learned from the file itself, place by place.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from pausewright.checker.files.columns import mixed
from pausewright.checker.limits.sound import (
    CLOSED_S,
    CODER_EDGE_S,
    ENOUGH_S,
    FAINT_RATIO,
    FAINT_S,
    GROWS_BY,
    GROWS_WITHIN_S,
    HIDDEN_END_S,
    HIDDEN_START_S,
    HIDING_DB,
    LASTING_S,
    MOST_SPREAD_DB,
    MURMUR_DB,
    MURMUR_FROM,
    MURMUR_S,
    NOISE_BELOW_SPEECH_DB,
    NOISY_FROM_DB,
    NOT_HIDING_DB,
    ROOM_SHARE,
    ROOM_WITHIN_DB,
    SHORTEST_SILENCE_S,
    SOUND_DB,
    SPREADS,
    STEADY_S,
    SURE_FROM,
)
from pausewright.checker.listen.filters import running_means
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from numpy.typing import NDArray

    from pausewright.checker.files.decoded_track import Kept

    Samples: TypeAlias = NDArray[np.float32]
    Floats: TypeAlias = NDArray[np.float64]
    Span: TypeAlias = tuple[int, int]

FRAME_S = 0.04
_OF_SILENCE = -200.0
_FRAMES_AT_ONCE = 1 << 10
CHUNK_S = 30.0
"""The noise is learned anew for each such stretch; memory holds one."""
BANDS_HZ = (150, 400, 900, 2000, 3500, 5500, 8000, 10500)
WINDOW_S, HOP_S = 0.012, 0.003
SMOOTHED = 5
"""Hops over which a band's power is averaged."""
FREE_SHARE = 0.375
"""How much of a bin's power at one hop is new, with Hann windows of four hops."""


@frozen
class Noise:
    """A stretch of steady noise."""

    start: int
    end: int
    level_dbfs: float
    """RMS."""


@frozen
class Gated:
    """Where sound is, once noise is told from it."""

    stretches: tuple[Span, ...]
    noises: tuple[Noise, ...]


def gate(
    kept: Kept, stretches: Sequence[Span], speech_dbfs: float, *, has_recordings: bool = False
) -> Gated:
    """Return the stretches of sound without the steady noise between them.

    `stretches` are those at 40 dB below the speech. Where no noise is found they are returned as
    they are. `has_recordings` says that music or effects, which may be soft and steady too, belong
    to the track: then only what lies under all of it is taken for noise.
    """
    rate_hz = kept.rate_hz
    found: list[Span] = []
    noises: list[Noise] = []
    levels_dbfs = (-math.inf, math.inf)
    if has_recordings:
        room_dbfs = float(np.quantile(frame_levels(kept, 0, kept.n_frames), ROOM_SHARE))
        if room_dbfs <= speech_dbfs - NOISY_FROM_DB:
            return Gated(tuple(stretches), ())
        levels_dbfs = (room_dbfs - ROOM_WITHIN_DB, room_dbfs + ROOM_WITHIN_DB)
    if _floor_dbfs(kept, stretches) > speech_dbfs - NOISY_FROM_DB:
        stretches = kept.runs()
    for start, end in stretches:
        if end - start < STEADY_S * rate_hz:
            found.append((start, end))
            continue
        steady = [
            noise
            for noise in _steady(kept, start, end, speech_dbfs)
            if levels_dbfs[0] <= noise.level_dbfs <= levels_dbfs[1]
        ]
        noises += steady
        found += _sounding(kept, start, end, steady, speech_dbfs) if steady else [(start, end)]
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


def _chunks(start: int, end: int, n: int) -> Iterator[Span]:
    for at in range(start, end, n):
        yield at, min(end, at + n)


def _between_words(start: int, end: int, steady: Sequence[Noise], rate_hz: int) -> Iterator[Span]:
    """Give pieces of 30 s at most, cut in the middle of noise wherever there is some."""
    n = int(CHUNK_S * rate_hz)
    middles = [(noise.start + noise.end) // 2 for noise in steady]
    while start < end:
        cut = min(end, start + n)
        if cut < end:
            cut = max((at for at in middles if start + n // 2 < at < cut), default=cut)
        yield start, cut
        start = cut


def frame_levels(kept: Kept, start: int, end: int, frame_s: float = FRAME_S) -> Floats:
    """Return the RMS level of whole frames in dBFS, the louder channel's; −200 for silence."""
    n = int(frame_s * kept.rate_hz)
    levels = np.full(max(0, end - start) // n, _OF_SILENCE)
    done = 0
    for low, high in kept.sounding(start, start + len(levels) * n):
        # whole frames that the run reaches into; two runs may share one
        first, last = max(done, (low - start) // n), -(-(high - start) // n)
        done = max(done, last)
        for a, b in _chunks(start + first * n, start + last * n, n * _FRAMES_AT_ONCE):
            frames = kept.read(a, b).reshape(-1, n, kept.n_channels)
            power = np.einsum("fnc,fnc->fc", frames, frames, dtype=np.float64) / n
            at = (a - start) // n
            levels[at : at + len(frames)] = 10 * np.log10(np.maximum(power.max(axis=1), 1e-20))
    return levels


def _runs(wanted: NDArray[np.bool_]) -> list[Span]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], wanted.astype(np.int8), [0]])))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def _steady(kept: Kept, start: int, end: int, speech_dbfs: float) -> Iterator[Noise]:
    """Yield the soft, steady parts of a stretch, a little trimmed."""
    n = int(FRAME_S * kept.rate_hz)
    levels = frame_levels(kept, start, end)
    for first, last in _runs(levels < speech_dbfs - NOISE_BELOW_SPEECH_DB):
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


def _bins(rate_hz: int) -> list[Span]:
    """Return the bins of each band that a track of this rate has, half-open."""
    edges = [f for f in BANDS_HZ if f < rate_hz / 2]
    if edges[-1] < rate_hz / 2 and len(edges) < len(BANDS_HZ):
        edges.append(int(rate_hz / 2))
    at = [round(f * int(WINDOW_S * rate_hz) / rate_hz) for f in edges]
    return [(low, max(low + 1, high)) for low, high in itertools.pairwise(at)]


def _band_powers(wave: Samples, rate_hz: int) -> Floats:
    """Return the power of each band at each hop, full scale 1; shape (n_hops, n_bands)."""
    n, hop = int(WINDOW_S * rate_hz), max(1, int(HOP_S * rate_hz))
    mono = mixed(wave)
    padded = np.pad(mono, (n // 2, n))
    frames = np.lib.stride_tricks.sliding_window_view(padded, n)[: len(mono) : hop]
    bins = _bins(rate_hz)
    window = np.hanning(n).astype(np.float32)
    powers = np.empty((len(frames), len(bins)))
    for at in range(0, len(frames), 2048):
        power = np.abs(np.fft.rfft(frames[at : at + 2048] * window, axis=1)) ** 2
        powers[at : at + 2048] = np.stack(
            [power[:, low:high].sum(axis=1) for low, high in bins], axis=1
        )
    return np.maximum(powers, 1e-20)


def _hidden_share(steady: Sequence[Noise], speech_dbfs: float) -> float:
    """Return how much of what noise can hide the loudest of these noises hides, 0 to 1."""
    below_db = speech_dbfs - max(noise.level_dbfs for noise in steady)
    share = (NOT_HIDING_DB - below_db) / (NOT_HIDING_DB - HIDING_DB)
    return min(1.0, max(0.0, share))


def _sounding(
    kept: Kept, start: int, end: int, steady: Sequence[Noise], speech_dbfs: float
) -> Iterator[Span]:
    """Yield where a stretch stands out of its noise."""
    rate_hz = kept.rate_hz
    hop = max(1, int(HOP_S * rate_hz))
    lasting = max(1, round(LASTING_S / HOP_S))
    share = _hidden_share(steady, speech_dbfs)
    before, after = (int(share * s * rate_hz) for s in (HIDDEN_START_S, HIDDEN_END_S))
    for low, high in _between_words(start, end, steady, rate_hz):
        # as many hops beside as a mean takes: one of fewer strays further
        wide = _band_powers(kept.read(low - SMOOTHED * hop, high + SMOOTHED * hop), rate_hz)
        own = slice(SMOOTHED, SMOOTHED - (low - high) // hop)
        powers, levels = wide[own], _smoothed_db(wide)[own]
        noise = _noise_near(kept, low, high, steady, powers)
        of_noise = _smoothed_db(noise)
        low_db, mean_db = np.percentile(of_noise, [15.9, 50], axis=0)
        spread_db = mean_db - low_db  # the upper half may hold the soft ends of words
        loud = (levels > mean_db + SPREADS * np.maximum(spread_db, 0.5)).any(axis=1)
        clear = [
            (first, last)
            for first, last in _runs(loud)
            if last - first >= lasting
            and not _is_coders(low + first * hop, low + last * hop, kept.n_frames, rate_hz)
        ]
        faint = _Faint.of(powers, noise, rate_hz, speech_dbfs)
        for first, last in _with_faint_ends(clear, faint):
            yield (
                max(low, low + first * hop - before),
                min(high, low + (last - 1) * hop + 1 + after),
            )


def _is_coders(start: int, end: int, n_frames: int, rate_hz: int) -> bool:
    """Return whether a moment lies wholly where a coder begins or ends its file."""
    edge = int(CODER_EDGE_S * rate_hz)
    return end <= edge or start >= n_frames - edge


def _noise_near(kept: Kept, low: int, high: int, steady: Sequence[Noise], powers: Floats) -> Floats:
    """Return the band powers of the noise in a chunk, or of the noise nearest to it."""
    rate_hz = kept.rate_hz
    hop, margin = max(1, int(HOP_S * rate_hz)), int(0.03 * rate_hz)
    inner = [(s.start + margin, s.end - margin) for s in steady if s.end - s.start > 2 * margin]
    near = [(start, end) for start, end in inner if start < high and end > low]
    parts = [powers[max(0, start - low) // hop : (end - low) // hop] for start, end in near]
    if sum(map(len, parts)) * HOP_S < ENOUGH_S:
        # speech without a pause, or a chunk that ends in the middle of one: all of it tells more
        beside = min(inner, key=lambda one: min(abs(one[0] - high), abs(one[1] - low)))
        parts = [_band_powers(kept.read(*one), rate_hz) for one in near or [beside]]
    return np.concatenate(parts)


@frozen
class _Faint:
    """What tells of faint sound, hop by hop; counted from its first hop to its last."""

    evidence: Floats
    """Of each band; shape (n_hops, n_bands)."""
    is_sound: NDArray[np.bool_]
    """Whether all bands together are no further below the speech than sound is."""
    beyond: Floats
    """Power of the lowest band beyond the noise's, in units of what a murmur must have."""

    @classmethod
    def of(cls, powers: Floats, noise: Floats, rate_hz: int, speech_dbfs: float) -> _Faint:
        """Weigh band powers against those of the noise."""
        whole_db = _level_db(powers.sum(axis=1), rate_hz)
        beyond = powers[:, 0] - noise[:, 0].mean()
        least = 10 ** ((speech_dbfs - MURMUR_DB - _level_db(np.ones(1), rate_hz)[0]) / 10)
        return cls(
            _evidence(powers, noise, rate_hz),
            running_means(whole_db, SMOOTHED) > speech_dbfs - SOUND_DB,
            beyond / least,
        )

    def part(self, hops: slice) -> _Faint:
        """Return some of the hops, in the order of the slice."""
        return _Faint(self.evidence[hops], self.is_sound[hops], self.beyond[hops])


def _level_db(power: Floats, rate_hz: int) -> Floats:
    """Return the RMS level of each hop in dBFS, by its power (Parseval's theorem)."""
    n = int(WINDOW_S * rate_hz)
    window_power = float(np.square(np.hanning(n)).sum())
    level_db: Floats = 10 * np.log10(power * 2 / (n * window_power))
    return level_db


def _smoothed_db(powers: Floats) -> Floats:
    decibels: Floats = 10 * np.log10(running_means(powers, SMOOTHED))
    return decibels


def _evidence(powers: Floats, noise: Floats, rate_hz: int) -> Floats:
    """Return what each hop and band adds to the evidence for faint sound; like `powers`.

    The logarithm of the likelihood ratio of Gaussian noise with a Gaussian sound of `FAINT_RATIO`
    times its power and of that noise alone (a textbook result: Kay, Fundamentals of Statistical
    Signal Processing II, estimator-correlator; from memory).
    """
    free = FREE_SHARE * np.array([high - low for low, high in _bins(rate_hz)])
    ratio = powers / np.median(noise, axis=0) * _median_share(free)
    evidence: Floats = free * (ratio * FAINT_RATIO / (1 + FAINT_RATIO) - math.log1p(FAINT_RATIO))
    return evidence


def _median_share(free: Floats) -> Floats:
    """Return the median of a power over its mean, for so many free complex values (from memory).

    The Wilson–Hilferty approximation of a gamma distribution's median. The median of the noise is
    blind to the few hops of it that may hold the end of a word.
    """
    share: Floats = np.maximum(1 - 1 / (9 * np.maximum(free, 0.5)), 0.1) ** 3
    return share


def _with_faint_ends(clear: Sequence[Span], faint: _Faint) -> Iterator[Span]:
    """Yield runs of hops with what is faint before and after them.

    A run reaches as far as the summed evidence of a band is greatest (Page's cumulative sum),
    if it is enough; never into its neighbours, and no further than where it is sound.
    """
    reach = round(FAINT_S / HOP_S)
    for nth, (first, last) in enumerate(clear):
        least = max(0, first - reach, clear[nth - 1][1] if nth else 0)
        most = min(
            len(faint.evidence),
            last + reach,
            clear[nth + 1][0] if nth + 1 < len(clear) else last + reach,
        )
        yield (
            first - _faint_hops(faint.part(slice(least, first)).part(slice(None, None, -1))),
            last + _faint_hops(faint.part(slice(last, most))),
        )


def _faint_hops(faint: _Faint) -> int:
    """Return for how many hops, counted from clear sound, there is faint sound."""
    if not len(faint.evidence):
        return 0
    sums = np.cumsum(faint.evidence, axis=0)
    sure = sums.max(axis=0) >= SURE_FROM
    n_hops = int(np.where(sure, _ends(sums), 0).max())
    loud = np.flatnonzero(faint.is_sound[:n_hops])
    n_hops = int(loud[-1]) + 1 if len(loud) else 0
    return n_hops + _murmur_hops(faint.part(slice(n_hops, n_hops + round(MURMUR_S / HOP_S))))


def _ends(sums: Floats) -> NDArray[np.intp]:
    """Return for how many hops each band's evidence grows; shape (n_bands,).

    To its greatest, but not on for long with hardly any: noise that happens to be loud for a moment
    after a word made its end 0.12 s late.
    """
    long = round(GROWS_WITHIN_S / HOP_S)
    nearly = (sums >= sums.max(axis=0) - GROWS_BY).argmax(axis=0)
    is_near = np.arange(len(sums))[:, None] <= nearly + long
    hops: NDArray[np.intp] = np.where(is_near, sums, -math.inf).argmax(axis=0) + 1
    return hops


def _murmur_hops(faint: _Faint) -> int:
    """Return for how many hops, counted from other sound, the voice murmurs; 0 if it does not."""
    sums = np.cumsum(np.concatenate([[0.0], faint.evidence[:, 0]]))
    first = int(sums[: round(CLOSED_S / HOP_S) + 1].argmin())
    last = first + int(sums[first:].argmax())
    is_sure = sums[last] - sums[first] >= MURMUR_FROM
    return last if is_sure and faint.beyond[first:last].mean() >= 1 else 0
