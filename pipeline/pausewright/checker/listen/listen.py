"""Listening to a delivered file: its levels, and where in it there is sound.

The file is decoded once. What counts as silence depends on how loud the speech is, so what is
not silent throughout is kept on disk while the levels are taken, and looked at again for the
stretches of sound. Memory holds lists of stretches and ten numbers a second.
"""

from __future__ import annotations

import math
from dataclasses import field, replace
from itertools import chain
from typing import TYPE_CHECKING, Protocol, TypeAlias

import numpy as np

from pausewright.checker.files.ahead import ahead
from pausewright.checker.files.columns import loudest
from pausewright.checker.files.decode import BLOCK_FRAMES, files_of, opened
from pausewright.checker.files.decoded_track import Kept
from pausewright.checker.files.intact import FlacSum, is_damaged
from pausewright.checker.limits.sound import BELOW_SPEECH_DB, SHIFTED_FROM, SHORTEST_SILENCE_S
from pausewright.checker.listen.gate import Gated, Noise, gate, joined_spans
from pausewright.checker.listen.level import SpeechLevel, SpeechLevelMeter
from pausewright.checker.listen.loudness import LoudnessMeter, TruePeakMeter, decibels
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from numpy.typing import NDArray

    from pausewright.checker.files.decode import Track, TrackFormat, TrackReader
    from pausewright.checker.files.headers import HeaderClaim

    Samples: TypeAlias = NDArray[np.float32]


@frozen
class HeardFile:
    """One of the files that a track was read from; most tracks are one."""

    name: str
    claim: HeaderClaim
    """The length that its header states, and what a walk over its bytes finds."""
    n_frames: int
    """Counted by decoding everything."""
    is_damaged: bool
    """Whether the file's own sums show that bytes were changed."""
    broken: str
    """Why decoding stopped early; "" if it did not."""


@frozen
class Heard:
    """What was heard in a track."""

    track_format: TrackFormat
    """Of its first file; all are alike but for their lengths."""
    files: tuple[HeardFile, ...]
    n_frames: int
    """Counted by decoding everything."""
    stretches: tuple[tuple[int, int], ...]
    """Sound, in order: half-open ranges of frames."""
    threshold: float
    """Amplitude from which a sample is sound, full scale 1."""
    speech: SpeechLevel | None
    loudness_lufs: float | None
    true_peak_dbtp: float | None
    noises: tuple[Noise, ...]
    """Steady noise where silence should be."""
    dc: tuple[float, ...]
    """Mean of each channel, full scale 1; already taken off the kept samples where it matters."""
    kept: Kept = field(compare=False, repr=False)
    """The samples, for a closer look."""

    @property
    def hidden_below(self) -> float:
        """Amplitude below which a sound is silence or lies under the noise, full scale 1."""
        noise_dbfs = max((noise.level_dbfs for noise in self.noises), default=-math.inf)
        return max(self.threshold, 10 ** (noise_dbfs / 20))

    @property
    def is_damaged(self) -> bool:
        """Whether the sums of one of its files show that bytes were changed."""
        return any(file.is_damaged for file in self.files)

    @property
    def broken(self) -> str:
        """Why decoding of a file stopped early; "" if none did."""
        return next((file.broken for file in self.files if file.broken), "")


def listen(
    track: Track,
    progress: Callable[[float], None] | None = None,
    *,
    has_recordings: bool = False,
    on_opened: Callable[[TrackFormat], None] | None = None,
) -> Heard:
    """Decode a track once and return its levels and its stretches of sound; pieces as if joined.

    `progress` is called with the share that is done, 0 to 1. `has_recordings` says that music or
    effects as recorded belong to the track: then steady soft sound is taken for noise only where
    it lies under the whole track. `on_opened` is called before anything is decoded.

    Raises
    ------
    TrackError
        If a file cannot be read at all, or pieces are not alike.
    """
    with opened(files_of(track)) as readers:
        track_format = readers[0].format
        if on_opened is not None:
            on_opened(track_format)
        rate_hz, n_channels = track_format.rate_hz, track_format.n_channels
        n_claimed = sum(reader.format.claim.claimed_frames for reader in readers)
        share = _ProgressShare(progress, max(1, n_claimed))
        loudness = LoudnessMeter(rate_hz, n_channels)
        peak = TruePeakMeter(n_channels)
        speech = SpeechLevelMeter(rate_hz)
        kept = Kept(rate_hz, n_channels)
        files: list[HeardFile] = []
        whole, trimmed = _Together(kept, speech), _Together(loudness, peak)
        total = np.zeros(n_channels)
        for block in chain.from_iterable(_checked(reader, files) for reader in readers):
            share.add(len(block))
            if not block.any():
                whole.wait(len(block))
                trimmed.wait(len(block))
                continue
            whole.take(block)
            start, end = _sounding_part(block)
            trimmed.wait(start)
            trimmed.take(block[start:end])
            trimmed.wait(len(block) - end)
            total += block.sum(axis=0, dtype=np.float64)
        whole.finish()
        trimmed.finish()
        peak.finish()
        zero = total / max(1, kept.n_sounding)
        level = speech.level()
        if np.abs(zero).max() >= SHIFTED_FROM:
            kept.shift(zero)
            level = _level_of(kept)
        threshold = 0.0
        gated = Gated((), ())
        if level is not None:
            threshold, gated = _gated(kept, level, has_recordings=has_recordings)
        return Heard(
            track_format=track_format,
            files=tuple(files),
            n_frames=kept.n_frames,
            stretches=gated.stretches,
            noises=gated.noises,
            dc=tuple(zero.tolist()),
            threshold=threshold,
            speech=level,
            loudness_lufs=loudness.integrated_lufs(),
            true_peak_dbtp=decibels(peak.true_peak),
            kept=kept,
        )


class _Meter(Protocol):
    """What takes the sound of a track as it comes."""

    def add(self, block: Samples) -> None: ...

    def add_silence(self, n_frames: int) -> None: ...


class _Together:
    """Meters that are told the blocks of one silence together."""

    def __init__(self, *meters: _Meter) -> None:
        self._meters = meters
        self._n_silent = 0

    def wait(self, n_frames: int) -> None:
        self._n_silent += n_frames

    def take(self, block: Samples) -> None:
        self.finish()
        for meter in self._meters:
            meter.add(block)

    def finish(self) -> None:
        if self._n_silent:
            for meter in self._meters:
                meter.add_silence(self._n_silent)
            self._n_silent = 0


_STEP_FRAMES = 1 << 10


def _sounding_part(block: Samples) -> tuple[int, int]:
    """Return from where to where a block is not exactly 0, in whole steps; it is not 0 throughout.

    Digital silence around a word is most of many blocks.
    """
    n_whole = len(block) // _STEP_FRAMES
    if not n_whole:
        return 0, len(block)
    loud = np.flatnonzero(block[: n_whole * _STEP_FRAMES].reshape(n_whole, -1).any(axis=1))
    is_loud_after = bool(block[n_whole * _STEP_FRAMES :].any())
    start = int(loud[0]) if len(loud) else n_whole
    end = len(block) if is_loud_after else (int(loud[-1]) + 1) * _STEP_FRAMES
    return start * _STEP_FRAMES, end


def _checked(reader: TrackReader, files: list[HeardFile]) -> Iterator[Samples]:
    """Yield the blocks of a file, and add to `files` what was learned of it."""
    container = reader.format.container
    flac = FlacSum(reader.path) if container == "FLAC" else None
    n_frames = 0
    for block in ahead(reader.blocks()):
        if flac is not None and flac.is_stated:
            flac.add(block)
        n_frames += len(block)
        yield block
    differs = flac is not None and flac.is_damaged and not reader.broken
    differs = differs or is_damaged(reader.path, container)
    claim = reader.format.claim
    files.append(HeardFile(reader.path.name, claim, n_frames, differs, reader.broken))


def _gated(kept: Kept, level: SpeechLevel, *, has_recordings: bool) -> tuple[float, Gated]:
    """Return the amplitude from which a sample is sound, and where sound and noise are."""
    threshold = 10 ** ((level.active_dbfs - BELOW_SPEECH_DB) / 20)
    stretches = stretches_of(kept, threshold)
    return threshold, gate(kept, stretches, level.active_dbfs, has_recordings=has_recordings)


def _level_of(kept: Kept) -> SpeechLevel | None:
    """Return the active speech level of what was kept, silence between it counted."""
    speech = SpeechLevelMeter(kept.rate_hz)
    done = 0
    for at, block in kept.loud_blocks():
        if at > done:
            speech.add_silence(at - done)
        speech.add(block)
        done = at + len(block)
    return speech.level()


def listen_by_speech(heard: Heard, spans: Sequence[tuple[int, int]]) -> Heard:
    """Return what is heard at 40 dB below the level of the speech alone.

    A track with music as recorded has two levels; its silences are measured below that of the
    speech. `spans` are the half-open ranges of frames that are speech, in order.
    """
    kept = heard.kept
    speech = SpeechLevelMeter(kept.rate_hz)
    for start, end in spans:
        for at in range(start, end, BLOCK_FRAMES):
            speech.add(kept.read(at, min(end, at + BLOCK_FRAMES)))
    level = speech.level()
    if level is None:
        return heard
    threshold, gated = _gated(kept, level, has_recordings=True)
    return replace(
        heard, speech=level, threshold=threshold, stretches=gated.stretches, noises=gated.noises
    )


def spoken_lufs(heard: Heard, spans: Sequence[tuple[int, int]]) -> float | None:
    """Return the integrated loudness of the speech alone: all else counts as silence.

    `spans` are the half-open ranges of frames that are speech, in order; None if there is none.
    """
    kept = heard.kept
    loudness = LoudnessMeter(kept.rate_hz, kept.n_channels)
    done = 0
    for start, end in spans:
        if start > done:
            loudness.add_silence(start - done)
        for at in range(max(start, done), end, BLOCK_FRAMES):
            loudness.add(kept.read(at, min(end, at + BLOCK_FRAMES)))
        done = max(done, end)
    return loudness.integrated_lufs()


def stretches_of(kept: Kept, threshold: float) -> tuple[tuple[int, int], ...]:
    """Return where a kept track is sound; see `sound_stretches`."""
    shortest = int(SHORTEST_SILENCE_S * kept.rate_hz)
    return _joined(kept.loud_blocks(), threshold, shortest)


def sound_stretches(
    blocks: Iterable[Samples], threshold: float, shortest_silence_frames: int
) -> tuple[tuple[int, int], ...]:
    """Return where a stream is sound, as half-open ranges of frames in order.

    A frame is sound if a sample of it, on any channel, is at least `threshold` in size. Frames
    of sound less than `shortest_silence_frames` apart (counted as the frames between them) are
    one stretch. No hangover: a stretch ends one past its last frame that is sound.
    """
    return _joined(_placed(blocks), threshold, shortest_silence_frames)


def _placed(blocks: Iterable[Samples]) -> Iterator[tuple[int, Samples]]:
    at = 0
    for block in blocks:
        yield at, block
        at += len(block)


_MOST_STEP = 64


def _joined(
    blocks: Iterable[tuple[int, Samples]], threshold: float, shortest_silence_frames: int
) -> tuple[tuple[int, int], ...]:
    # steps in which, and in two of which that follow each other, no silence can be
    step = max(1, min(_MOST_STEP, shortest_silence_frames // 2))
    found: list[tuple[int, int]] = []
    for at, block in blocks:
        if max(float(block.max()), -float(block.min())) < threshold:
            continue
        size = loudest(block)
        highest = np.maximum.reduceat(size, np.arange(0, len(size), step))
        loud = np.flatnonzero(highest >= threshold)
        may_split = np.diff(loud) > shortest_silence_frames / step - 1
        firsts = loud[np.concatenate([[True], may_split])]
        lasts = loud[np.concatenate([may_split, [True]])]
        for first, last in zip(firsts.tolist(), lasts.tolist(), strict=True):
            start, end = first * step, last * step
            start += int((size[start : start + step] >= threshold).argmax())
            tail = size[end : end + step] >= threshold
            found.append((at + start, at + end + len(tail) - int(tail[::-1].argmax())))
    return tuple(joined_spans(found, shortest_silence_frames))


class Counted:
    """Blocks that are counted while they pass."""

    def __init__(self, blocks: Iterable[Samples]) -> None:
        """Count from 0."""
        self._blocks = blocks
        self.n_frames = 0

    def __iter__(self) -> Iterator[Samples]:
        """Yield the blocks."""
        for block in self._blocks:
            self.n_frames += len(block)
            yield block


class _ProgressShare:
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
