"""The second opinion on a file: decoded the other way, is it as long, and are its sounds there?

Both ways at once: the other decoder runs in a thread while the first is listened to. From where on
sample is sound is known only then, so what the other gives is kept too.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import chain
from threading import Event
from typing import TYPE_CHECKING, Final, TypeAlias

import numpy as np

from pausewright.checker.files.by_av import decoded, onsets_differ
from pausewright.checker.files.columns import loudest
from pausewright.checker.files.decode import BLOCK_FRAMES, BY_AV, files_of
from pausewright.checker.files.decoded_track import Kept
from pausewright.checker.limits.sound import (
    ONSETS_WITHIN_S,
    OVER_NOISE_DB,
    SHIFTED_FROM,
    SHORTEST_SILENCE_S,
)
from pausewright.checker.listen.listen import listen, sound_stretches, stretches_of
from pausewright.checker.result.findings import LISTEN, Finding
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence
    from concurrent.futures import Future
    from pathlib import Path

    from numpy.typing import NDArray

    from pausewright.checker.files.decode import Track, TrackFormat
    from pausewright.checker.listen.listen import Heard

    Samples: TypeAlias = NDArray[np.float32]

MOST_FRAMES: Final = 1 << 26
"""Frames of sound that are kept of the other decoder, 25 minutes at 44.1 kHz without a silence.
More are decoded once more when it is known what sound is."""


@dataclass(slots=True)
class _Other:
    """What the other decoder gave."""

    kept: Kept | None = None
    """None where there was too much sound, or no room, to keep it."""
    n_frames: list[int] = field(default_factory=list)
    """Of each file."""
    n_sounding: int = 0
    """Frames that are kept, or more."""
    stopped: str = ""
    """Why decoding stopped before the end; "" if it did not."""


def listen_twice(
    track: Track,
    progress: Callable[[float], None] | None = None,
    *,
    has_recordings: bool = False,
    is_twice: bool = True,
) -> tuple[Heard, list[Finding]]:
    """Return what is heard of a track, and where the other decoder finds another length or sound.

    Parameters and errors are those of `listen`; without `is_twice` nothing is compared.
    """
    files = files_of(track)
    if not is_twice or files[0].suffix.lower() in BY_AV:  # no second way to decode it
        return listen(track, progress, has_recordings=has_recordings), []
    is_left = Event()
    others: list[Future[_Other]] = []
    with ThreadPoolExecutor(1) as pool:

        def begin(found: TrackFormat) -> None:
            others.append(pool.submit(_decoded_otherwise, files, found, is_left))

        try:
            heard = listen(track, progress, has_recordings=has_recordings, on_opened=begin)
            return heard, _differences(files, heard, others[0].result())
        finally:
            is_left.set()


def _decoded_otherwise(files: Sequence[Path], found: TrackFormat, is_left: Event) -> _Other:
    """Decode files the other way, until nobody waits for it."""
    other = _Other(Kept(found.rate_hz, found.n_channels))
    try:
        for file in files:
            other.n_frames.append(0)
            for block in decoded(file):
                other.n_frames[-1] += len(block)
                _keep(other, block)
                if is_left.is_set():
                    return other
    except TrackError as why:
        other.stopped = why.message
    return other


def _keep(other: _Other, wave: Samples) -> None:
    """Keep a wave; where there is no room for it, nothing."""
    kept = other.kept
    if kept is None:
        return
    if wave.shape[1] != kept.n_channels:  # what matters of it is how loud it is
        wave = np.repeat(loudest(wave)[:, np.newaxis], kept.n_channels, axis=1)
    for at in range(0, len(wave), BLOCK_FRAMES):
        block = wave[at : at + BLOCK_FRAMES]
        if not block.any():
            kept.add_silence(len(block))
            continue
        try:
            kept.add(block)
        except TrackError:  # the disk is full
            other.n_sounding = MOST_FRAMES
        other.n_sounding += len(block)
        if other.n_sounding > MOST_FRAMES:
            other.kept = None
            return


def _differences(files: Sequence[Path], heard: Heard, other: _Other) -> list[Finding]:
    """Return where the other decoder finds another length, or a sound at another time."""
    rate_hz = heard.track_format.rate_hz
    threshold = max([heard.threshold, 1e-9, *map(_over, (n.level_dbfs for n in heard.noises))])
    if other.stopped:
        return [Finding("decoders-differ", "error", other.stopped, LISTEN)]
    theirs = _stretches(files, heard, other, threshold)
    lengths = [
        (ours.n_frames, n_theirs)
        for ours, n_theirs in zip(heard.files, other.n_frames, strict=True)
    ]
    differing = next((pair for pair in lengths if pair[0] != pair[1]), None)
    if differing is not None:
        return [
            Finding(
                "decoders-differ",
                "error",
                "two decoders find different lengths: the track may run differently on another "
                "player",
                "build the track again, or save it as WAV",
                expected=differing[0],
                measured=differing[1],
                unit="frames",
            )
        ]
    is_heard_so = threshold == heard.threshold and not heard.noises
    ours = heard.stretches if is_heard_so else stretches_of(heard.kept, threshold)
    apart = onsets_differ(ours, theirs, int(ONSETS_WITHIN_S * rate_hz))
    if heard.threshold == 0 or apart is None:
        return []
    return [
        Finding(
            "decoders-differ",
            "error",
            "two decoders find a sound at different times: the track may run differently on "
            "another player",
            "build the track again, or save it as WAV",
            at_s=Fraction(apart[0], rate_hz),
            expected=Fraction(apart[0], rate_hz),
            measured=Fraction(apart[1], rate_hz),
            unit="s",
        )
    ]


def _stretches(
    files: Sequence[Path], heard: Heard, other: _Other, threshold: float
) -> tuple[tuple[int, int], ...]:
    """Return where there is sound by the other decoder."""
    if other.kept is not None:
        zero = np.array(heard.dc)
        if np.abs(zero).max() >= SHIFTED_FROM:
            other.kept.shift(zero)
        return stretches_of(other.kept, threshold)
    shortest = int(SHORTEST_SILENCE_S * heard.track_format.rate_hz)
    again = chain.from_iterable(decoded(file) for file in files)
    return sound_stretches(_without_shift(again, heard.dc), threshold, shortest)


def _over(noise_dbfs: float) -> float:
    return float(10 ** ((noise_dbfs + OVER_NOISE_DB) / 20))


def _without_shift(blocks: Iterable[Samples], dc: tuple[float, ...]) -> Iterator[Samples]:
    """Take the shift of the zero line off, where it was taken off the samples that are kept."""
    zero = np.array(dc, dtype=np.float32)
    is_shifted = np.abs(zero).max() >= SHIFTED_FROM
    for block in blocks:
        # a block with another number of channels than the other decoder found stays as it is
        yield block - zero if is_shifted and block.shape[1] == len(zero) else block
