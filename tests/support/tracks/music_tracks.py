"""Tracks of speech, music and effects in a room's noise, laid by hand; nothing of the builder."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final, Literal

import numpy as np
import soundfile
from scipy.signal import butter, sosfilt

from support.spoiling.spoil import room_noise
from support.tracks.checker_tracks import speech, worded

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray
    from pausewright.wording.worded import Worded

    Wave = NDArray[np.float32]
    Dice = np.random.Generator

RATE_HZ: Final = 32_000
Sort = Literal["held notes", "struck notes", "an effect"]
SORTS: Final[tuple[Sort, ...]] = ("held notes", "struck notes", "an effect")
WORDS: Final = (
    "boat harbour lantern signal rope gull anchor tide morning station garden window number paper "
    "river winter evening bridge market letter yellow candle basket doctor engine forest"
)
ANSWER_S: Final = (3, 4, 5, 6)
HIGHEST: Final = 0.7
"""Of a sample of a recording, full scale 1."""


def _notes(dice: Dice, *, are_struck: bool) -> Wave:
    """Return two to six notes of three to five harmonics; struck ones fall by 60 dB in 0.8 s."""
    notes = []
    for _ in range(int(dice.integers(2, 7))):
        n = round(dice.uniform(0.4, 0.9) * RATE_HZ)
        at = np.arange(n) / RATE_HZ
        pitch_hz = 220 * 2 ** (dice.integers(0, 24) / 12)
        wave = sum(
            np.sin(2 * np.pi * pitch_hz * k * at + dice.uniform(0, 6)) / k
            for k in range(1, int(dice.integers(4, 7)))
        )
        rise = np.minimum(1, at / (0.005 if are_struck else 0.05))
        fall = 10 ** (-60 / 20 * at / 0.8) if are_struck else np.minimum(1, at[::-1] / 0.06)
        notes.append(wave * rise * fall)
    return np.concatenate(notes).astype(np.float32)


def _effect(dice: Dice) -> Wave:
    """Return a few knocks: bands of noise that are over within 0.15 s, 0.2 s apart."""
    band = butter(2, [dice.uniform(150, 400), dice.uniform(1500, 5000)], "bandpass", fs=RATE_HZ,
                  output="sos")  # fmt: skip
    n = round(0.2 * RATE_HZ)
    at = np.arange(n) / RATE_HZ
    knocks = [
        sosfilt(band, dice.standard_normal(n + 500))[500:] * np.exp(-at / 0.03)
        for _ in range(int(dice.integers(2, 6)))
    ]
    return np.concatenate(knocks).astype(np.float32)


def recording(sort: Sort, dice: Dice, level_dbfs: float) -> Wave:
    """Return music or an effect, its loudest tenth of a second at a level."""
    wave = _effect(dice) if sort == "an effect" else _notes(dice, are_struck=sort == "struck notes")
    n = RATE_HZ // 10
    power = np.square(wave[: len(wave) // n * n]).reshape(-1, n).mean(axis=1).max()
    wave = wave * 10 ** (level_dbfs / 20) / np.sqrt(power)
    found: Wave = (wave * min(1, HIGHEST / np.abs(wave).max())).astype(np.float32)
    return found


@dataclass(frozen=True, slots=True)
class MusicTrack:
    """A script, what its track sounds like, and its silences."""

    worded: Worded
    wave: Wave
    """Without noise."""
    noise: Wave
    """Longer than the wave."""
    middles: tuple[int, ...]
    """The middle of each answer time, in samples."""
    before: tuple[str, ...]
    """"words", or the sort of the recording before each answer time."""

    def laid(self, question: int = 1, off_s: float = 0.0) -> Wave:
        """Return the track in its noise, the answer time of a question longer by `off_s`."""
        at, n = self.middles[question - 1], round(off_s * RATE_HZ)
        still = np.zeros(max(0, n), np.float32)
        wave = np.concatenate([self.wave[: at + min(0, n)], still, self.wave[at:]])
        found: Wave = wave + self.noise[: len(wave)]
        return found


def music_track(folder: Path, seed: int, below_speech_db: float) -> MusicTrack:
    """Return a track of six questions, half of them ending in a recording, in a room's noise."""
    dice = np.random.default_rng(seed)
    head = "---\ntitle: Music\nlanguage: en-GB\n---\n\n"
    lines: list[str] = ["Listen to each question, and write the answer."]
    parts: list[Wave] = [_still(Fraction(1, 2)), speech(lines[0], RATE_HZ), _still(Fraction(4, 5))]
    middles, before = [], []
    for number in range(1, 7):
        words = f"{_sentence(dice)}."
        sort = SORTS[int(dice.integers(len(SORTS)))] if number % 2 else None
        answer_s = Fraction(int(dice.choice(ANSWER_S)))
        question = f'{number}. {words} {{answer-time="{answer_s} s"}}'
        parts.append(speech(words, RATE_HZ))
        if sort is not None:
            own = recording(sort, dice, dice.uniform(-30, -14))
            name = f"sound-{number}.wav"
            soundfile.write(folder / name, own, RATE_HZ, subtype="FLOAT")
            question += f'\n\n    ![A sound]({name}){{level="as recorded" edges="as recorded"}}'
            parts += [_still(Fraction(4, 5)), own]
        lines.append(question)
        parts.append(_still(answer_s))
        middles.append(sum(map(len, parts)) - len(parts[-1]) // 2)
        before.append(sort or "words")
    lines.append("# End\n\nThat was the last of them, thank you.")
    parts += [speech("That was the last of them, thank you.", RATE_HZ), _still(Fraction(1))]
    text = head + "\n\n".join([lines[0], "# Test", *lines[1:]]) + "\n"
    wave = np.concatenate(parts)
    spoken = np.concatenate([parts[1], parts[-2]])
    speech_dbfs = float(10 * np.log10(np.mean(np.square(spoken, dtype=np.float64))))
    noise = room_noise(len(wave) + 2 * RATE_HZ, RATE_HZ, speech_dbfs - below_speech_db, dice)
    return MusicTrack(worded(folder, text), wave, noise, tuple(middles), tuple(before))


def _sentence(dice: Dice) -> str:
    words = list(dice.choice(WORDS.split(), int(dice.integers(4, 8)), replace=False))
    words[2] += ","
    return " ".join(words).capitalize()


def _still(wait_s: Fraction) -> Wave:
    return np.zeros(-int(-wait_s * RATE_HZ // 1), dtype=np.float32)
