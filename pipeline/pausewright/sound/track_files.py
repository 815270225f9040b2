"""Blocks of audio to files: one pass, all formats at once, all files or none."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING, Final, Literal, Protocol, TypeAlias

from pausewright.files.writing import part_beside, put
from pausewright.frozen import frozen
from pausewright.problems import OutputError
from pausewright.sound.mp3 import MP3_RATES_HZ, Mp3Encoder
from pausewright.sound.pcm import PcmEncoder
from pausewright.sound.recording.source import DTYPES, FLAC_DEPTHS
from pausewright.sound.track_tags import write_tags

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from pausewright.sound.recording.source import Depth
    from pausewright.sound.recording.source import Written as Samples
    from pausewright.sound.track_tags import Tags

Format: TypeAlias = Literal["wav", "flac", "mp3"]

MP3_KBPS: Final = {1: 96, 2: 160}
"""Default bit rate by channels."""


@frozen
class Target:
    """One file to write."""

    path: Path
    format: Format
    bitrate_kbps: int | None = None
    """Of an MP3; None: 96 mono, 160 stereo."""
    tags: Tags | None = None
    """Of an MP3 or FLAC; a WAV file carries none."""


@frozen
class Written:
    """A file as it was written."""

    path: Path
    format: Format
    n_samples: int
    """In each channel."""
    n_bytes: int


class Encoder(Protocol):
    """Takes blocks and leaves a file."""

    def add(self, block: Samples) -> None:
        """Encode one block; raise OutputError if it cannot be written."""

    def close(self) -> None:
        """Finish the file; raise OutputError if it is not whole."""

    def abandon(self) -> None:
        """Stop at once; the file is not needed. Never raises."""


def write_track(
    blocks: Iterable[Samples],
    path: Path,
    *,
    format: Format,
    rate_hz: int,
    channels: int,
    bitrate_kbps: int | None = None,
    tags: Tags | None = None,
) -> Written:
    """Write one file; see `write_tracks`."""
    target = Target(path, format, bitrate_kbps, tags)
    return write_tracks(blocks, [target], rate_hz=rate_hz, channels=channels)[0]


def write_tracks(
    blocks: Iterable[Samples],
    targets: Sequence[Target],
    *,
    rate_hz: int,
    channels: int,
    depth: Depth = "PCM_16",
) -> tuple[Written, ...]:
    """Write the same audio to every target in one pass and return what was written.

    WAV and FLAC hold the samples unchanged. MP3 is made from 16 bits, has a constant bit rate and
    says in its header how many samples the encoder added, so that decoders give back exactly as
    many samples as were written. Files are written beside their targets under other names, tagged,
    and take their places only when all are whole; existing files are replaced.

    Parameters
    ----------
    blocks : each of shape (n_frames, channels), in the type of `depth`: int16, int32 for 24 and 32
        bits, float32, float64
    targets : at least one; their folders exist
    rate_hz, channels : of the blocks

    Raises
    ------
    OutputError
        If a folder cannot be written, the disk is full or an encoder fails. Nothing is left.
    ValueError
        If a block has another shape or type, or two targets are one file.
    """
    if len({target.path for target in targets}) != len(targets) or not targets:
        raise ValueError("name at least one file to write, and each only once")
    parts = [part_beside(target.path) for target in targets]
    encoders: list[Encoder] = []
    n_samples = 0
    try:
        for target, part in zip(targets, parts, strict=True):
            encoders.append(_encoder(target, part, rate_hz, channels, depth))
        for block in blocks:
            _refuse_bad_block(block, channels, depth)
            for encoder in encoders:
                encoder.add(block)
            n_samples += len(block)
        for encoder in encoders:
            encoder.close()
        return _in_place(targets, parts, n_samples)
    except BaseException:
        for encoder in encoders:
            encoder.abandon()
        for part in parts:
            with contextlib.suppress(OSError):
                part.unlink(missing_ok=True)
        raise


def _refuse_bad_block(block: Samples, channels: int, depth: Depth) -> None:
    if block.dtype != DTYPES[depth] or block.ndim != 2 or block.shape[1] != channels:
        raise ValueError(
            f"a block is {DTYPES[depth]} of shape (n, {channels}), not {block.dtype} of shape "
            f"{block.shape}"
        )


def _encoder(target: Target, part: Path, rate_hz: int, channels: int, depth: Depth) -> Encoder:
    if target.format == "mp3":
        if rate_hz not in MP3_RATES_HZ:
            raise OutputError(
                f"an MP3 cannot hold {rate_hz:,} samples a second, which this recording has",
                "write WAV or FLAC: --format wav",
            )
        kbps = target.bitrate_kbps or MP3_KBPS[channels]
        return Mp3Encoder(part, target.path, rate_hz=rate_hz, channels=channels, kbps=kbps)
    if target.format == "flac" and depth not in FLAC_DEPTHS:
        raise OutputError(
            "a FLAC file cannot hold 32 bits or floating point, which this recording has",
            "write WAV: --format wav",
        )
    return PcmEncoder(
        part, target.path, target.format, rate_hz=rate_hz, channels=channels, depth=depth
    )


def _in_place(
    targets: Sequence[Target], parts: Sequence[Path], n_samples: int
) -> tuple[Written, ...]:
    for target, part in zip(targets, parts, strict=True):
        if target.tags is not None and target.format != "wav":
            write_tags(part, target.format, target.tags, shown=target.path)
    written = []
    for target, part in zip(targets, parts, strict=True):
        try:
            n_bytes = part.stat().st_size
            put(part, target.path)
        except OSError as error:
            raise OutputError(
                f"‘{target.path}’ cannot be written ({error.strerror})",
                "close the program that has it open, or choose another folder with --out",
            ) from error
        written.append(Written(target.path, target.format, n_samples, n_bytes))
    return tuple(written)
