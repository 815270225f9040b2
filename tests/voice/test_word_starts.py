"""Words begin with their sound, whatever a voice counts to them."""

from __future__ import annotations

import numpy as np
from pausewright.sound.take import Take
from pausewright.voice.word_starts import heard_starts

RATE_HZ = 16_000


def test_a_pause_before_a_word_is_not_the_word() -> None:
    """By hand: sound from 0 to 0.5 s and from 1.0 to 1.5 s; the second word is given from 0.5 s."""
    at_s = np.arange(int(1.5 * RATE_HZ)) / RATE_HZ
    is_on = (at_s < 0.5) | (at_s >= 1.0)
    tone = np.where(is_on, np.cos(2 * np.pi * 500 * at_s), 0)
    samples = (8_000 * tone).astype(np.int16).reshape(-1, 1)
    take = Take(samples, 0, len(samples))

    starts = heard_starts(take, [(0, 8_000), (8_000, 24_000), (9_000, 15_000)], [True] * 3, RATE_HZ)

    assert starts == [0, 16_000, 9_000]  # where nothing is heard, what the voice says stays


def test_the_closure_of_a_consonant_belongs_to_its_word() -> None:
    """By hand: 60 ms of silence are no pause inside a phrase, and one after a comma."""
    at_s = np.arange(RATE_HZ) / RATE_HZ
    tone = np.where((at_s < 0.5) | (at_s >= 0.56), np.cos(2 * np.pi * 500 * at_s), 0)
    take = Take((8_000 * tone).astype(np.int16).reshape(-1, 1), 0, RATE_HZ)
    spans = [(0, 8_000), (8_000, 16_000)]

    assert heard_starts(take, spans, [True, False], RATE_HZ) == [0, 8_000]
    assert heard_starts(take, spans, [True, True], RATE_HZ) == [0, 8_960]


def test_a_silent_take_keeps_its_spans() -> None:
    """Without sound there is nothing to begin with."""
    take = Take(np.zeros((100, 1), np.int16), 0, 100)

    assert heard_starts(take, [(0, 50), (50, 100)], [True, False], RATE_HZ) == [0, 50]
