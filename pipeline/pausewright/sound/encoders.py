"""Encoders: one open file each, fed block by block.

The only module that writes with soundfile.
"""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING, Final, Literal

from pausewright.problems import OutputError
from pausewright.sound.ffmpeg import Feed, unwritable
from pausewright.sound.gapless import state_length

if TYPE_CHECKING:
    from io import BufferedRandom
    from pathlib import Path

    from pausewright.sound.take import Pcm

LARGEST_WAV_BYTES: Final = 2**32 - 4096
"""A WAV file counts its bytes in 32 bits."""

MP3_RATES_HZ: Final = (16_000, 22_050, 24_000, 32_000, 44_100, 48_000)
MP3_SCALES: Final = {
    **dict.fromkeys((32, 40, 48, 56, 64, 80, 96, 112, 128, 160), 0.95),
    192: 0.97,
    224: 0.98,
    256: 1.0,
    320: 1.0,
}
"""Bit rates in kbit/s, and the factor by which the encoder turns sound down at each (measured);
it is given back before encoding, so that an MP3 is as loud as the other formats."""

_FASTEST_GOOD: Final = 7
"""libmp3lame's effort, 0 (slow) to 9: on speech at 96 kbit/s, 7 takes a third less time than
the default 5; beyond it psychoacoustics are off and nothing more is gained."""


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
    """WAV or FLAC, 16 bits a sample, by libsndfile."""

    def __init__(
        self,
        part: Path,
        shown: Path,
        format: Literal["wav", "flac"],  # noqa: A002  the word for it
        *,
        rate_hz: int,
        channels: int,
    ) -> None:
        """Open `part`; messages name `shown`."""
        import soundfile  # noqa: PLC0415  loads a shared library

        self._shown = shown
        self._is_wav = format == "wav"
        self._n_bytes = 0
        self._errors: tuple[type[Exception], ...] = (soundfile.SoundFileError, AssertionError)
        try:
            self._sink = _Sink(part)
        except OSError as error:
            raise OutputError(*unwritable(shown, error)) from error
        try:
            self._file = soundfile.SoundFile(
                self._sink, "w", rate_hz, channels, "PCM_16", format=format.upper()
            )
        except self._errors as error:
            self._sink.close()
            raise OutputError(*unwritable(shown, self._sink.error or error)) from error

    def add(self, block: Pcm) -> None:
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
            raise OutputError(*unwritable(self._shown, self._sink.error or error)) from error
        self._refuse_failed()

    def close(self) -> None:
        """Finish the file."""
        try:
            self._file.close()
        except self._errors as error:
            raise OutputError(*unwritable(self._shown, self._sink.error or error)) from error
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
            raise OutputError(*unwritable(self._shown, self._sink.error))


class Mp3Encoder:
    """MP3 at a constant bit rate, by ffmpeg's libmp3lame in a process of its own.

    That process is the parallelism: it encodes while the next block is laid. The file carries
    a header with the encoder's delay and padding, so that its decoded length is exact.
    """

    def __init__(self, part: Path, shown: Path, *, rate_hz: int, channels: int, kbps: int) -> None:
        """Start ffmpeg, writing to `part`; messages name `shown`.

        Raises
        ------
        ValueError
            If MP3 does not know the rate or the bit rate.
        """
        if rate_hz not in MP3_RATES_HZ or kbps not in MP3_SCALES:
            raise ValueError(
                f"an MP3 has a rate in {MP3_RATES_HZ} and a bit rate in {tuple(MP3_SCALES)}, "
                f"not {kbps} kbit/s at {rate_hz} Hz"
            )
        self._part = part
        self._shown = shown
        self._bits_per_sample = kbps * 1000 / rate_hz
        self._rate_hz = rate_hz
        self._n_samples = 0
        arguments = (
            *("-f", "s16le", "-ar", str(rate_hz), "-ac", str(channels), "-i", "pipe:0"),
            *("-af", f"volume={1 / MP3_SCALES[kbps]:.9f}:precision=float"),
            *("-map_metadata", "-1", "-c:a", "libmp3lame", "-b:a", f"{kbps}k"),
            *("-compression_level", str(_FASTEST_GOOD)),
            *("-flags", "+bitexact", "-fflags", "+bitexact"),
            *("-write_xing", "1", "-f", "mp3"),
        )
        self._feed = Feed(
            arguments, part, shown, what="the MP3 encoder", instead="write FLAC: --format flac"
        )

    def add(self, block: Pcm) -> None:
        """Hand one block to the encoder."""
        self._n_samples += len(block)
        self._feed.add(block)

    def close(self) -> None:
        """Wait for the encoder to finish and see that the file is whole."""
        self._feed.close(n_bytes_least=int(self._n_samples * self._bits_per_sample / 8))
        state_length(self._part, self._n_samples, rate_hz=self._rate_hz, shown=self._shown)

    def abandon(self) -> None:
        """Stop the encoder."""
        self._feed.abandon()
