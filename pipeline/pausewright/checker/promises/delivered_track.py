"""What a track is laid beside its promise with: all that was measured, and what lies beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence
    from fractions import Fraction
    from pathlib import Path

    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.files.decoded_track import Kept
    from pausewright.checker.match.match import Matching
    from pausewright.checker.result.findings import EarSummary
    from pausewright.checker.result.proofs import Comparison
    from pausewright.checker.shown.caption_readers import CaptionFile
    from pausewright.checker.shown.other_texts import OtherText


@frozen
class Delivered:
    """What was measured of one track, and what lies beside it."""

    expectation: Expectation
    """Of the version's script, as the builder worded it."""
    matching: Matching
    rate_hz: int
    kept: Kept
    container: str
    loudness_lufs: float | None
    built_for_lufs: Fraction
    captions: Sequence[tuple[str, CaptionFile]]
    others: Sequence[Path]
    """Transcripts and printed instructions."""
    sheets: Sequence[Path]
    path: Path | None
    """The file; None for pieces."""
    texts: Sequence[OtherText] = ()
    """Of room screens, and of what stands beside the sound and the cues in their files."""
    comparison: Comparison | None = None
    ear: EarSummary | None = None
    """What the machine's ear made of its words; None if nobody asked for it."""
