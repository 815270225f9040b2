"""A sound or video file of a common kind, decoded from beginning to end, in one channel.

For finding things in a recording, not for delivering it: the mean of the channels, at one low rate.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import av
import numpy as np
import soxr

from pausewright.frozen import frozen
from pausewright.intake.decoders import AV_OPTIONS
from pausewright.intake.file_kinds import RECORDING
from pausewright.intake.plain_file import opened_sound
from pausewright.problems import SoundError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from numpy.typing import NDArray

LOW_RATE_HZ: Final = 16_000
MOST_S: Final = 6 * 3600
"""What is read of a recording at most: at `LOW_RATE_HZ` it is held whole, 0.1 GB an hour."""
_FULL_SCALE: Final = 32767
_ROOM_S: Final = 60


@frozen
class LowSound:
    """A whole recording in one channel at `LOW_RATE_HZ`."""

    samples: NDArray[np.int16]
    """Shape (n_samples,)."""
    source_rate_hz: int
    """Of the file."""

    @property
    def length_s(self) -> float:
        """Its length in seconds."""
        return len(self.samples) / LOW_RATE_HZ

    def cut(self, start_ms: int, end_ms: int) -> NDArray[np.float32]:
        """Return the samples between two times, float32, full scale ±1."""
        first, last = (max(0, at * LOW_RATE_HZ // 1000) for at in (start_ms, end_ms))
        return self.samples[first:last].astype(np.float32) / np.float32(_FULL_SCALE)


def low_sound(path: Path, progress: Callable[[int, int], None] | None = None) -> LowSound:
    """Return the sound of a file of any common kind; of a video its first track of sound.

    `progress` is called with seconds read and in all, where the file tells its length.

    Raises
    ------
    SoundError
        If the file is missing, no plain file, unreadable, encrypted, empty or silent, holds no
        sound, breaks off within its first second, or lasts longer than six hours.
    """
    kept = np.empty(_ROOM_S * LOW_RATE_HZ, np.int16)
    at = 0
    with opened_sound(path, RECORDING) as opened:
        try:
            with av.open(opened, "r", options=dict(AV_OPTIONS)) as container:
                if not container.streams.audio:
                    raise SoundError(
                        f"the file ‘{path.name}’ holds no sound", "name a recording or a video"
                    )
                stream = container.streams.audio[0]
                rate_hz = stream.rate
                n_all = round((container.duration or 0) / 1_000_000)
                mono = av.AudioResampler(format="fltp", layout="mono", rate=LOW_RATE_HZ)
                frames = (one for coded in container.decode(stream) for one in mono.resample(coded))
                for frame in frames:
                    at, kept = _held(kept, at, frame.to_ndarray()[0], path)
                    if progress is not None and n_all:
                        progress(min(n_all, at // LOW_RATE_HZ), n_all)
                for frame in mono.resample(None):
                    at, kept = _held(kept, at, frame.to_ndarray()[0], path)
        except (av.FFmpegError, OSError, ValueError, AttributeError, IndexError) as why:
            if at < LOW_RATE_HZ:
                raise SoundError(
                    f"the recording ‘{path.name}’ cannot be read: it is broken, encrypted or of an "
                    "unknown kind",
                    "save it again as WAV, FLAC, MP3, M4A or MP4",
                ) from why
            raise SoundError(
                f"the recording ‘{path.name}’ breaks off after {at / LOW_RATE_HZ:.1f} s",
                "copy it again, or save it again as WAV or FLAC",
            ) from why
    samples = kept[:at]
    if not samples.any():
        raise SoundError(
            f"the recording ‘{path.name}’ is {'silent' if at else 'empty'}", "name another file"
        )
    return LowSound(samples, rate_hz)


def low_samples(samples: NDArray[np.float32], rate_hz: int) -> NDArray[np.int16]:
    """Return sound of shape (n_frames, n_channels), full scale ±1, in one channel at a low rate.

    That of `LowSound`.
    """
    low = soxr.resample(samples.mean(axis=1), rate_hz, LOW_RATE_HZ)
    found: NDArray[np.int16] = np.rint(np.clip(low, -1, 1) * _FULL_SCALE).astype(np.int16)
    return found


def _held(
    kept: NDArray[np.int16], at: int, wave: NDArray[np.float32], path: Path
) -> tuple[int, NDArray[np.int16]]:
    """Append samples and return the new length and the array, longer if need be."""
    if at + len(wave) > MOST_S * LOW_RATE_HZ:
        raise SoundError(
            f"the recording ‘{path.name}’ lasts longer than {MOST_S // 3600} hours",
            "cut it into parts and name one of them",
        )
    if not np.isfinite(wave).all():
        raise SoundError(
            f"the recording ‘{path.name}’ holds values that are no sound after "
            f"{at / LOW_RATE_HZ:.1f} s",
            "save it again as a 16-bit WAV file",
        )
    if at + len(wave) > len(kept):
        kept = np.concatenate([kept, np.empty(max(len(kept), len(wave)), np.int16)])
    kept[at : at + len(wave)] = np.rint(np.clip(wave, -1, 1) * _FULL_SCALE).astype(np.int16)
    return at + len(wave), kept
