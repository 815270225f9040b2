"""A decoded track kept on disk, silence left out: it is decoded once and looked at often.

What counts as silence depends on how loud the speech is, and faults are looked for where speech
was found, so the samples are needed more than once. Memory does not grow with the track; the
file has no name where the system allows that, and is gone when the check ends.
"""

from __future__ import annotations

import bisect
import tempfile
import threading
import weakref
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from pausewright.checker.files.columns import is_zero
from pausewright.checker.files.decode import BLOCK_FRAMES
from pausewright.checker.limits.sound import ZERO_S
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    Samples: TypeAlias = NDArray[np.float32]

_BYTES = 4
MOST_BYTES = 4 << 30
"""What is kept at most: some 6 hours of sound without a silence, at 44.1 kHz in one channel."""


class Kept:
    """The samples of one track; what is exactly 0 for a whole block is only counted."""

    def __init__(self, rate_hz: int, n_channels: int) -> None:
        """Start empty."""
        self.rate_hz = rate_hz
        self.n_channels = n_channels
        self.n_frames = 0
        self._file = tempfile.TemporaryFile()  # noqa: SIM115  closed with this object
        self._close = weakref.finalize(self, self._file.close)
        self._reading = threading.Lock()
        """Several checks may read one standard track."""
        self._starts: list[int] = []
        """First frame of each run that is kept."""
        self._ends: list[int] = []
        self._offsets: list[int] = []
        """Where a run lies in the file, in frames."""
        self._n_kept = 0
        self._zero = np.zeros(n_channels, dtype=np.float32)
        self._zeros: list[tuple[int, int]] = []
        """Ranges that are exactly 0; at the joins of blocks they may be short."""

    def shift(self, zero: NDArray[np.float64]) -> None:
        """Take another zero line, shape (n_channels,), off all sound read from now on.

        A silence of an editor's is exactly 0 though the recordings around it are not shifted so.
        """
        self._zero = zero.astype(np.float32)

    def close(self) -> None:
        """Forget the samples."""
        self._close()

    def add_silence(self, n_frames: int) -> None:
        """Take the next frames, all of them exactly 0."""
        self._note_zero(self.n_frames, self.n_frames + n_frames)
        self.n_frames += n_frames

    def add(self, block: Samples) -> None:
        """Take the next frames, shape (n_frames, n_channels), of which some are not 0.

        Raises
        ------
        TrackError
            If the disk is full, or the track holds more sound than any test.
        """
        if (self._n_kept + len(block)) * _BYTES * self.n_channels > MOST_BYTES:
            raise TrackError(
                "there is more sound in the track than the check can hold (4 GB)",
                "check the track of one test at a time",
            )
        try:
            self._file.write(np.ascontiguousarray(block, dtype=np.float32).data)
        except OSError as why:
            raise TrackError(
                f"there is no room to keep the decoded track ({why.strerror})",
                "make room on the disk for temporary files",
            ) from why
        if self._ends and self._ends[-1] == self.n_frames:
            self._ends[-1] += len(block)
        else:
            self._starts.append(self.n_frames)
            self._ends.append(self.n_frames + len(block))
            self._offsets.append(self._n_kept)
        self._n_kept += len(block)
        self._note_zeros(block)
        self.n_frames += len(block)

    def _note_zeros(self, block: Samples) -> None:
        """Note what is exactly 0 for `ZERO_S` in the next block, or at its edges."""
        zero = is_zero(block)
        if not zero.any():
            return
        edges = np.flatnonzero(np.diff(zero, prepend=False, append=False))
        starts, ends = edges[::2], edges[1::2]
        noted = (ends - starts >= ZERO_S * self.rate_hz) | (starts == 0) | (ends == len(block))
        for start, end in zip(starts[noted].tolist(), ends[noted].tolist(), strict=True):
            self._note_zero(self.n_frames + start, self.n_frames + end)

    def _note_zero(self, start: int, end: int) -> None:
        if self._zeros and self._zeros[-1][1] == start:
            start = self._zeros.pop()[0]
        self._zeros.append((start, end))

    @property
    def n_sounding(self) -> int:
        """Frames that are not in a stretch of exact silence."""
        least = ZERO_S * self.rate_hz
        return self.n_frames - sum(end - at for at, end in self._zeros if end - at >= least)

    def runs(self) -> list[tuple[int, int]]:
        """Return the half-open ranges of frames that are not silent throughout."""
        return list(zip(self._starts, self._ends, strict=True))

    def sounding(self, start: int, end: int) -> list[tuple[int, int]]:
        """Return what of a half-open range of frames is not silent throughout, in order."""
        return [(low, high) for _, low, high in self._runs_within(start, end)]

    def _runs_within(self, start: int, end: int) -> Iterator[tuple[int, int, int]]:
        """Give the runs that lie in a range, as far as they do, with their numbers."""
        first = max(0, bisect.bisect_right(self._starts, start) - 1)
        for i in range(first, len(self._starts)):
            if self._starts[i] >= end:
                break
            low, high = max(start, self._starts[i]), min(end, self._ends[i])
            if low < high:
                yield i, low, high

    def read(self, start: int, end: int) -> Samples:
        """Return the frames from `start` up to `end`, zeros outside the track."""
        found = np.zeros((max(0, end - start), self.n_channels), dtype=np.float32)
        for i, low, high in self._runs_within(start, end):
            at = (self._offsets[i] + low - self._starts[i]) * _BYTES * self.n_channels
            with self._reading:
                self._file.seek(at)
                self._file.readinto(found[low - start : high - start].data)
            if self._zero.any():
                self._shifted(found, start, low, high)
        return found

    def _shifted(self, found: Samples, start: int, low: int, high: int) -> None:
        """Take the zero line off what was read from `low` up to `high`, but for exact silence."""
        found[low - start : high - start] -= self._zero
        first = max(0, bisect.bisect_right(self._zeros, (low, self.n_frames)) - 1)
        for zero_start, zero_end in self._zeros[first:]:
            if zero_start >= high:
                break
            if zero_end - zero_start >= ZERO_S * self.rate_hz:
                found[max(low, zero_start) - start : max(low, min(high, zero_end)) - start] = 0

    def loud_blocks(self) -> Iterator[tuple[int, Samples]]:
        """Yield what is not silent throughout, in order: first frame and samples of each block."""
        for start, end in self.runs():
            for at in range(start, end, BLOCK_FRAMES):
                yield at, self.read(at, min(end, at + BLOCK_FRAMES))
