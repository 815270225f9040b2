"""Takes as the store keeps them: samples in bytes, the rest as facts."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pausewright.sound.take import Take
from pausewright.voice.engine import RawTake
from pausewright.voice.finish import Finished

if TYPE_CHECKING:
    from pausewright.voice.store import Facts, TakeStore


def keep_raw(store: TakeStore, key: str, raw: RawTake) -> None:
    """Keep a raw take: float32, little-endian; raises OutputError."""
    samples = raw.samples.astype("<f4", copy=False)
    facts: Facts = {
        "rate_hz": raw.rate_hz,
        "n_samples": len(samples),
        "word_spans": raw.word_spans,
    }
    store.write("raw", key, samples.tobytes(), facts)


def kept_raw(store: TakeStore, key: str) -> RawTake | None:
    """Return a kept raw take, or None if it is absent or damaged."""
    entry = store.read("raw", key)
    if entry is None:
        return None
    content, facts = entry
    return RawTake(np.frombuffer(content, "<f4"), facts["rate_hz"], _spans(facts))


def keep_finished(store: TakeStore, key: str, rate_hz: int, finished: Finished) -> None:
    """Keep a finished take: 16 bits, little-endian; raises OutputError."""
    take = finished.take
    facts: Facts = {
        "rate_hz": rate_hz,
        "n_samples": len(take.samples),
        "edge_start": take.edge_start,
        "edge_end": take.edge_end,
        "gain_reduced_db": finished.gain_reduced_db,
        "word_spans": finished.word_spans,
    }
    store.write("takes", key, take.samples.astype("<i2", copy=False).tobytes(), facts)


def kept_finished(store: TakeStore, key: str) -> Finished | None:
    """Return a kept finished take, or None if it is absent or damaged."""
    entry = store.read("takes", key)
    if entry is None:
        return None
    content, facts = entry
    samples = np.frombuffer(content, "<i2").astype(np.int16, copy=False).reshape(-1, 1)
    take = Take(samples, facts["edge_start"], facts["edge_end"])
    return Finished(take, facts["gain_reduced_db"], _spans(facts))


def _spans(facts: Facts) -> tuple[tuple[int, int], ...]:
    return tuple((int(start), int(end)) for start, end in facts["word_spans"])
