"""WAV and FLAC: one open file each, fed block by block.

The only module that writes with soundfile.
"""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING, Final, Literal

import soundfile

from pausewright.files.writing import ROOM_HINT, unwritable
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from io import BufferedRandom
    from pathlib import Path

    from pausewright.sound.recording.source import Depth, Written

LARGEST_WAV_BYTES: Final = 2**32 - 4096
"""A WAV file counts its bytes in 32 bits."""


class _Sink:
    """A binary file that remembers why it could not be written.

    libsndfile calls it from C, where an exception would be lost.
    """

    def __init__(self, path: Path) -> None:
        self._file: BufferedRandom = path.open("w+b")
        self.error: OSError | None = None

    def write(self, data: bytes) -> int:
        try:
            return self._file.write(data)
        except OSError as error:
            self.error = self.error or error
            return 0

    def read(self, n_bytes: int = -1) -> bytes:
        return self._file.read(n_bytes)

    def seek(self, offset: int, whence: int = 0) -> int:
        try:
            return self._file.seek(offset, whence)
        except OSError as error:
            self.error = self.error or error
            return -1

    def tell(self) -> int:
        return self._file.tell()

    def flush(self) -> None:
        try:
            self._file.flush()
        except OSError as error:
            self.error = self.error or error

    def close(self) -> None:
        try:
            self._file.close()
        except OSError as error:
            self.error = self.error or error


class PcmEncoder:
    """WAV or FLAC by libsndfile."""

    def __init__(
        self,
        part: Path,
        shown: Path,
        format: Literal["wav", "flac"],
        *,
        rate_hz: int,
        channels: int,
        depth: Depth = "PCM_16",
    ) -> None:
        """Open `part`; messages name `shown`."""
        self._shown = shown
        self._is_wav = format == "wav"
        self._n_bytes = 0
        self._errors: tuple[type[Exception], ...] = (soundfile.SoundFileError, AssertionError)
        try:
            self._sink = _Sink(part)
        except OSError as error:
            raise unwritable(shown, error, ROOM_HINT) from error
        try:
            self._file = soundfile.SoundFile(
                self._sink, "w", rate_hz, channels, depth, format=format.upper()
            )
        except self._errors as error:
            self._sink.close()
            raise unwritable(shown, self._sink.error or error, ROOM_HINT) from error

    def add(self, block: Written) -> None:
        """Encode one block."""
        self._n_bytes += block.nbytes
        if self._is_wav and self._n_bytes > LARGEST_WAV_BYTES:
            raise OutputError(
                f"‘{self._shown.name}’ would pass 4 GiB, the most that a WAV file can hold",
                "write FLAC or MP3: --format flac",
            )
        try:
            self._file.write(block)
        except self._errors as error:
            raise unwritable(self._shown, self._sink.error or error, ROOM_HINT) from error
        self._refuse_failed()

    def close(self) -> None:
        """Finish the file."""
        try:
            self._file.close()
        except self._errors as error:
            raise unwritable(self._shown, self._sink.error or error, ROOM_HINT) from error
        finally:
            self._sink.close()
        self._refuse_failed()

    def abandon(self) -> None:
        """Close without asking whether it is whole."""
        with contextlib.suppress(*self._errors, OSError):
            self._file.close()
        self._sink.close()

    def _refuse_failed(self) -> None:
        if self._sink.error is not None:
            raise unwritable(self._shown, self._sink.error, ROOM_HINT)
