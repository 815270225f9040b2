"""Reading a delivered file block by block, with what its header claims beside what it holds.

The check trusts no length that a file states about itself: it decodes everything and counts.
This is the checker's only module that imports `soundfile` and `av`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Self, TypeAlias

from pausewright.checker.headers import HeaderClaim, header_claim
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path
    from types import TracebackType

    import numpy as np
    from numpy.typing import NDArray

    Samples: TypeAlias = NDArray[np.float32]
    """Audio: shape (n_frames, n_channels), dtype float32, full scale ±1.0."""

BLOCK_FRAMES = 1 << 14
"""Frames that are held in memory at a time."""

MAX_CHANNELS = 2
MAX_HOURS = 12
LOWEST_RATE_HZ, HIGHEST_RATE_HZ = 8_000, 192_000

CONTAINERS = {"WAV": "WAV", "WAVEX": "WAV", "RF64": "WAV", "FLAC": "FLAC", "MP3": "MP3"}
"""Containers by libsndfile's names that this version of the check reads."""


@dataclass(frozen=True, slots=True)
class TrackFormat:
    """What a delivered file says that it is."""

    container: str
    """"WAV", "FLAC" or "MP3"; of a sound of another kind, libsndfile's name for it."""
    rate_hz: int
    n_channels: int
    claim: HeaderClaim
    """The length that its header states, and what a walk over its bytes finds."""

    @property
    def is_exact(self) -> bool:
        """Whether the samples are those that were written (nothing lost by compression)."""
        return self.container != "MP3"


def _forward_only(base: type[Any]) -> type[Any]:
    """Return the library's file without its habit of seeking after every read.

    It seeks to where it already is, which costs an MP3 as much time as decoding it.
    """

    class ForwardFile(base):  # type: ignore[misc]  # the library has no types
        def seekable(self) -> bool:
            return False

    return ForwardFile


class TrackReader:
    """A delivered file, opened; `blocks` walks it once."""

    def __init__(self, path: Path, *, any_kind: bool = False) -> None:
        """Open the file; `any_kind`: not a track, but a sound of any kind that can be read.

        Raises
        ------
        TrackError
            If there is no such file, it is empty, it holds no sound that can be read, or its
            rate, channels or length are outside what a track can have.
        """
        import soundfile  # noqa: PLC0415  heavy: only when a track is read

        self.path = path
        self._any_kind = any_kind
        self._broken = ""
        self._broken_types: tuple[type[Exception], ...] = (
            soundfile.LibsndfileError,
            RuntimeError,
            OSError,
        )
        _refuse_what_is_no_file(path)
        try:
            self._file: Any = _forward_only(soundfile.SoundFile)(str(path))
        except (soundfile.LibsndfileError, OSError, RuntimeError, TypeError, ValueError) as why:
            raise TrackError(f"‘{path.name}’ cannot be read as a track", _HINT_FORMATS) from why
        try:
            self.format = self._checked_format()
        except BaseException:
            self._file.close()
            raise

    def _checked_format(self) -> TrackFormat:
        name = self.path.name
        container = CONTAINERS.get(self._file.format, "") or (
            str(self._file.format) if self._any_kind else ""
        )
        rate_hz, n_channels = int(self._file.samplerate), int(self._file.channels)
        if not container:
            raise TrackError(f"‘{name}’ is a {self._file.format} file", _HINT_FORMATS)
        if not LOWEST_RATE_HZ <= rate_hz <= HIGHEST_RATE_HZ:
            raise TrackError(
                f"‘{name}’ has {rate_hz} samples a second; the check reads "
                f"{LOWEST_RATE_HZ} to {HIGHEST_RATE_HZ}",
                "save the track at 44100 samples a second",
            )
        if not 1 <= n_channels <= MAX_CHANNELS:
            raise TrackError(
                f"‘{name}’ has {n_channels} channels; a track has one or two",
                "save the track in mono or stereo",
            )
        claim = header_claim(self.path, container, int(self._file.frames))
        return TrackFormat(container, rate_hz, n_channels, claim)

    @property
    def broken(self) -> str:
        """Why decoding stopped before the end; "" if it did not. Known after `blocks`."""
        return self._broken

    def blocks(self, block_frames: int = BLOCK_FRAMES) -> Iterator[Samples]:
        """Yield the whole track in blocks of at most `block_frames` frames.

        A block is only good until the next one is asked for: its memory is used again. Damage
        in the middle ends the walk and is told by `broken`.

        Raises
        ------
        TrackError
            If a sample is not a finite number, or the track is longer than 12 hours.
        """
        import numpy as np  # noqa: PLC0415

        buffer = np.zeros((block_frames, self.format.n_channels), dtype=np.float32)
        limit = MAX_HOURS * 3600 * self.format.rate_hz
        n_read = 0
        try:
            self._file.seek(0)
        except self._broken_types as why:
            self._broken = str(why)
            return
        while True:
            try:
                block = self._file.read(block_frames, dtype="float32", always_2d=True, out=buffer)
            except self._broken_types as why:
                self._broken = str(why)
                return
            if not len(block):
                return
            n_read += len(block)
            if n_read > limit:
                raise TrackError(
                    f"‘{self.path.name}’ is longer than {MAX_HOURS} hours",
                    "check the track of one test at a time",
                )
            # the sum of finite samples of sane size is finite; a NaN or infinity is not hidden
            if not np.isfinite(block.sum(dtype=np.float64)):
                raise TrackError(
                    f"‘{self.path.name}’ holds values that are no sound (not finite numbers)",
                    "export the track again, as 16-bit or 24-bit samples",
                )
            yield block

    def close(self) -> None:
        """Close the file."""
        self._file.close()

    def __enter__(self) -> Self:
        """Return the reader itself."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close the file."""
        self.close()


_HINT_FORMATS = "give a WAV, FLAC or MP3 file"


def _refuse_what_is_no_file(path: Path) -> None:
    try:
        if not path.exists():
            raise TrackError(f"there is no file ‘{path}’", "give the path of the track")
        if not path.is_file():
            raise TrackError(f"‘{path}’ is a folder", "give the path of one track")
        if path.stat().st_size == 0:
            raise TrackError(f"‘{path.name}’ is empty", "build or copy the track again")
    except (OSError, ValueError) as why:
        raise TrackError(f"‘{path}’ cannot be opened", "check the name and your rights") from why


class SoundReader:
    """A sound file that a script names, of any kind that the builder takes; never a track."""

    def __init__(self, path: Path) -> None:
        """Open the file with the first decoder, or with the second where that cannot read it.

        Raises
        ------
        TrackError
            If neither can.
        """
        self._path = path
        self._first: TrackReader | None = None
        try:
            self._first = TrackReader(path, any_kind=True)
            self.rate_hz = self._first.format.rate_hz
        except TrackError:
            self.rate_hz = _rate_by_second_decoder(path)

    def blocks(self) -> Iterator[Samples]:
        """Yield the whole sound in blocks; raise TrackError as `TrackReader.blocks` does."""
        return _second_decoded(self._path) if self._first is None else self._first.blocks()

    def __enter__(self) -> Self:
        """Return the reader itself."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close the file."""
        if self._first is not None:
            self._first.close()


def _rate_by_second_decoder(path: Path) -> int:
    import av  # noqa: PLC0415  heavy: only when asked for

    try:
        with av.open(str(path)) as container:
            return int(container.streams.audio[0].rate)
    except (av.error.FFmpegError, OSError, ValueError, IndexError) as why:
        raise TrackError(f"the sound file ‘{path.name}’ cannot be read", _HINT_FORMATS) from why


def _second_decoded(path: Path) -> Iterator[Samples]:
    import av  # noqa: PLC0415  heavy: only when asked for
    import numpy as np  # noqa: PLC0415

    try:
        with av.open(str(path)) as container:
            stream = container.streams.audio[0]
            even = av.AudioResampler(format="fltp", layout=stream.layout, rate=stream.rate)
            for coded in container.decode(stream):
                for frame in even.resample(coded):
                    yield np.asarray(frame.to_ndarray().T, np.float32)
    except (av.error.FFmpegError, OSError, ValueError, IndexError) as why:
        raise TrackError(f"the sound file ‘{path.name}’ cannot be read", _HINT_FORMATS) from why


def frames_by_second_decoder(path: Path) -> int:
    """Return the number of frames that PyAV (FFmpeg's libraries) decodes from a track.

    The second opinion on the length; about as slow as the first decoder.

    Raises
    ------
    TrackError
        If that decoder cannot read the file.
    """
    import av  # noqa: PLC0415  heavy: only when asked for

    n_frames = 0
    try:
        with av.open(str(path)) as container:
            for frame in container.decode(audio=0):
                n_frames += frame.samples
    except (av.error.FFmpegError, OSError, ValueError, IndexError) as why:
        raise TrackError(
            f"the second decoder cannot read ‘{path.name}’ to its end", _HINT_FORMATS
        ) from why
    return n_frames
