"""Words begin with their sound, whatever a voice counts to them."""

from __future__ import annotations

import numpy as np
import pytest
from pausewright.sound.take import Take
from pausewright.voice.word_starts import heard_starts

RATE_HZ = 16_000
NEAR = 0.001 * RATE_HZ
"""Samples that a level over a stretch may be off."""


def test_a_pause_before_a_word_is_not_the_word() -> None:
    """By hand: sound from 0 to 0.5 s and from 1.0 to 1.5 s; the second word is given from 0.5 s."""
    at_s = np.arange(int(1.5 * RATE_HZ)) / RATE_HZ
    is_on = (at_s < 0.5) | (at_s >= 1.0)
    tone = np.where(is_on, np.cos(2 * np.pi * 500 * at_s), 0)
    samples = (8_000 * tone).astype(np.int16).reshape(-1, 1)
    take = Take(samples, 0, len(samples))

    starts = heard_starts(take, [(0, 8_000), (8_000, 24_000), (9_000, 15_000)], [True] * 3, RATE_HZ)

    assert starts == pytest.approx(
        [0, 16_000, 9_000], abs=NEAR
    )  # where nothing is heard, what the voice says stays


@pytest.mark.parametrize(
    ("silent_ms", "mark", "begins_ms"),
    [(40, "", 500), (60, "", 510), (90, "", 540), (110, "", 610), (60, ",", 560)],
)
def test_a_closed_consonant_is_a_little_of_its_word(
    silent_ms: int, mark: str, begins_ms: int
) -> None:
    """By hand, after 0.5 s of sound: 50 ms of a closure at most, and nothing of a pause."""
    at_s = np.arange(RATE_HZ) / RATE_HZ
    is_on = (at_s < 0.5) | (at_s >= 0.5 + silent_ms / 1000)
    hiss = np.random.default_rng(1).normal(0, 5, RATE_HZ)
    tone = np.where(is_on, 8_000 * np.cos(2 * np.pi * 500 * at_s), hiss)
    take = Take(tone.astype(np.int16).reshape(-1, 1), 0, RATE_HZ)

    starts = heard_starts(take, [(0, 8_000), (8_000, 16_000)], [True, bool(mark)], RATE_HZ)

    assert starts == pytest.approx([0, begins_ms * RATE_HZ // 1000], abs=NEAR)


def test_a_silent_take_keeps_its_spans() -> None:
    """Without sound there is nothing to begin with."""
    take = Take(np.zeros((100, 1), np.int16), 0, 100)

    assert heard_starts(take, [(0, 50), (50, 100)], [True, False], RATE_HZ) == [0, 50]
