"""Sound that is like speech, from numbers alone: syllables with a pitch, formants and an end."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

RATE_HZ: Final = 16_000
SPEECH_DBFS: Final = -22.0


def speech(seed: int, n_syllables: int, speed: float = 1.0) -> NDArray[np.float64]:
    """Return syllables that are the same for the same seed, at a speed; active level −22 dBFS."""
    draw = np.random.default_rng(seed)
    parts = []
    for _ in range(n_syllables):
        length_s = draw.uniform(0.15, 0.24) / speed
        at_s = np.arange(int(length_s * RATE_HZ)) / RATE_HZ
        pitch_hz = draw.uniform(110, 130)
        formants_hz = draw.uniform([300, 900, 2300], [800, 2200, 3200])
        wave = np.zeros(len(at_s))
        for k in range(1, 45):
            near = np.exp(-(((k * pitch_hz - formants_hz) / 180) ** 2)).sum()
            wave += (near + 0.01) * np.sin(2 * np.pi * k * pitch_hz * at_s + draw.uniform(0, 6))
        parts.append(wave / np.sqrt(np.mean(wave**2)) * np.minimum(1, 8 * np.hanning(len(wave))))
        parts.append(np.zeros(int(draw.uniform(0.0, 0.03) * RATE_HZ)))
    found: NDArray[np.float64] = np.concatenate(parts[:-1]) * 10 ** (SPEECH_DBFS / 20)
    return found


@dataclass
class Made:
    """A recording that grows."""

    parts: list[NDArray[np.float64]] = field(default_factory=list)
    spans_s: list[tuple[float, float]] = field(default_factory=list)
    """Start and end of each piece of speech."""

    @property
    def at_s(self) -> float:
        """Return how long it is."""
        return sum(map(len, self.parts)) / RATE_HZ

    def wait(self, length_s: float) -> Made:
        """Add a silence."""
        self.parts.append(np.zeros(round(length_s * RATE_HZ)))
        return self

    def say(self, seed: int, n_syllables: int, speed: float = 1.0) -> Made:
        """Add speech."""
        start_s = self.at_s
        self.parts.append(speech(seed, n_syllables, speed))
        self.spans_s.append((start_s, self.at_s))
        return self

    def rustle(self, length_s: float) -> Made:
        """Add noise that no voice is in."""
        n = round(length_s * RATE_HZ)
        wave = np.random.default_rng(n).standard_normal(n) * np.hanning(n)
        self.parts.append(wave * 10 ** (-30 / 20))
        return self

    def samples(self, noise_dbfs: float | None = None) -> NDArray[np.int16]:
        """Return all of it, with the noise of a room."""
        wave = np.concatenate(self.parts)
        if noise_dbfs is not None:
            noise = np.random.default_rng(1).standard_normal(len(wave))
            wave = wave + noise * 10 ** (noise_dbfs / 20)
        found: NDArray[np.int16] = np.rint(np.clip(wave, -1, 1) * 32767).astype(np.int16)
        return found
