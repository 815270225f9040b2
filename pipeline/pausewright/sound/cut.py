"""A stream of samples, taken in stretches of any length."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.sound.recording.source import Written


class Cutter:
    """Gives blocks on, and stops at any sample."""

    def __init__(self, blocks: Iterator[Written]) -> None:
        """Start before the first sample."""
        self._blocks = blocks
        self._rest: Written | None = None

    def take(self, n_samples: int) -> Iterator[Written]:
        """Yield exactly the next `n_samples` samples, in blocks.

        Raises
        ------
        ValueError
            If there are not so many.
        """
        while n_samples:
            block = next(self._blocks, None) if self._rest is None else self._rest
            if block is None:
                raise ValueError(f"the stream ends {n_samples} samples too early")
            part = block[:n_samples]
            self._rest = block[n_samples:] if len(part) < len(block) else None
            n_samples -= len(part)
            yield part
