"""Reading a delivered file block by block, with what its header claims beside what it holds.

The check trusts no length that a file states about itself: it decodes everything and counts.
This is the checker's only module that imports `soundfile`; `by_av` is the other way to decode.
"""

from __future__ import annotations

import contextlib
import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, ClassVar, Self, TypeAlias

from pausewright.checker.files.by_av import AvFile
from pausewright.checker.files.headers import HeaderClaim, header_claim
from pausewright.checker.limits.coders import coder_of
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import SOUND, TRACK, Kind
from pausewright.intake.plain_file import opened_sound
from pausewright.problems import TrackError

Track: TypeAlias = "Path | tuple[Path, ...]"
"""A delivered track: one file, or the pieces that it was cut into, in order."""

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from types import ModuleType, TracebackType

    import numpy as np
    from numpy.typing import NDArray
    from soundfile import SoundFile

    Samples: TypeAlias = NDArray[np.float32]
    """Audio: shape (n_frames, n_channels), dtype float32, full scale ±1.0."""

BLOCK_FRAMES = 1 << 17
"""Frames that are decoded, or held in memory, at a time (docs/decisions/filters.md)."""

MAX_CHANNELS = 2
MAX_HOURS = 12
"""No test by ear lasts longer than a day's sittings; a walk over so much takes minutes."""
LOWEST_RATE_HZ, HIGHEST_RATE_HZ = 8_000, 192_000
MOST_SOUND_CHANNELS = 8
HIGHEST_SOUND_RATE_HZ = 384_000
"""Of a sound that a script names; it is brought to the track's rate and channels."""

CONTAINERS = {
    "WAV": "WAV",
    "WAVEX": "WAV",
    "RF64": "WAV",
    "FLAC": "FLAC",
    "MP3": "MP3",
    "M4A": "M4A",
}
"""Containers by libsndfile's names that the check reads; Ogg is named by what is in it."""
OGG = {"VORBIS": "OGG Vorbis", "OPUS": "Opus"}
BY_AV = frozenset({".m4a", ".mp4", ".m4b", ".aac"})
"""Endings of files that libsndfile does not read; FFmpeg's libraries do."""


@frozen
class TrackFormat:
    """What a delivered file says that it is."""

    container: str
    """"WAV", "FLAC", "MP3", "OGG Vorbis", "Opus" or "M4A"; of a sound that a script names and
    that is of another kind, libsndfile's name for it."""
    rate_hz: int
    n_channels: int
    claim: HeaderClaim
    """The length that its header states, and what a walk over its bytes finds."""

    @property
    def is_exact(self) -> bool:
        """Whether the samples are those that were written (nothing lost by compression)."""
        return coder_of(self.container).is_exact


def _forward_only(base: type[SoundFile]) -> type[SoundFile]:
    """Return the library's file without its habit of seeking after every read.

    It seeks to where it already is, which costs an MP3 as much time as decoding it.
    """

    class ForwardFile(base):  # type: ignore[misc]  # the library has no types
        def seekable(self) -> bool:
            return False

    return ForwardFile


def _library() -> ModuleType:
    import soundfile  # noqa: PLC0415  heavy: only when a file is read

    library: ModuleType = soundfile
    return library


def _by_first(file: BinaryIO) -> SoundFile:
    """Return an opened file for the library to read, by itself where the system lets it.

    Else it asks Python for every few bytes, and waits for what Python is doing meanwhile.
    """
    sound = _forward_only(_library().SoundFile)
    if os.name != "posix":
        return sound(file)
    at = os.lseek(file.fileno(), 0, os.SEEK_CUR)
    os.lseek(file.fileno(), 0, os.SEEK_SET)
    try:
        return sound(file.fileno(), closefd=False)
    except BaseException:
        os.lseek(file.fileno(), at, os.SEEK_SET)  # where the opened file takes it to be
        raise


class TrackReader:
    """A delivered file, opened; `blocks` walks it once."""

    _WHAT: ClassVar = "a track"
    _KIND: ClassVar[Kind] = TRACK

    def __init__(self, path: Path, inside: Path | None = None) -> None:
        """Open the file; `inside` is the folder that it must lie in where a script names it.

        Raises
        ------
        TrackError
            If it is no plain file that may be read, holds no sound that can be read, or its
            rate, channels or length are outside what a track can have.
        """
        soundfile = _library()

        self.path = path
        self._broken = ""
        self._broken_types: tuple[type[Exception], ...] = (
            soundfile.LibsndfileError,
            RuntimeError,
            OSError,
        )
        self._bytes = opened_sound(path, self._KIND, inside)
        try:
            self._file: SoundFile | AvFile = self._opened()
        except (soundfile.LibsndfileError, OSError, RuntimeError, TypeError, ValueError) as why:
            self._bytes.close()
            raise TrackError(
                f"‘{path.name}’ cannot be read as {self._WHAT}", _HINT_FORMATS
            ) from why
        try:
            self.format = self._checked_format()
        except BaseException:
            self.close()
            raise

    def _opened(self) -> SoundFile | AvFile:
        is_by_av = self.path.suffix.lower() in BY_AV
        return AvFile(self._bytes, self.path.name) if is_by_av else _by_first(self._bytes)

    def _checked_format(self) -> TrackFormat:
        name = self.path.name
        container = CONTAINERS.get(self._file.format, "") or OGG.get(self._file.subtype, "")
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
            # a NaN is the greatest and the least of all
            if not (np.isfinite(block.max()) and np.isfinite(block.min())):
                raise TrackError(
                    f"‘{self.path.name}’ holds values that are no sound (not finite numbers)",
                    "export the track again, as 16-bit or 24-bit samples",
                )
            yield block

    def close(self) -> None:
        """Close the file."""
        self._file.close()
        self._bytes.close()

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


@contextlib.contextmanager
def opened(files: Sequence[Path]) -> Iterator[list[TrackReader]]:
    """Open the files of one track, to be read one after another.

    Raises
    ------
    TrackError
        If one of them cannot be read, or they are not of one kind.
    """
    with contextlib.ExitStack() as stack:
        readers = [stack.enter_context(TrackReader(file)) for file in files]
        first = readers[0].format
        for reader in readers[1:]:
            one = reader.format
            if (one.container, one.rate_hz, one.n_channels) != (
                first.container,
                first.rate_hz,
                first.n_channels,
            ):
                raise TrackError(
                    f"‘{reader.path.name}’ and ‘{readers[0].path.name}’ differ in format, rate or "
                    "channels, and are pieces of one track",
                    "copy all pieces again from where the test was built",
                )
        yield readers


def files_of(track: Track) -> tuple[Path, ...]:
    """Return the files of a track, in order."""
    return (track,) if isinstance(track, Path) else track


def name_of(track: Track) -> str:
    """Return what a track is called in reports: its file name, or those of its pieces."""
    files = files_of(track)
    if len(files) == 1:
        return files[0].name
    return f"{files[0].stem} to {files[-1].name.rpartition('_')[2]}"


class SoundReader(TrackReader):
    """A sound file that a script names, of any kind, rate and number of channels; never a track."""

    _WHAT: ClassVar = "a sound"
    _KIND: ClassVar[Kind] = replace(SOUND, error=TrackError)

    @property
    def rate_hz(self) -> int:
        """Samples a second."""
        return self.format.rate_hz

    def _opened(self) -> SoundFile | AvFile:
        soundfile = _library()

        try:
            return _by_first(self._bytes)
        except (soundfile.LibsndfileError, OSError, RuntimeError, TypeError, ValueError):
            return AvFile(self._bytes, self.path.name)

    def _checked_format(self) -> TrackFormat:
        file = self._file
        rate_hz, n_channels = int(file.samplerate), int(file.channels)
        if not (1 <= n_channels <= MOST_SOUND_CHANNELS and 1 <= rate_hz <= HIGHEST_SOUND_RATE_HZ):
            raise TrackError(
                f"‘{self.path.name}’ has {n_channels} channels of {rate_hz} samples a second",
                "save the sound in mono or stereo, at 44100 samples a second",
            )
        return TrackFormat(str(file.format), rate_hz, n_channels, HeaderClaim(int(file.frames)))


_HINT_FORMATS = "give a WAV, FLAC, MP3, OGG, Opus or M4A file"
