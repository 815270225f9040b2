"""Instruments of our own for the demo sounds, each a few sines and decays.

Every function returns mono samples, float64 of shape (n_samples,), with peaks near 1; lengths are
in seconds, pitches in Hz. Nothing is random, so every run gives the same samples (another
processor may differ in the last bits).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

A4_HZ: Final = 440.0
_STEPS: Final = {"C": -9, "D": -7, "E": -5, "F": -4, "G": -2, "A": 0, "B": 2}

_BELL_PARTIALS: Final = (
    (1.0, 1.0, 0.9),
    (2.0, 0.45, 0.7),
    (2.4, 0.35, 0.6),
    (3.0, 0.25, 0.45),
    (4.5, 0.12, 0.3),
)
"""Of a small bell: ratio to the hum note, amplitude, decay time in seconds (chosen by ear of
mind, no source)."""


def pitch_hz(name: str) -> float:
    """Return the frequency of a note such as `F#4`, equally tempered from A4 = 440 Hz."""
    step = _STEPS[name[0]] + {"#": 1, "b": -1}.get(name[1:-1], 0)
    return A4_HZ * float(2 ** ((step + 12 * (int(name[-1]) - 4)) / 12))


def bell(hum_hz: float, length_s: float, rate_hz: int) -> NDArray[np.float64]:
    """Return one stroke of a small bell."""
    seconds = _seconds(length_s, rate_hz)
    sound = np.zeros(len(seconds))
    for ratio, amplitude, decay_s in _BELL_PARTIALS:
        swing = np.sin(2 * math.pi * hum_hz * ratio * seconds)
        sound += amplitude * np.exp(-seconds / decay_s) * swing
    return sound


def plucked(note_hz: float, length_s: float, rate_hz: int) -> NDArray[np.float64]:
    """Return a plucked string: partials that fall with their number and fade the faster."""
    seconds = _seconds(length_s, rate_hz)
    sound = np.zeros(len(seconds))
    for k in range(1, 8):
        if k * note_hz < 0.45 * rate_hz:
            fade = np.exp(-seconds * (1.2 + 0.9 * k))
            sound += fade * np.sin(2 * math.pi * k * note_hz * seconds) / k
    return _edged(sound, 0.004, 0.03, rate_hz)


def pipe(note_hz: float, length_s: float, rate_hz: int) -> NDArray[np.float64]:
    """Return a blown pipe: few partials, a slow vibrato, soft edges."""
    seconds = _seconds(length_s, rate_hz)
    phase = 2 * math.pi * note_hz * seconds + 0.25 * np.sin(2 * math.pi * 5.2 * seconds)
    sound = np.sin(phase) + 0.28 * np.sin(2 * phase) + 0.16 * np.sin(3 * phase)
    return _edged(0.75 * sound, 0.03, 0.05, rate_hz)


def drum(length_s: float, rate_hz: int) -> NDArray[np.float64]:
    """Return a beat of a drum: a tone that falls from 150 to 75 Hz, and the tap of the stick."""
    seconds = _seconds(length_s, rate_hz)
    falling = 75 * seconds + 75 * 0.06 * (1 - np.exp(-seconds / 0.06))
    skin = np.exp(-seconds / 0.16) * np.sin(2 * math.pi * falling)
    tap = 0.35 * np.exp(-seconds / 0.018) * noise(len(seconds))
    return _edged(skin + tap, 0.002, 0.03, rate_hz)


def whistle(length_s: float, rate_hz: int) -> NDArray[np.float64]:
    """Return a blow of a whistle with a pea in it: a high tone that trills."""
    seconds = _seconds(length_s, rate_hz)
    trill = np.sin(2 * math.pi * 31 * seconds)
    phase = 2 * math.pi * 2350 * seconds + 1.6 * trill
    sound = (0.72 + 0.28 * trill) * np.sin(phase) + 0.05 * noise(len(seconds))
    return _edged(sound, 0.02, 0.06, rate_hz)


def noise(n_samples: int) -> NDArray[np.float64]:
    """Return even noise within ±1, scrambled from the sample numbers: the same on every machine."""
    bits = np.arange(1, n_samples + 1, dtype=np.uint32) * np.uint32(2_654_435_761)
    bits ^= bits >> np.uint32(15)
    bits *= np.uint32(2_246_822_519)
    bits ^= bits >> np.uint32(13)
    return bits.astype(np.float64) / 2**31 - 1


def laid(
    notes: list[tuple[float, NDArray[np.float64]]], length_s: float, rate_hz: int
) -> NDArray[np.float64]:
    """Return sounds added together, each from its second on; what passes the end is cut."""
    whole = np.zeros(round(length_s * rate_hz))
    for start_s, sound in notes:
        first = round(start_s * rate_hz)
        held = sound[: len(whole) - first]
        whole[first : first + len(held)] += held
    return whole


def damped(sound: NDArray[np.float64], length_s: float, rate_hz: int) -> NDArray[np.float64]:
    """Return the sound with its last part faded: it is heard to where the file ends."""
    n_last = round(length_s * rate_hz)
    faded = sound.copy()
    faded[-n_last:] *= np.cos(np.linspace(0, math.pi / 2, n_last))
    return faded


def _seconds(length_s: float, rate_hz: int) -> NDArray[np.float64]:
    return np.arange(round(length_s * rate_hz)) / rate_hz


def _edged(
    sound: NDArray[np.float64], rise_s: float, fall_s: float, rate_hz: int
) -> NDArray[np.float64]:
    n_rise, n_fall = round(rise_s * rate_hz), round(fall_s * rate_hz)
    edged = sound.copy()
    edged[:n_rise] *= np.sin(np.linspace(0, math.pi / 2, n_rise))
    return damped(edged, n_fall / rate_hz, rate_hz)
