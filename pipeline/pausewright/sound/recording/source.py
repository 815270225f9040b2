"""A given recording as it is: its rate, channels, depth, and any stretch of its samples, exact."""

from __future__ import annotations

import tempfile
from typing import TYPE_CHECKING, Final, Literal, TypeAlias, get_args

import numpy as np
import soundfile

from pausewright.frozen import frozen
from pausewright.intake.decoders import AV_OPTIONS
from pausewright.intake.file_kinds import TRACK
from pausewright.intake.plain_file import opened_sound
from pausewright.problems import SoundError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path
    from types import TracebackType
    from typing import BinaryIO, Self

    from numpy.typing import NDArray

Depth: TypeAlias = Literal["PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE"]
"""How a sample is written, as libsndfile calls it."""
Wave: TypeAlias = "NDArray[np.float64]"
"""Shape (n_samples, n_channels), full scale ±1; samples of 16, 24 and 32 bits are held exactly."""

LEAST_RATE_HZ: Final = 8_000
MOST_RATE_HZ: Final = 96_000
MOST_HOURS: Final = 12
BLOCK: Final = 1 << 15
"""Samples of each channel that are read at a time."""
DTYPES: Final[dict[Depth, str]] = {
    "PCM_16": "int16",
    "PCM_24": "int32",
    "PCM_32": "int32",
    "FLOAT": "float32",
    "DOUBLE": "float64",
}
"""Types of samples as an encoder takes them."""
FLAC_DEPTHS: Final = frozenset({"PCM_16", "PCM_24"})
_DEPTHS: Final[tuple[Depth, ...]] = get_args(Depth)
_AS_IT_IS: Final = {"WAV", "WAVEX", "RF64", "FLAC"}
_BITS: Final[dict[Depth, int]] = {"PCM_16": 16, "PCM_24": 24, "PCM_32": 32}
_WHOLE: Final = float(1 << 31)


@frozen
class RecordingFormat:
    """What a recording is, and what its versions are."""

    rate_hz: int
    n_channels: int
    depth: Depth


class RecordingFile:
    """A recording, open; any stretch of it can be read."""

    def __init__(self, path: Path, folder: Path) -> None:
        """Open it; `folder` is where it must lie.

        WAV and FLAC are read as they are. Anything else is decoded once, to samples of 32-bit
        floats in a temporary file.

        Raises
        ------
        SoundError
            If it cannot be read, or has a rate, channels or a length that no version can have.
        """
        self.path = path
        self._bytes: BinaryIO = opened_sound(path, TRACK, folder)
        self._held: BinaryIO | None = None
        try:
            self._file = self._opened()
            self.format = self._checked()
        except (soundfile.LibsndfileError, OSError, RuntimeError) as error:
            self.close()
            raise SoundError(
                f"the recording ‘{path.name}’ cannot be read", "save it again as a WAV file"
            ) from error
        except BaseException:
            self.close()
            raise
        self.n_samples = int(self._file.frames)

    def _opened(self) -> soundfile.SoundFile:
        try:
            file = soundfile.SoundFile(self._bytes)
        except soundfile.LibsndfileError:
            file = None
        if file is not None and file.format in _AS_IT_IS and file.subtype in _DEPTHS:
            return file
        self._bytes.seek(0)
        return self._decoded()

    def _decoded(self) -> soundfile.SoundFile:
        import av  # noqa: PLC0415  large, and only for files that are no WAV or FLAC

        self._held = tempfile.TemporaryFile()  # noqa: SIM115  open as long as the recording is
        try:
            with av.open(self._bytes, "r", options=dict(AV_OPTIONS)) as container:
                if not container.streams.audio:
                    raise SoundError(
                        f"the file ‘{self.path.name}’ holds no sound", "name a recording"
                    )
                stream = container.streams.audio[0]
                rate_hz, n_channels = stream.rate, stream.channels
                even = av.AudioResampler(format="flt", layout=stream.layout, rate=rate_hz)
                with soundfile.SoundFile(
                    self._held, "w", rate_hz, n_channels, "FLOAT", format="RF64"
                ) as out:
                    for coded in container.decode(stream):
                        for frame in even.resample(coded):
                            piece = np.asarray(frame.to_ndarray(), np.float32)
                            out.write(piece.reshape(-1, n_channels))
        except (av.FFmpegError, ValueError, IndexError) as error:
            raise SoundError(
                f"the recording ‘{self.path.name}’ cannot be read", "save it as a WAV file"
            ) from error
        self._held.seek(0)
        return soundfile.SoundFile(self._held)

    def _checked(self) -> RecordingFormat:
        rate_hz, n_channels = int(self._file.samplerate), int(self._file.channels)
        name = self.path.name
        if not LEAST_RATE_HZ <= rate_hz <= MOST_RATE_HZ or not 1 <= n_channels <= 2:
            raise SoundError(
                f"‘{name}’ has {n_channels} channels of {rate_hz} samples a second; versions are "
                f"made of one or two channels at {LEAST_RATE_HZ} to {MOST_RATE_HZ}",
                "save it in mono or stereo, at 44100 samples a second",
            )
        if self._file.frames > MOST_HOURS * 3600 * rate_hz:
            raise SoundError(
                f"‘{name}’ is longer than {MOST_HOURS} hours", "take one test at a time"
            )
        return RecordingFormat(rate_hz, n_channels, self._file.subtype)

    def read(self, start: int, end: int) -> Wave:
        """Return samples [start, end), fewer where the recording ends."""
        start, end = max(0, start), min(end, self.n_samples)
        if end <= start:
            return np.zeros((0, self.format.n_channels))
        self._file.seek(start)
        return self._next(end - start)

    def _next(self, n: int) -> Wave:
        if self.format.depth in _BITS:
            whole = self._file.read(n, dtype="int32", always_2d=True)
            return np.asarray(whole, np.float64) / _WHOLE
        return np.asarray(self._file.read(n, dtype="float64", always_2d=True), np.float64)

    def blocks(self, start: int = 0, end: int | None = None) -> Iterator[Wave]:
        """Yield samples [start, end) in blocks."""
        end = self.n_samples if end is None else end
        for at in range(start, end, BLOCK):
            yield self.read(at, min(at + BLOCK, end))

    def close(self) -> None:
        """Close it; what was decoded goes."""
        if hasattr(self, "_file"):
            self._file.close()
        if self._held is not None:
            self._held.close()
        self._bytes.close()

    def __enter__(self) -> Self:
        """Return the open recording."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        """Close it."""
        self.close()


Written: TypeAlias = "NDArray[np.int16] | NDArray[np.int32] | NDArray[np.float32] | Wave"
"""Samples as an encoder takes them."""


def as_written(wave: Wave, depth: Depth) -> Written:
    """Return samples in the form of a depth: what was read from it comes out as it was."""
    if depth == "DOUBLE":
        return wave
    if depth == "FLOAT":
        return wave.astype(np.float32)
    bits = _BITS[depth]
    full = float(1 << (bits - 1))
    whole = np.clip(np.rint(wave * full), -full, full - 1)
    if depth == "PCM_16":
        return whole.astype(np.int16)
    # libsndfile takes 24 bits as the upper ones of 32
    return (whole.astype(np.int64) << (32 - bits)).astype(np.int32)


def as_int16(block: Written) -> NDArray[np.int16]:
    """Return written samples in 16 bits, for what holds no more."""
    if block.dtype == np.int16:
        return block.astype(np.int16, copy=False)
    wave = block.astype(np.float64)
    if block.dtype == np.int32:
        wave = wave / _WHOLE
    full = float(1 << 15)
    return np.clip(np.rint(wave * full), -full, full - 1).astype(np.int16)
