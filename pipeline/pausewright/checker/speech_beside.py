"""Where speech is on a track that also has sounds as recorded, whose level is another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.wording.pieces import Excerpt, Utterance

if TYPE_CHECKING:
    from pausewright.checker.expected import Expectation
    from pausewright.checker.match import Matching


def speech_beside_recordings(expectation: Expectation, matching: Matching) -> list[tuple[int, int]]:
    """Return where speech was found, if the script also has sounds as recorded; else nothing."""
    pieces = [sound.piece for sound in expectation.sounds]
    if not any(isinstance(p, Excerpt) and p.sound.level == "as recorded" for p in pieces):
        return []
    return sorted(
        span
        for piece, span in zip(pieces, matching.heard, strict=True)
        if isinstance(piece, Utterance) and span is not None
    )
