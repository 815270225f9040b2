"""A voice's pace and loudness, measured once on one passage.

Rate of a voice at a setting: the words of the calibration passage (what stands between spaces)
divided by the time that its sentences take when laid end to end, each trimmed to its speech
edges, with 0.4 s of silence between them. One setting then serves everything the voice says, so
single words keep their nature.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np

from pausewright.frozen import frozen
from pausewright.package_data import package_folder
from pausewright.problems import VoiceError
from pausewright.sound.meter import integrated_lufs
from pausewright.voice.finish import trimmed_speech
from pausewright.voice.speech_level import active_speech_level_db

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.voice.engine import RawTake
    from pausewright.voice.engine_kinds import EngineKind
    from pausewright.voice.profile import VoiceProfile

SENTENCE_PAUSE_S = Fraction(2, 5)
CLOSE_ENOUGH = 0.01
"""Share of the target at which the search ends."""
PROMISED = 0.03
"""Share of the target beyond which a voice is refused."""
TRIES = 4
"""Readings of the passage at most."""


@frozen
class Calibration:
    """The one setting that brings a voice to a pace."""

    setting: float
    words_per_minute: float
    """Measured, or read off the profile's table."""
    loudness_offset_lu: float
    """BS.1770 loudness of levelled speech minus its P.56 active speech level."""


def passage() -> tuple[str, ...]:
    """Return the sentences of the calibration passage."""
    file = package_folder("pausewright_voices") / "calibration_passage.txt"
    return tuple(line for line in file.read_text(encoding="utf-8").splitlines() if line)


def from_table(profile: VoiceProfile, target_wpm: float) -> Calibration | None:
    """Return the setting read off the profile's measured table, or None if it does not reach.

    Between two rows the time a word takes is interpolated in a straight line.
    """
    if profile.loudness_offset_lu is None:
        return None
    for (setting, rate), (next_setting, next_rate) in zip(
        profile.pace_table, profile.pace_table[1:], strict=False
    ):
        if next_rate <= target_wpm <= rate:
            share = (1 / target_wpm - 1 / rate) / (1 / next_rate - 1 / rate)
            found = round(setting + share * (next_setting - setting), 4)
            return Calibration(found, target_wpm, profile.loudness_offset_lu)
    return None


def rate_wpm(takes: Sequence[RawTake]) -> float:
    """Return words a minute of the passage, spoken in these takes, one a sentence."""
    return passage_wpm(
        [Fraction(len(trimmed_speech(t.samples, t.rate_hz)), t.rate_hz) for t in takes]
    )


def passage_wpm(sentences_s: Sequence[Fraction]) -> float:
    """Return words a minute of the passage whose sentences last so long, one after the other."""
    n_words = sum(len(sentence.split()) for sentence in passage())
    spoken_s = sum(sentences_s, start=SENTENCE_PAUSE_S * (len(sentences_s) - 1))
    if spoken_s <= 0:
        raise VoiceError("the voice gives no sound for the calibration passage", "try another one")
    return float(60 * n_words / spoken_s)


def loudness_offset_lu(takes: Sequence[RawTake]) -> float:
    """Return by how much levelled speech of this voice is louder than its active speech level.

    The takes, each brought to one active speech level, are laid with the sentence pause between
    them and measured by ITU-R BS.1770.
    """
    active_db = -23.0
    rate_hz = takes[0].rate_hz
    pause = np.zeros(math.ceil(SENTENCE_PAUSE_S * rate_hz), dtype=np.float64)
    parts = []
    for take in takes:
        speech = trimmed_speech(take.samples, rate_hz)
        level_db = active_speech_level_db(speech, rate_hz)
        if level_db is not None:
            parts += [speech * 10 ** ((active_db - level_db) / 20), pause]
    loudness = integrated_lufs(np.concatenate(parts)[:, np.newaxis], rate_hz)
    return round(loudness - active_db, 2)


def solve(
    name: str,
    kind: EngineKind,
    target_wpm: float,
    read_passage: Callable[[float], Sequence[RawTake]],
) -> Calibration:
    """Find the setting that brings a voice to `target_wpm`, by reading the passage.

    At most four readings: the time that a word takes is nearly a straight line over the
    setting (over its inverse, where a larger setting is faster), so the secant comes within one
    per cent.

    Raises
    ------
    VoiceError
        If it cannot be brought within 3 %; says what it reaches.
    """
    low, high = sorted((kind.slowest, kind.fastest))
    tried: set[float] = set()
    known: list[tuple[float, float]] = []
    best: tuple[float, float, Sequence[RawTake]] | None = None
    setting = kind.natural
    for _ in range(TRIES):
        takes = read_passage(setting)
        rate = rate_wpm(takes)
        known.append((_slowness(setting, kind), 60 / rate))
        tried.add(setting)
        if best is None or abs(rate - target_wpm) < abs(best[1] - target_wpm):
            best = setting, rate, takes
        if abs(rate / target_wpm - 1) <= CLOSE_ENOUGH:
            break
        guess = known[-1][0] * rate / target_wpm
        if len(known) > 1:
            guess = max(_secant(known, 60 / target_wpm), 1e-3)
        setting = round(min(max(_slowness(guess, kind), low), high), 4)
        if setting in tried:
            break
    if best is None or abs(best[1] / target_wpm - 1) > PROMISED:
        reached = f"{best[1]:.0f}" if best else "none"
        raise VoiceError(
            f"the voice ‘{name}’ cannot be brought to {target_wpm:.0f} words a minute; "
            f"it reaches {reached}",
            "change `pace` in the settings, or name another voice",
        )
    return Calibration(best[0], best[1], loudness_offset_lu(best[2]))


def _slowness(setting: float, kind: EngineKind) -> float:
    """Return a number that grows as the voice slows, for a setting; and back again."""
    return setting if kind.slowest > kind.fastest else 1 / setting


def _secant(known: Sequence[tuple[float, float]], target_s: float) -> float:
    """Return where the line through the two last points meets the target."""
    (x0, y0), (x1, y1) = known[-2:]
    return x1 if y1 == y0 else x1 + (target_s - y1) * (x1 - x0) / (y1 - y0)
