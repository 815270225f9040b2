"""Times of words that are learned from a passage itself, on sound whose every piece is known.

Figures on a person's voice come from scripts/recording_figures.py (docs/drafts.md).
"""

from __future__ import annotations

import itertools
import random
from typing import TYPE_CHECKING

import numpy as np
from pausewright.alignment.phone_words import spoken_words
from pausewright.alignment.spectrum import spectrum
from pausewright.alignment.speech import sounding
from pausewright.alignment.trained_times import _KIND_OF, trained_times
from pausewright.alignment.word_times import word_times

if TYPE_CHECKING:
    from numpy.typing import NDArray

RATE_HZ = 16_000
TEXT = (
    "Seven boats carry nine crates of apples over the lake. How many crates are there on six "
    "boats? A shepherd counts forty sheep near the mill, and fifty more by the river. He sells a "
    "dozen. Spell harbour, and then spell the name of the master. "
)


def noise_of(
    kind: int, length_s: float, seed: int
) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Return a piece of noise in a band that belongs to one kind of sound."""
    n = int(length_s * RATE_HZ)
    draw = np.random.default_rng(seed)
    shape = np.fft.rfft(draw.standard_normal(n))
    hz = np.fft.rfftfreq(n, 1 / RATE_HZ)
    middle_hz = 200 * 1.36**kind
    wave = np.fft.irfft(shape * np.exp(-(((hz - middle_hz) / (0.3 * middle_hz)) ** 2)), n)
    level = 10 ** ((-22 - 6 * (kind > 7)) / 20)
    found: NDArray[np.float64] = wave / np.sqrt(np.mean(wave**2)) * level
    return found


def test_words_are_found_where_their_sounds_are() -> None:
    """Sounds last 40 to 160 ms by chance, so shares of the length are wrong and sounds tell."""
    draw = random.Random(3)  # noqa: S311  no secret
    (words,) = spoken_words([TEXT])
    pieces: list[NDArray[np.float64]] = [np.zeros(RATE_HZ // 2)]
    at_s, true_s = 0.5, []
    for i, word in enumerate(words):
        true_s.append(at_s)
        for k, phone in enumerate(word.phones):
            length_s = draw.uniform(0.04, 0.16)
            pieces.append(noise_of(_KIND_OF[phone], length_s, 100 * i + k))
        pause_s = draw.uniform(0.4, 0.9) if word.ends_clause else 0.0
        pieces.append(np.zeros(int(pause_s * RATE_HZ)))
        at_s = sum(map(len, pieces)) / RATE_HZ
    wave = np.concatenate(pieces)
    room = np.random.default_rng(1).standard_normal(len(wave)) * 10**-3.2
    samples = np.rint((wave + room) * 32767).astype(np.int16)
    shape = spectrum(samples, RATE_HZ)
    found = sounding(shape, len(samples) * 1000 // RATE_HZ)
    rough = word_times([(one.start_ms, one.end_ms) for one in found.stretches], words)
    fine = trained_times(rough, words, shape, 10 ** (found.speech_dbfs / 10))
    before, after = (
        np.array([abs(one.start_ms / 1000 - s) for one, s in zip(row, true_s, strict=True)])
        for row in (rough, fine)
    )

    assert [one.word for one in fine] == [one.word for one in rough]
    assert np.median(after) < 0.5 * np.median(before)
    assert np.quantile(after, 0.9) <= 0.1
    assert all(a.start_ms <= b.start_ms for a, b in itertools.pairwise(fine))


def test_a_short_passage_keeps_its_times() -> None:
    """There is nothing to learn from in two seconds."""
    (words,) = spoken_words(["Seven boats."])
    samples = np.rint(noise_of(2, 2.0, 1) * 32767).astype(np.int16)
    rough = word_times([(0, 2000)], words)

    assert trained_times(rough, words, spectrum(samples, RATE_HZ), 0.006) == rough
