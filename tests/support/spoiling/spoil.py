"""What spoilers have in common: where to aim, and how to cut, move and colour samples."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from pausewright.plan.timeline import Say, Wait
from scipy.signal import butter, sosfilt

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.plan.timeline import Placed, Questions

    from support.spoiling.tracks import GoodTrack, Wave

Dice: TypeAlias = np.random.Generator


class UnfitError(Exception):
    """A track on which a kind of damage is not possible at its size."""


@dataclass(frozen=True)
class Spoiled:
    """A track with one fault."""

    wave: Wave
    """Shape (n_frames,) or (n_frames, 2)."""
    rate_hz: int
    at_s: float | None = None
    """Where the fault is in the spoiled file; None for the file as a whole."""
    edit: Callable[[bytes], bytes] | None = None
    """What is done to the bytes of the written file."""
    vtt: str | None = None
    """Captions to check with it; those of the good track unless given."""
    srt: str | None = None
    chapters_shift_s: float = 0.0
    edition: str | None = None
    """Edition in the file's tags, where it is not the script's."""
    text: str | None = None
    """Another script text to check the track against."""
    settings: dict[str, str] = field(default_factory=dict)
    pieces: dict[str, Wave] = field(default_factory=dict)
    """Samples of the pieces that lie beside the whole track, by the end of their names."""


def plain(track: GoodTrack, wave: Wave, at_s: float | None = None) -> Spoiled:
    """Return a fault that is in the samples alone."""
    return Spoiled(np.asarray(wave, dtype=np.float32), track.rate_hz, at_s)


def pick(dice: Dice, of: list[Placed]) -> Placed:
    """Return one of several places."""
    return of[int(dice.integers(len(of)))]


def middle(placed: Placed) -> int:
    """Return the sample in the middle of a stretch."""
    return (placed.start_sample + placed.end_sample) // 2


def cut(wave: Wave, start: int, end: int) -> Wave:
    """Return the wave without some samples."""
    return np.concatenate([wave[:start], wave[end:]])


def put(wave: Wave, at: int, new: Wave) -> Wave:
    """Return the wave with samples put in."""
    return np.concatenate([wave[:at], new.astype(np.float32), wave[at:]])


def silence(n_frames: int) -> Wave:
    """Return digital silence."""
    return np.zeros(n_frames, dtype=np.float32)


def db(value_db: float) -> float:
    """Return an amplitude from decibels."""
    return float(10 ** (value_db / 20))


def speech_db(track: GoodTrack) -> float:
    """Return the level of the words of a track in dBFS (RMS over all of them)."""
    spoken = np.concatenate([track.wave[p.start_sample : p.end_sample] for p in track.says()])
    return float(10 * np.log10(np.mean(spoken.astype(np.float64) ** 2)))


def room_noise(n_frames: int, rate_hz: int, level_db: float, dice: Dice) -> Wave:
    """Return noise as of a room: falling by some 6 dB an octave from 300 Hz up, at an RMS level."""
    white = dice.standard_normal(n_frames + 4096)
    low = sosfilt(butter(1, 300, "lowpass", fs=rate_hz, output="sos"), white)
    high = 0.03 * sosfilt(butter(1, 60, "highpass", fs=rate_hz, output="sos"), white)
    noise = (low + high)[4096:]
    noise *= db(level_db) / np.sqrt(np.mean(noise**2))
    coloured: Wave = noise.astype(np.float32)
    return coloured


def hum(n_frames: int, rate_hz: int, level_db: float, mains_hz: float, dice: Dice) -> Wave:
    """Return mains hum: the mains and four harmonics, at an RMS level."""
    at = np.arange(n_frames) / rate_hz
    wave = sum(
        size * np.sin(2 * np.pi * mains_hz * n * at + dice.uniform(0, 6.28))
        for n, size in ((1, 1.0), (2, 0.7), (3, 0.5), (4, 0.2), (6, 0.2))
    )
    scaled: Wave = (wave * db(level_db) / np.sqrt(np.mean(wave**2))).astype(np.float32)
    return scaled


def resampled(wave: Wave, factor: float) -> Wave:
    """Return the wave played `factor` times as fast, pitch and all."""
    n = int(len(wave) / factor)
    at = np.arange(n) * factor
    # sinc-free: linear interpolation on a wave that is oversampled four times first
    import soxr  # noqa: PLC0415

    fine = soxr.resample(wave, 1, 4, quality="HQ")
    out: Wave = np.interp(at * 4, np.arange(len(fine)), fine).astype(np.float32)
    return out


def readings_of(track: GoodTrack) -> list[list[Placed]]:
    """Return for each question its readings' words, one list a reading; only whole ones."""
    found: dict[tuple[Questions | None, int], list[Placed]] = {}
    for p in track.says("question"):
        step = p.step
        assert isinstance(step, Say)
        if step.reading:
            found.setdefault((step.question, step.reading), []).append(p)
    return list(found.values())


def wait_after(track: GoodTrack, placed: Placed) -> Placed | None:
    """Return the silence that follows a sound."""
    for p in track.placed:
        if p.start_sample >= placed.end_sample and isinstance(p.step, Wait):
            return p
        if p.start_sample >= placed.end_sample and isinstance(p.step, Say):
            return None
    return None


def at_second(spoiled: Spoiled, at_s: float | None) -> Spoiled:
    """Return the fault with another place."""
    return replace(spoiled, at_s=at_s)
