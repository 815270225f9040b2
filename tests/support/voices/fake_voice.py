"""A voice without a model: bursts of sound of exactly known length, in no time.

Each word becomes one burst: 120 ms a syllable (group of vowels) times the setting, 40 ms of
silence between words. The carrier never touches zero, so first and last sample are heard. Take
`n` has another pitch.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
from pausewright.problems import Place, VoiceError
from pausewright.script.model import Speech
from pausewright.voice.engine import RawTake, Request
from pausewright.voice.engine_kinds import EngineKind
from pausewright.voice.profile import VoiceProfile
from pausewright.voice.studio import Studio
from pausewright.wording.line_elements import SpokenPart, Utterance

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

RATE_HZ = 44_100
SYLLABLE_S = Fraction(12, 100)
BETWEEN_WORDS_S = Fraction(4, 100)
UNSAYABLE = "unsayable"
"""A word for which the fake voice gives no sound."""
UNLIKE_SPEECH = frozenset({"warning clipping", "warning hard-edges", "warning loudness"})
"""What the check rightly says of its bursts: slow broad waves, sudden edges, no set level."""


def n_word_samples(word: str, setting: float = 1.0, rate_hz: int = RATE_HZ) -> int:
    """Return the exact length of a word."""
    syllables = max(1, len(re.findall("[aeiouy]+", word.lower())))
    return int(syllables * SYLLABLE_S * Fraction(str(setting)) * rate_hz)


def n_samples_of(text: str, setting: float = 1.0, rate_hz: int = RATE_HZ) -> int:
    """Return the exact length of a text, first to last heard sample."""
    words = text.split()
    between = int(BETWEEN_WORDS_S * rate_hz) * (len(words) - 1)
    return between + sum(n_word_samples(word, setting, rate_hz) for word in words)


@dataclass
class FakeEngine:
    """Speaks in bursts; counts what it was asked for."""

    rate_hz: int = RATE_HZ
    n_prepared: int = 0
    n_synthesised: int = 0
    ramp_s: float = 0.0
    """Words that begin and end within this time, as speech does: without it an MP3 encoder
    smears the sudden edges over 20 ms."""

    def prepare(self, request: Request) -> Request:
        """Refuse nothing but texts without letters."""
        self.n_prepared += 1
        if not any(c.isalpha() for part in request.spoken for c in part.text):
            words = "".join(part.text for part in request.spoken)
            raise VoiceError(f"the voice cannot say ‘{words}’", "write it in words")
        return request

    def synthesise(self, prepared: object) -> RawTake:
        """Return the bursts, with 30 ms of silence before and 150 ms after them."""
        assert isinstance(prepared, Request)
        self.n_synthesised += 1
        pieces = [np.zeros(int(0.03 * self.rate_hz), np.float32)]
        spans = []
        at = len(pieces[0])
        gap = np.zeros(int(BETWEEN_WORDS_S * self.rate_hz), np.float32)
        words = " ".join(part.text for part in prepared.spoken).split()
        for i, word in enumerate(words):
            if i:
                pieces.append(gap)
                at += len(gap)
            burst = self._burst(word, prepared)
            pieces.append(burst)
            spans.append((at, at + len(burst)))
            at += len(burst)
        pieces.append(np.zeros(int(0.15 * self.rate_hz), np.float32))
        return RawTake(np.concatenate(pieces), self.rate_hz, tuple(spans))

    def _burst(self, word: str, request: Request) -> np.ndarray:
        n = np.arange(n_word_samples(word, request.setting, self.rate_hz))
        if word.strip(".").lower() == UNSAYABLE:
            return np.zeros(len(n), np.float32)
        pitch_hz = 180 + sum(word.encode()) % 90 + 20 * request.take
        swing = 0.7 + 0.3 * np.cos(2 * np.pi * 5 * n / self.rate_hz)
        carrier = np.cos(2 * np.pi * pitch_hz * n / self.rate_hz)
        carrier = np.where(carrier >= 0, 0.25 + 0.75 * carrier, -0.25 + 0.75 * carrier)
        burst = 0.2 * swing * carrier
        n_ramp = int(self.ramp_s * self.rate_hz)
        if n_ramp:
            rise = 0.5 - 0.5 * np.cos(np.pi * (np.arange(n_ramp) + 0.5) / n_ramp)
            burst[:n_ramp] *= rise
            burst[-n_ramp:] *= rise[::-1]
        return burst.astype(np.float32)


def fake_engines(engine: FakeEngine | None = None, name: str = "fake") -> Mapping[str, EngineKind]:
    """Return a registry with the fake engine under a name."""
    made = engine or FakeEngine()
    return {name: EngineKind(name, lambda _: made, slowest=4.0, fastest=0.25)}


def fake_profiles(folder: Path, *, calibrated: bool = True) -> Mapping[str, VoiceProfile]:
    """Return a profile for the fake engine under the name of each bundled voice."""
    names = ("joe", "iris", "emma", "george", "michael", "dora", "alex", "siwis")
    return {name: fake_profile(folder, name, calibrated=calibrated) for name in names}


def fake_profile(
    folder: Path, name: str = "joe", *, calibrated: bool = True, language: str = "en-GB"
) -> VoiceProfile:
    """Return a profile for the fake engine; calibrated, any pace means nearly setting 1."""
    return VoiceProfile(
        name=name,
        engine="fake",
        language=language,
        licence="none",
        origin="made for tests",
        file=folder / f"{name}.voice.yaml",
        pace_table=((1.0, 1000.0), (1.0, 20.0)) if calibrated else (),
        loudness_offset_lu=0.0 if calibrated else None,
    )


def fake_studio(
    folder: Path,
    *,
    names: Sequence[str] = ("joe",),
    engine: FakeEngine | None = None,
    workers: int = 2,
    rate_hz: int = RATE_HZ,
) -> Studio:
    """Return a studio in which every named voice is the fake one, at setting 1."""
    return Studio(
        profiles={name: fake_profile(folder, name) for name in names},
        script_folder=folder,
        pace_wpm=Fraction(140),
        rate_hz=rate_hz,
        workers=workers,
        engines=fake_engines(engine),
    )


def utterance(
    text: str,
    folder: Path,
    *,
    line: int = 1,
    voice: str = "joe",
    language: str = "en-GB",
    pace: Fraction = Fraction(1),
    take: int = 1,
) -> Utterance:
    """Return an utterance of plain words."""
    speech = Speech(voice=voice, language=language, pace=pace, take=take)
    place = Place(folder / "test.md", line, 1)
    return Utterance((SpokenPart(text),), text, speech, place)
