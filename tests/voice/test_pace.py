"""Slower and faster speech: lengths in the declared ratio, the pitch as it was."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import parselmouth
import pytest
from pausewright.script.model import Speech
from pausewright.sound.stretch import stretched
from pausewright.voice.studio import Studio
from pausewright.voice.voice_list import all_profiles
from pausewright.wording.line_elements import Utterance
from support.voices.fake_voice import FakeEngine, fake_studio, utterance

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from numpy.typing import NDArray

F = Fraction
RATE_HZ = 44_100
TEXTS = (
    "A carriage has eight compartments with six seats in each.",
    "Seven tickets cost thirty-one pounds fifty altogether.",
    "Question twelve.",
)


def at_pace(one: Utterance, pace: Fraction) -> Utterance:
    """Return an utterance as an arrangement's pace has it."""
    speech = one.speech
    slower = Speech(speech.voice, speech.language, speech.pace, speech.take, pace)
    return Utterance(one.spoken, one.shown, slower, one.place)


def pitch_hz(takes: Sequence[NDArray[np.float64]]) -> float:
    """Return the median fundamental frequency, by Praat's autocorrelation method."""
    wave = np.concatenate(takes)
    pitch = parselmouth.Sound(wave, RATE_HZ).to_pitch_ac(pitch_floor=60, pitch_ceiling=400)
    found = pitch.selected_array["frequency"]
    return float(np.median(found[found > 0]))


@pytest.mark.parametrize("pace", [F(1, 2), F(4, 5), F(9, 10), F(5, 4), F(2)])
def test_lengths_are_in_the_ratio(tmp_path: Path, pace: Fraction) -> None:
    """Each utterance is within 2 % or 30 ms of the ratio, all together within 1 %."""
    studio = fake_studio(tmp_path, engine=FakeEngine(ramp_s=0.02))
    said = [utterance(text, tmp_path) for text in TEXTS]
    report = studio.record([at_pace(one, pace) for one in said])
    pairs = [
        (studio.n_sound_samples(at_pace(one, pace)), studio.n_sound_samples(one) / pace)
        for one in said
    ]

    assert report.n_voiced == 2 * len(said) or report.n_voiced == len(said)
    for own, wanted in pairs:
        assert abs(own - wanted) <= max(F(2, 100) * wanted, F(30, 1000) * RATE_HZ)
    whole = sum((wanted for _, wanted in pairs), F(0))
    assert abs(sum(own for own, _ in pairs) / whole - 1) < F(1, 100)


def test_the_same_bytes_again(tmp_path: Path) -> None:
    """Whatever is kept and however many workers: a slower take has the same samples."""
    one = at_pace(utterance(TEXTS[0], tmp_path), F(4, 5))
    takes = []
    for folder, workers in (("a", 1), ("b", 2)):
        (tmp_path / folder).mkdir()
        studio = fake_studio(tmp_path / folder, workers=workers, engine=FakeEngine(ramp_s=0.02))
        studio.record([one, at_pace(utterance(TEXTS[1], tmp_path), F(4, 5))])
        takes.append(studio.take(one).samples)
    again = fake_studio(tmp_path / "a", engine=FakeEngine(ramp_s=0.02))

    assert (takes[0] == takes[1]).all()
    assert (again.take(one).samples == takes[0]).all()


@pytest.mark.parametrize("factor", [0.5, 0.8, 1.25, 2.0])
def test_a_stretched_tone_keeps_its_pitch(factor: float) -> None:
    """A tone of 220 Hz stays at 220 Hz within 1 %, counted by its zero crossings and by Praat."""
    n = np.arange(2 * RATE_HZ)
    tone = (0.3 * np.sin(2 * np.pi * 220 * n / RATE_HZ)).astype(np.float32)
    longer = stretched(tone, RATE_HZ, factor)
    middle = longer[len(longer) // 4 : 3 * len(longer) // 4]
    crossings = np.count_nonzero(np.diff(np.signbit(middle)))

    assert abs(len(longer) / len(tone) / factor - 1) < 0.01
    assert abs(crossings / 2 / (len(middle) / RATE_HZ) / 220 - 1) < 0.01
    assert abs(pitch_hz([middle.astype(float)]) / 220 - 1) < 0.01


@pytest.mark.voice
@pytest.mark.parametrize("voice", ["joe", "iris"])
def test_the_real_voices_keep_pace_and_pitch(tmp_path: Path, voice: str) -> None:
    """At 80 % lengths are in the ratio, and stretching changes the pitch by less than 1 %.

    Lengths and fundamental frequency by Praat (parselmouth), another implementation than ours.
    """
    studio = Studio(profiles=all_profiles(tmp_path), script_folder=tmp_path, pace_wpm=F(140))
    said = [utterance(text, tmp_path, voice=voice) for text in TEXTS]
    slower = [at_pace(one, F(4, 5)) for one in said]
    unstretched = [utterance(text, tmp_path, voice=voice, pace=F(4, 5)) for text in TEXTS]
    studio.record([*slower, *unstretched])

    def heard_s(one: Utterance) -> float:
        take = studio.take(one)
        wave = take.samples[:, 0] / 32768
        sound = parselmouth.Sound(wave, RATE_HZ)
        loud = np.flatnonzero(np.abs(sound.values[0]) >= 10 ** (-63 / 20))
        return float((loud[-1] + 1 - loud[0]) / RATE_HZ)

    for one, like in zip(slower, said, strict=True):
        wanted_s = heard_s(like) / 0.8
        assert abs(heard_s(one) - wanted_s) <= max(0.02 * wanted_s, 0.03)
    pitches = [
        pitch_hz([studio.take(one).samples[:, 0] / 32768 for one in many])
        for many in (slower, unstretched)
    ]
    assert abs(pitches[0] / pitches[1] - 1) < 0.01
