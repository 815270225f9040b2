"""Both sides of a comparison: a track and the recording that it is a version of."""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.match.measured import Frames
    from pausewright.checker.original.exact_samples import Samples
    from pausewright.checker.original.gap_targets import Target
    from pausewright.checker.original.stretches import Original


@frozen
class Sides:
    """What is compared, and what of the track was found to be the recording's."""

    track: Samples
    original: Original
    expected: Expectation
    targets: Sequence[Target]
    keeps_level: bool
    """Whether no other loudness is declared."""
    same: list[Frames] = field(default_factory=list)
    """Frames of the track that are the recording's."""

    @property
    def rate_hz(self) -> int:
        """Samples a second of the track."""
        return self.track.rate_hz

    @property
    def is_exact(self) -> bool:
        """Whether samples can be compared one by one."""
        return bool(self.track.depth and self.original.samples.depth) and self.keeps_level
