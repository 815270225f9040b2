"""Samples of a track or a recording, exact, from any place."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Protocol, TypeAlias

import numpy as np

from pausewright.checker.files.decode import SoundReader
from pausewright.checker.files.decoded_track import Kept
from pausewright.intake.file_kinds import TRACK
from pausewright.intake.plain_file import opened_sound
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

Wave: TypeAlias = "NDArray[np.float64]"
"""Shape (n_frames, n_channels), full scale 1."""
FRAME_S: Final = 0.01
_EXACT: Final = frozenset({"WAV", "WAVEX", "RF64", "FLAC"})
_WHOLE: Final = float(1 << 31)
_FLOOR_DB: Final = -140.0


class Samples(Protocol):
    """A sound of which every stretch can be read."""

    rate_hz: int
    n_channels: int
    n_frames: int
    depth: str
    """How a sample is written: "PCM_24"; "" where a coder loses something."""

    def read(self, start: int, end: int) -> Wave:
        """Return frames [start, end), zeros outside the sound."""


class ExactSamples:
    """A WAV or FLAC file: whole numbers are read as such, so that equal samples are equal."""

    def __init__(self, path: Path, folder: Path | None = None) -> None:
        """Open it; raises TrackError if it is no WAV or FLAC."""
        import soundfile  # noqa: PLC0415  heavy: only when a sound is read

        self._bytes = opened_sound(path, TRACK, folder)
        try:
            self._file = soundfile.SoundFile(self._bytes)
        except (soundfile.LibsndfileError, OSError, RuntimeError, ValueError) as why:
            self._bytes.close()
            raise TrackError(f"‘{path.name}’ cannot be read", "give a WAV or FLAC file") from why
        if self._file.format not in _EXACT:
            self.close()
            raise TrackError(f"‘{path.name}’ is no WAV or FLAC file", "give a WAV or FLAC file")
        self.rate_hz = int(self._file.samplerate)
        self.n_channels = int(self._file.channels)
        self.n_frames = int(self._file.frames)
        self.depth = str(self._file.subtype)

    def read(self, start: int, end: int) -> Wave:
        """Return frames [start, end), zeros outside the sound."""
        found = np.zeros((max(0, end - start), self.n_channels))
        first, last = max(0, start), min(end, self.n_frames)
        if first >= last:
            return found
        self._file.seek(first)
        if self.depth.startswith("PCM"):
            block = self._file.read(last - first, dtype="int32", always_2d=True) / _WHOLE
        else:
            block = self._file.read(last - first, dtype="float64", always_2d=True)
        found[first - start : first - start + len(block)] = block
        return found

    def close(self) -> None:
        """Close the file."""
        self._file.close()
        self._bytes.close()


class KeptSamples:
    """A sound that was decoded to a temporary file."""

    depth = ""

    def __init__(self, kept: Kept) -> None:
        """Take what was kept."""
        self._kept = kept
        self.rate_hz, self.n_channels = kept.rate_hz, kept.n_channels
        self.n_frames = kept.n_frames

    def read(self, start: int, end: int) -> Wave:
        """Return frames [start, end), zeros outside the sound."""
        return self._kept.read(start, end).astype(np.float64)

    def close(self) -> None:
        """Do nothing: who kept it closes it."""


def samples_of(path: Path, folder: Path | None = None) -> ExactSamples | KeptSamples:
    """Open a recording: as it is where that is exact, else decoded.

    Raises
    ------
    TrackError
        If it cannot be read.
    """
    try:
        return ExactSamples(path, folder)
    except TrackError:
        with SoundReader(path, folder) as reader:
            kept = Kept(reader.rate_hz, reader.format.n_channels)
            for block in reader.blocks():
                kept.add(block)
        return KeptSamples(kept)


def levels_db(samples: Samples, start: int, end: int) -> NDArray[np.float64]:
    """Return the level of each 10 ms of a stretch in dB, its own zero line taken off."""
    n = round(FRAME_S * samples.rate_hz)
    found = [
        frames_db(samples.read(at, min(at + n * 500, end)), n) for at in range(start, end, n * 500)
    ]
    return np.concatenate(found) if found else np.zeros(0)


def frames_db(wave: Wave, n: int) -> NDArray[np.float64]:
    """Return the level of each `n` frames about their mean; what is left over is not counted."""
    n_whole = len(wave) // n
    if not n_whole:
        return np.zeros(0)
    power = wave[: n_whole * n].reshape(n_whole, n, -1).var(axis=1).max(axis=1)
    with np.errstate(divide="ignore"):
        return np.asarray(np.maximum(10 * np.log10(power), _FLOOR_DB))
