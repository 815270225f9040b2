"""Listening to a delivered file: its levels, and where in it there is sound.

Two walks over the file, because what counts as silence depends on how loud the speech is:
the first takes the levels, the second the stretches of sound. Nothing is kept but lists of
stretches and ten numbers a second.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from pausewright.checker.decode import TrackReader
from pausewright.checker.level import SpeechLevel, SpeechLevelMeter
from pausewright.checker.loudness import LoudnessMeter, TruePeakMeter, decibels

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    from pausewright.checker.decode import TrackFormat

    Samples: TypeAlias = NDArray[np.float32]

BELOW_SPEECH_DB = 40.0
"""A sample is sound if it is not further than this below the active speech level."""
SHORTEST_SILENCE_S = 0.2
"""Shorter silences (stop consonants, joins of words) belong to the sound around them."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What was heard in a file."""

    track_format: TrackFormat
    n_frames: int
    """Counted by decoding everything."""
    stretches: tuple[tuple[int, int], ...]
    """Sound, in order: half-open ranges of frames."""
    threshold: float
    """Amplitude from which a sample is sound, full scale 1."""
    speech: SpeechLevel | None
    loudness_lufs: float | None
    true_peak_dbtp: float | None
    sample_peak_dbfs: float | None
    broken: str = ""
    """Why decoding stopped early; "" if it did not."""


def listen(path: Path, progress: Callable[[float], None] | None = None) -> Heard:
    """Decode a track twice and return its levels and its stretches of sound.

    `progress` is called with the share that is done, 0 to 1.

    Raises
    ------
    TrackError
        If the file cannot be read at all.
    """
    with TrackReader(path) as reader:
        rate_hz, n_channels = reader.format.rate_hz, reader.format.n_channels
        told = _Told(progress, 2 * max(1, reader.format.claim.claimed_frames))
        loudness = LoudnessMeter(rate_hz, n_channels)
        peak = TruePeakMeter(n_channels)
        speech = SpeechLevelMeter(rate_hz)
        n_frames = 0
        for block in reader.blocks():
            n_frames += len(block)
            if block.any():
                loudness.add(block)
                peak.add(block)
                speech.add(block)
            else:
                loudness.add_silence(len(block))
                peak.add_silence(len(block))
                speech.add_silence(len(block))
            told.add(len(block))
        peak.finish()
        level = speech.level()
        threshold = 0.0
        stretches: tuple[tuple[int, int], ...] = ()
        if level is not None:
            threshold = 10 ** ((level.active_dbfs - BELOW_SPEECH_DB) / 20)
            # opened anew: going back in a damaged MP3 gives other samples than its start did
            with TrackReader(path) as again:
                stretches = sound_stretches(
                    told.walk(again.blocks()), threshold, int(SHORTEST_SILENCE_S * rate_hz)
                )
        return Heard(
            track_format=reader.format,
            n_frames=n_frames,
            stretches=stretches,
            threshold=threshold,
            speech=level,
            loudness_lufs=loudness.integrated_lufs(),
            true_peak_dbtp=decibels(peak.true_peak),
            sample_peak_dbfs=decibels(peak.sample_peak),
            broken=reader.broken,
        )


def listen_by_speech(path: Path, heard: Heard, spans: Sequence[tuple[int, int]]) -> Heard:
    """Return what is heard at 40 dB below the level of the speech alone.

    A track with music as recorded has two levels; its silences are measured below that of the
    speech.

    Parameters
    ----------
    path : the track that `heard` was made from
    spans : half-open ranges of frames that are speech, in order

    Raises
    ------
    TrackError
        If the file cannot be read any more.
    """
    with TrackReader(path) as reader:
        rate_hz = reader.format.rate_hz
        speech = SpeechLevelMeter(rate_hz)
        at = 0
        waiting = list(reversed(spans))
        for block in reader.blocks():
            end = at + len(block)
            while waiting and waiting[-1][0] < end:
                start, stop = waiting[-1]
                speech.add(block[max(0, start - at) : min(len(block), stop - at)])
                if stop > end:
                    break
                waiting.pop()
            at = end
        level = speech.level()
    if level is None:
        return heard
    threshold = 10 ** ((level.active_dbfs - BELOW_SPEECH_DB) / 20)
    with TrackReader(path) as again:
        shortest = int(SHORTEST_SILENCE_S * rate_hz)
        stretches = sound_stretches(again.blocks(), threshold, shortest)
    return replace(heard, speech=level, threshold=threshold, stretches=stretches)


def sound_stretches(
    blocks: Iterable[Samples], threshold: float, shortest_silence_frames: int
) -> tuple[tuple[int, int], ...]:
    """Return where a stream is sound, as half-open ranges of frames in order.

    A frame is sound if a sample of it, on any channel, is at least `threshold` in size. Frames
    of sound less than `shortest_silence_frames` apart (counted as the frames between them) are
    one stretch. No hangover: a stretch ends one past its last frame that is sound.
    """
    found: list[tuple[int, int]] = []
    at = 0
    for block in blocks:
        n_frames = len(block)
        if max(float(block.max()), -float(block.min())) >= threshold:
            size = np.abs(block[:, 0]) if block.shape[1] == 1 else np.abs(block).max(axis=1)
            loud = np.flatnonzero(size >= threshold)
            splits = np.flatnonzero(np.diff(loud) > shortest_silence_frames)
            starts = loud[np.concatenate([[0], splits + 1])] + at
            ends = loud[np.concatenate([splits, [len(loud) - 1]])] + (at + 1)
            for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
                if found and start - found[-1][1] < shortest_silence_frames:
                    found[-1] = (found[-1][0], end)
                else:
                    found.append((start, end))
        at += n_frames
    return tuple(found)


class _Told:
    """Tells the share done, at most once for each hundredth."""

    def __init__(self, progress: Callable[[float], None] | None, n_total: int) -> None:
        self._progress = progress
        self._n_total = n_total
        self._n_done = 0
        self._last = -1

    def add(self, n_frames: int) -> None:
        self._n_done += n_frames
        share = min(100, 100 * self._n_done // self._n_total)
        if self._progress is not None and share > self._last:
            self._last = share
            self._progress(share / 100)

    def walk(self, blocks: Iterable[Samples]) -> Iterable[Samples]:
        for block in blocks:
            yield block
            self.add(len(block))
