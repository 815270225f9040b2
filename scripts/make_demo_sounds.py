"""Make the sounds that the demo scripts name: run it again only to change them.

The sounds are computed, so they belong to nobody; the files are kept in the repository, so
that building a demo needs no extra step.
"""

from __future__ import annotations

import math
import sys
import wave
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
from pausewright.sound.meter import loudness_lufs, true_peak_dbtp

if TYPE_CHECKING:
    from numpy.typing import NDArray

RATE_HZ: Final = 44_100
TARGET_LUFS: Final = -23.0
FOLDER: Final = Path(__file__).resolve().parent.parent / "demo_scripts" / "audio"

STROKES_AT_S: Final = (0.0, 0.55, 1.1, 2.4, 2.95)
"""Three strokes, a rest, and two more."""
BELL_LENGTH_S: Final = 3.9
DAMPED_S: Final = 0.03
"""A hand on the bell: it is heard to its last 30 ms, so that the end is where the file ends."""

PARTIALS: Final = (
    (1.0, 1.0, 0.9),
    (2.0, 0.45, 0.7),
    (2.4, 0.35, 0.6),
    (3.0, 0.25, 0.45),
    (4.5, 0.12, 0.3),
)
"""Of a small bell: ratio to the hum note, amplitude, decay time in seconds (chosen by ear of
mind, no source)."""
HUM_HZ: Final = 587.0


def bell() -> NDArray[np.float32]:
    """Return the station bell, shape (n_samples, 1), full scale ±1, at the target loudness."""
    sound = np.zeros(round(BELL_LENGTH_S * RATE_HZ))
    for start_s in STROKES_AT_S:
        first = round(start_s * RATE_HZ)
        seconds = np.arange(len(sound) - first) / RATE_HZ
        for ratio, amplitude, decay_s in PARTIALS:
            swing = np.sin(2 * math.pi * HUM_HZ * ratio * seconds)
            sound[first:] += amplitude * np.exp(-seconds / decay_s) * swing
    n_damped = round(DAMPED_S * RATE_HZ)
    sound[-n_damped:] *= np.cos(np.linspace(0, math.pi / 2, n_damped))
    mono = sound.astype(np.float32)[:, np.newaxis]
    mono /= np.max(np.abs(mono))
    gain_db = TARGET_LUFS - loudness_lufs(mono, RATE_HZ)
    return mono * np.float32(10 ** (gain_db / 20))


def write(name: str, sound: NDArray[np.float32]) -> None:
    """Write a sound, shape (n_samples, 1), as mono WAV of 16 bits and say how loud it is."""
    peak_dbtp = true_peak_dbtp(sound, RATE_HZ)
    if peak_dbtp > -1:
        sys.exit(f"{name}: a true peak of {peak_dbtp:.1f} dBTP is too high")
    FOLDER.mkdir(parents=True, exist_ok=True)
    with wave.open(str(FOLDER / name), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes(np.rint(sound * 32767).astype("<i2").tobytes())
    level_lufs = loudness_lufs(sound, RATE_HZ)
    print(f"{name}: {len(sound) / RATE_HZ:.2f} s, {level_lufs:.1f} LUFS, {peak_dbtp:.1f} dBTP")


def main() -> None:
    """Make all sounds."""
    write("station-bell.wav", bell())


if __name__ == "__main__":
    main()
