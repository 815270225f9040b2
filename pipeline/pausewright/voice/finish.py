"""From raw sound to a finished take: the track's rate and level, speech edges, 16 bits.

A pure function of the raw take and the level: no take depends on another.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import soxr

from pausewright.frozen import frozen
from pausewright.problems import VoiceError
from pausewright.sound.meter import integrated_lufs
from pausewright.sound.stretch import stretched_to
from pausewright.sound.take import Take
from pausewright.voice.edges import Edges, cut_to_edges, soft_ends_faded, speech_edges
from pausewright.voice.engine import RawTake
from pausewright.voice.limit import limited
from pausewright.voice.speech_level import (
    EDGE_BELOW_SPEECH_DB,
    Level,
    active_speech_level_db,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray


FINISH = 8
"""Number of this way of finishing; part of the key under which finished takes are kept."""

_FULL_SCALE = 32767
MOST_PUT_BACK_DB = 2.0
ROUNDS = 4
LEAST_LOST_DB = 0.1
"""What the limiter takes away is put back in so many rounds, down to so little."""

MOST_STRAY_LU, BROUGHT_WITHIN_LU = 0.7, 0.6
"""A take whose own loudness (BS.1770) is further from the aim is brought so near to it."""
LEVELLED_AGAIN = 2
"""How often at most: with its gain a take's edges move a little, and with them its loudness."""

_MOST_BETWEEN_DB = 3.1
"""√2, and a little for what is left of images in resampled sound."""


@frozen
class Finished:
    """A finished take and what was done to it."""

    take: Take
    gain_reduced_db: float
    """By how much the ceiling turned its peaks down; 0 as a rule."""
    word_spans: tuple[tuple[int, int], ...] = ()
    """Half-open ranges in the take's samples, at the track's rate."""


@frozen
class FinishedSound:
    """The sound of a finished take, before its words are looked for in it."""

    take: Take
    gain_reduced_db: float
    shift: int
    """Samples by which the raw take, at the track's rate, was cut at its start."""

    def with_words(self, spans: Sequence[tuple[int, int]], from_hz: int, to_hz: int) -> Finished:
        """Return the finished take with the ranges of its words, given in the raw take's rate."""

        def moved(at: int) -> int:
            """Return a raw sample's place in the take, kept between its edges."""
            return min(
                max(at * to_hz // from_hz - self.shift, self.take.edge_start), self.take.edge_end
            )

        words = tuple((moved(start), moved(end)) for start, end in spans)
        return Finished(self.take, self.gain_reduced_db, words)


def finish(raw: RawTake, rate_hz: int, level: Level) -> Finished:
    """Resample, level and trim a raw take.

    Raises
    ------
    VoiceError
        If nothing is heard in it.
    """
    return finished_sound(raw, rate_hz, level).with_words(raw.word_spans, raw.rate_hz, rate_hz)


def finish_at_length(raw: RawTake, rate_hz: int, level: Level, wanted: float) -> Finished:
    """Stretch a raw take until it is heard for `wanted` samples of `rate_hz`, and finish it.

    How long each try is heard is measured; raises as `finish` does.
    """
    tried: list[tuple[NDArray[np.float32], FinishedSound]] = []

    def heard(samples: NDArray[np.float32]) -> int:
        sound = finished_sound(RawTake(samples, raw.rate_hz), rate_hz, level)
        tried.append((samples, sound))
        return sound.take.n_sound_samples

    start, speech = speech_only(raw)
    longer, factor = stretched_to(speech, raw.rate_hz, wanted, heard)
    sound = next(sound for samples, sound in tried if samples is longer)
    spans = [
        (int(max(0, a - start) * factor), int(max(0, b - start) * factor))
        for a, b in raw.word_spans
    ]
    return sound.with_words(spans, raw.rate_hz, rate_hz)


def finished_sound(raw: RawTake, rate_hz: int, level: Level) -> FinishedSound:
    """Resample, level and trim a raw take without its words; raises as `finish` does."""
    trimmed = trimmed_speech(raw.samples, raw.rate_hz)
    active_db = active_speech_level_db(trimmed, raw.rate_hz)
    if active_db is None:
        raise VoiceError("the voice gives no sound for this", "change the words")
    wide = raw.samples
    if raw.rate_hz != rate_hz:
        wide = soxr.resample(raw.samples, raw.rate_hz, rate_hz, quality="VHQ")
    gain_db = level.active_db - active_db
    found = _at_gain(wide, rate_hz, level, gain_db, raw.rate_hz)
    for _ in range(LEVELLED_AGAIN):
        stray_lu = _stray_lu(found.take, rate_hz, level)
        if abs(stray_lu) <= MOST_STRAY_LU:
            break
        gain_db -= stray_lu - math.copysign(BROUGHT_WITHIN_LU, stray_lu)
        found = _at_gain(wide, rate_hz, level, gain_db, raw.rate_hz)
    return found


def _stray_lu(take: Take, rate_hz: int, level: Level) -> float:
    """Return by how much a take is louder than the aim; 0 if it is shorter than a block."""
    if level.aim_lufs is None:
        return 0.0
    heard = take.samples[take.edge_start : take.edge_end] / (_FULL_SCALE + 1)
    own_lufs = integrated_lufs(heard, rate_hz)
    return own_lufs - level.aim_lufs if math.isfinite(own_lufs) else 0.0


def _at_gain(
    wide: NDArray[np.float32], rate_hz: int, level: Level, gain_db: float, from_hz: int
) -> FinishedSound:
    """Return the take with a gain and below the ceiling, cut to its edges."""
    scaled, reduced_db = _below_ceiling(wide, rate_hz, level, gain_db, from_hz)
    scaled = soft_ends_faded(scaled, rate_hz, level.soft_amplitude)
    pcm = np.rint(scaled * _FULL_SCALE).clip(-_FULL_SCALE, _FULL_SCALE).astype(np.float32)
    edges = speech_edges(pcm, rate_hz, level.edge_amplitude * _FULL_SCALE)
    if edges is None:
        raise VoiceError("the voice gives no sound for this", "change the words")
    cut, inside = cut_to_edges(pcm, rate_hz, edges)
    whole = np.rint(cut).astype(np.int16).reshape(-1, 1)
    whole.flags.writeable = False
    return FinishedSound(
        Take(whole, inside.start, inside.end), reduced_db, edges.start - inside.start
    )


def _below_ceiling(
    wide: NDArray[np.float32], rate_hz: int, level: Level, gain_db: float, from_hz: int
) -> tuple[NDArray[np.float32], float]:
    """Return the take with a gain and below the ceiling, and the most its peaks were cut by in dB.

    `from_hz` is the rate from which it was resampled: sound of less than a quarter of its rate
    reaches at most √2 times its largest sample between two samples (Duffin and Schaeffer 1938,
    from memory: |f| ≥ M cos(2πBδ) at a distance δ from the maximum M), so that the true peak need
    not be measured where that is below the ceiling.
    """
    gain = np.float32(10 ** (gain_db / 20))
    room_db = _MOST_BETWEEN_DB if 2 * from_hz <= rate_hz else math.inf
    sample_peak = float(np.abs(wide).max(initial=0.0))
    if sample_peak * 10 ** ((gain_db + room_db) / 20) <= 10 ** (level.ceiling_dbtp / 20):
        return wide * gain, 0.0
    return _limited_at_level(wide, rate_hz, level.ceiling_dbtp, gain_db)


def _limited_at_level(
    wide: NDArray[np.float32], rate_hz: int, ceiling_dbtp: float, gain_db: float
) -> tuple[NDArray[np.float32], float]:
    """Return the take below the ceiling with the power that the gain alone would give it.

    What the limiter takes away is put back into the rest, by at most `MOST_PUT_BACK_DB`.
    """
    wanted = float(np.square(wide, dtype=np.float64).sum()) * 10 ** (gain_db / 10)
    put_back_db = 0.0
    for _ in range(ROUNDS):
        gain = np.float32(10 ** ((gain_db + put_back_db) / 20))
        found, reduced_db = limited(wide * gain, rate_hz, ceiling_dbtp)
        lost_db = 10 * math.log10(wanted / float(np.square(found, dtype=np.float64).sum()))
        if lost_db < LEAST_LOST_DB or put_back_db == MOST_PUT_BACK_DB:
            break
        put_back_db = min(MOST_PUT_BACK_DB, put_back_db + lost_db)
    return found, reduced_db


def trimmed_speech(samples: NDArray[np.float32], rate_hz: int) -> NDArray[np.float32]:
    """Return the stretch between the speech edges, by the samples' own active level.

    The silence that an engine puts around its words is not speech: counted with it, the level
    of a short word would read up to 3 dB low. Empty if nothing is heard.
    """
    edges = _own_edges(samples, rate_hz)
    return samples[:0] if edges is None else samples[edges.start : edges.end]


def speech_only(raw: RawTake) -> tuple[int, NDArray[np.float32]]:
    """Return where the speech of a raw take begins, and the stretch between its edges.

    Raises
    ------
    VoiceError
        If nothing is heard in it.
    """
    edges = _own_edges(raw.samples, raw.rate_hz)
    if edges is None:
        raise VoiceError("the voice gives no sound for this", "change the words")
    return edges.start, raw.samples[edges.start : edges.end]


def _own_edges(samples: NDArray[np.float32], rate_hz: int) -> Edges | None:
    active_db = active_speech_level_db(samples, rate_hz)
    if active_db is None:
        return None
    amplitude = 10 ** ((active_db - EDGE_BELOW_SPEECH_DB) / 20)
    return speech_edges(samples, rate_hz, amplitude)
