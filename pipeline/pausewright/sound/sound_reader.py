"""Sound files of the author, read as they are: samples and rate."""

from __future__ import annotations

from typing import TYPE_CHECKING, BinaryIO, Final

import numpy as np
import soundfile

from pausewright.intake.decoders import AV_OPTIONS
from pausewright.intake.file_kinds import SOUND
from pausewright.intake.plain_file import opened_sound
from pausewright.problems import SoundError

if TYPE_CHECKING:
    from fractions import Fraction
    from pathlib import Path

    from numpy.typing import NDArray

_KNOWN_KINDS: Final = "WAV, FLAC, OGG, MP3 or M4A"

_SKIP_BLOCK: Final = 1 << 16

MOST_VALUES: Final = 2 * 48_000 * 1200
"""Samples of all channels that are held at a time: 20 minutes in two channels, 0.46 GB."""

MOST_CHANNELS: Final = 8
HIGHEST_RATE_HZ: Final = 384_000


def read_sound(
    path: Path,
    from_s: Fraction | None = None,
    to_s: Fraction | None = None,
    *,
    inside: Path | None = None,
) -> tuple[NDArray[np.float32], int]:
    """Return the samples between `from_s` and `to_s` and the file's rate in Hz.

    The cut holds every sample of the half-open range [from_s, to_s); None means the file's own
    start or end. Samples are float32 of shape (n_frames, n_channels), full scale ±1, and not
    held within it. `inside` is the folder that the file must lie in where a script names it.

    Raises
    ------
    SoundError
        If the file is missing, no plain file, unreadable, empty or silent, too long to be held,
        or the range lies outside it.
    """
    if from_s is not None and to_s is not None and from_s >= to_s:
        raise SoundError(
            f"‘from’ ({_shown(from_s)}) does not come before ‘to’ ({_shown(to_s)})",
            "give ‘to’ a later time than ‘from’",
        )
    with opened_sound(path, SOUND, inside) as file:
        samples, rate_hz, n_before = _read_by_soundfile(file, path, from_s, to_s) or _read_by_av(
            file, path, from_s, to_s
        )
    _refuse_bad_range(path, len(samples), rate_hz, n_before, from_s, to_s)
    if not np.isfinite(samples).all():
        raise SoundError(
            f"the sound file ‘{path.name}’ holds values that are no sound",
            "save it again as a 16-bit WAV file",
        )
    if not samples.any():
        raise SoundError(
            f"the sound file ‘{path.name}’ is silent{'' if from_s is None else ' there'}",
            "choose another file or another from and to; for a silence write [2 s]{.pause}",
        )
    return samples, rate_hz


def _cut(rate_hz: int, from_s: Fraction | None, to_s: Fraction | None) -> tuple[int, int | None]:
    """Return the first frame and one past the last (None: the file's end)."""
    start = 0 if from_s is None else -(-from_s.numerator * rate_hz // from_s.denominator)
    end = None if to_s is None else -(-to_s.numerator * rate_hz // to_s.denominator)
    return start, end


def _read_by_soundfile(
    opened: BinaryIO, path: Path, from_s: Fraction | None, to_s: Fraction | None
) -> tuple[NDArray[np.float32], int, int] | None:
    """Return samples, rate and the frames skipped before; None if this library cannot."""
    try:
        with soundfile.SoundFile(opened) as file:
            rate_hz = int(file.samplerate)
            _refuse_strange(path, rate_hz, file.channels)
            start, end = _cut(rate_hz, from_s, to_s)
            n_before = _skip(file, start)
            n_wanted = None if end is None else max(0, end - n_before)
            samples = _held(file, path, n_wanted if n_before == start else 0)
    except (soundfile.LibsndfileError, OSError):
        return None
    return samples, rate_hz, n_before


def _skip(file: soundfile.SoundFile, n_frames: int) -> int:
    """Read on to frame `n_frames` and return the frame reached.

    By reading and not by seeking: the position after a jump inside an MP3 depends on its
    header, and the count of frames there may lie.
    """
    at = 0
    while at < n_frames:
        n_read = len(file.read(min(_SKIP_BLOCK, n_frames - at), dtype="float32"))
        if n_read == 0:
            break
        at += n_read
    return at


def _held(file: soundfile.SoundFile, path: Path, n_wanted: int | None) -> NDArray[np.float32]:
    """Return the next frames, all without `n_wanted`; room is made as they come, not as claimed."""
    most = MOST_VALUES // file.channels
    samples = np.empty((0, file.channels), np.float32)
    at = 0
    while n_wanted is None or at < n_wanted:
        n_next = _SKIP_BLOCK if n_wanted is None else min(_SKIP_BLOCK, n_wanted - at)
        if at + n_next > len(samples):
            samples.resize((max(2 * len(samples), at + n_next), file.channels), refcheck=False)
        n_read = len(file.read(n_next, dtype="float32", out=samples[at : at + n_next]))
        at += n_read
        if at > most:
            raise _too_long(path)
        if n_read == 0:
            break
    return samples[:at]


def _too_long(path: Path) -> SoundError:
    return SoundError(
        f"‘{path.name}’ holds more sound than can be heard in one piece (20 minutes in two "
        "channels, 40 in one)",
        'take a part of it at a time: {from="0 s" to="10 min"}',
    )


def _refuse_strange(path: Path, rate_hz: int, n_channels: int) -> None:
    if not (1 <= n_channels <= MOST_CHANNELS and 1 <= rate_hz <= HIGHEST_RATE_HZ):
        raise SoundError(
            f"‘{path.name}’ has {n_channels} channels of {rate_hz} samples a second",
            "save it in mono or stereo, at 44100 samples a second",
        )


def _read_by_av(
    opened: BinaryIO, path: Path, from_s: Fraction | None, to_s: Fraction | None
) -> tuple[NDArray[np.float32], int, int]:
    import av  # noqa: PLC0415  large, and only for files that libsndfile cannot read

    try:
        opened.seek(0)
        with av.open(opened, "r", options=dict(AV_OPTIONS)) as container:
            if not container.streams.audio:
                raise SoundError(
                    f"the file ‘{path.name}’ holds no sound", f"use a {_KNOWN_KINDS} file"
                )
            stream = container.streams.audio[0]
            rate_hz = stream.rate
            n_channels = stream.channels
            _refuse_strange(path, rate_hz, n_channels)
            start, end = _cut(rate_hz, from_s, to_s)
            n_left = MOST_VALUES
            even = av.AudioResampler(format="fltp", layout=stream.layout, rate=rate_hz)
            at = 0
            kept = [np.zeros((0, n_channels), np.float32)]
            for coded in container.decode(stream):
                for frame in even.resample(coded):
                    piece = np.asarray(frame.to_ndarray().T, np.float32)
                    kept.append(piece[max(0, start - at) : _rest(end, at)])
                    at += len(piece)
                    n_left -= kept[-1].size
                    if n_left < 0:
                        raise _too_long(path)
                if end is not None and at >= end:
                    break
            samples = np.concatenate(kept)
    except (av.FFmpegError, OSError, ValueError, AttributeError, IndexError) as error:
        raise SoundError(
            f"the sound file ‘{path.name}’ cannot be read",
            f"save it again as a {_KNOWN_KINDS} file",
        ) from error
    return samples, rate_hz, min(start, at)


def _rest(end: int | None, at: int) -> int | None:
    """Return how many frames from frame `at` on lie before `end`."""
    return None if end is None else max(0, end - at)


def _refuse_bad_range(
    path: Path,
    n_read: int,
    rate_hz: int,
    n_before: int,
    from_s: Fraction | None,
    to_s: Fraction | None,
) -> None:
    start, end = _cut(rate_hz, from_s, to_s)
    found_s = (n_before + n_read) / rate_hz
    if start > n_before or (from_s is not None and n_read == 0):
        raise SoundError(
            f"‘from’ ({_shown(from_s)}) lies beyond the end of ‘{path.name}’ ({found_s:.2f} s)",
            f"choose a time before {found_s:.2f} s",
        )
    if end is not None and n_read < end - start:
        raise SoundError(
            f"‘to’ ({_shown(to_s)}) lies beyond the end of ‘{path.name}’ ({found_s:.2f} s)",
            "leave ‘to’ out to hear it to its end",
        )
    if n_read == 0:
        raise SoundError(
            f"the sound file ‘{path.name}’ is empty", "choose a file that holds a sound"
        )


def _shown(time_s: Fraction | None) -> str:
    return "the start" if time_s is None else f"{float(time_s):g} s"
