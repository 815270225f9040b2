"""Pieces of one utterance that a voice said one by one, blocks one after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pausewright.voice.edges import TAIL_S, speech_edges
from pausewright.voice.speech_level import EDGE_BELOW_SPEECH_DB, active_speech_level_db

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

PIECE_PAUSE_S = 0.25
"""Silence between two pieces: where a pronunciation engine splits an utterance into sentences, or a
long one was divided."""


def joined(
    parts: Sequence[tuple[NDArray[np.float32], list[tuple[int, int]]]], rate_hz: int
) -> tuple[NDArray[np.float32], list[tuple[int, int]]]:
    """Lay pieces, each with the ranges of its words, cut at their edges, with a pause between."""
    pause = np.zeros(round(PIECE_PAUSE_S * rate_hz), dtype=np.float32)
    blocks: list[NDArray[np.float32]] = []
    spans: list[tuple[int, int]] = []
    at = 0
    for samples, own in parts:
        level_db = active_speech_level_db(samples, rate_hz)
        if level_db is None:
            continue
        amplitude = 10 ** ((level_db - EDGE_BELOW_SPEECH_DB) / 20)
        edges = speech_edges(samples, rate_hz, amplitude)
        if edges is None:
            continue
        if blocks:
            blocks.append(pause)
            at += len(pause)
        cut = samples[edges.start : edges.end]
        spans += [
            (
                at + min(max(a - edges.start, 0), len(cut)),
                at + min(max(b - edges.start, 0), len(cut)),
            )
            for a, b in own
        ]
        blocks.append(cut)
        at += len(cut)
    blocks.append(np.zeros(round(TAIL_S * rate_hz), dtype=np.float32))
    return np.concatenate(blocks), spans
