"""A recorded voice: a person's takes in place of an engine."""

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soundfile
from pausewright.problems import ScriptError
from pausewright.voice.studio import Studio
from pausewright.voice.voice_list import all_profiles
from support.voices.fake_voice import utterance

RATE_HZ = 32_000
PROFILE = """engine: recorded
language: es-ES
licence: recorded for this test
origin: made by a program
model: marta.recordings.yaml
"""


def _record(folder: Path, listed: str = '"Buenos días.": dias.wav\n') -> Studio:
    """Make a voice with one recording: 0.2 s of silence, 0.9 s of noise, 0.3 s of silence."""
    (folder / "marta.voice.yaml").write_text(PROFILE, "utf-8")
    (folder / "marta.recordings.yaml").write_text(listed, "utf-8")
    rng = np.random.default_rng(3)
    noise = 0.1 * rng.choice([-1.0, 1.0], int(0.9 * RATE_HZ))
    wave = np.concatenate([np.zeros(int(0.2 * RATE_HZ)), noise, np.zeros(int(0.3 * RATE_HZ))])
    soundfile.write(folder / "dias.wav", np.stack([wave, wave], axis=1), RATE_HZ)
    return Studio(profiles=all_profiles(folder), script_folder=folder, pace_wpm=Fraction(90))


@pytest.mark.parametrize("words", ["Buenos días.", "buenos  días", "¡Buenos días!"])
def test_a_recording_is_found_by_its_words_trimmed_and_resampled(
    tmp_path: Path, words: str
) -> None:
    """Capitals, blanks and marks at the ends do not count; its own pace is kept."""
    studio = _record(tmp_path)
    said = utterance(words, tmp_path, voice="marta", language="es-ES")
    report = studio.record([said])

    assert report.n_voiced == 1
    assert abs(studio.n_sound_samples(said) - int(0.9 * 44_100)) <= 60  # the resampler's ringing
    assert studio.take(said).samples.dtype == np.int16


def test_words_without_a_recording_are_a_problem_with_what_to_add(tmp_path: Path) -> None:
    """The line to add to the list is given."""
    studio = _record(tmp_path)
    said = utterance("Hasta luego.", tmp_path, line=7, voice="marta", language="es-ES")
    with pytest.raises(ScriptError, match="no recording of ‘Hasta luego") as caught:
        studio.record([said])

    assert caught.value.problems[0].place.line == 7
    assert caught.value.problems[0].hint.endswith('marta.recordings.yaml: "Hasta luego.": FILE.wav')


@pytest.mark.parametrize(
    ("listed", "said"),
    [
        ("- one\n", "holds no recordings"),
        ('"Hola.": nowhere.wav\n', "nowhere.wav, which is not there"),
        ("a: b: c\n", "cannot be read"),
        ("words: [1]\n", "line 1 of"),
    ],
)
def test_a_wrong_list_is_said_plainly(tmp_path: Path, listed: str, said: str) -> None:
    """One problem at the first place that needs the voice."""
    studio = _record(tmp_path, listed)
    with pytest.raises(ScriptError, match=said):
        studio.record([utterance("Hola.", tmp_path, voice="marta", language="es-ES")])


def test_a_changed_recording_is_another_take(tmp_path: Path) -> None:
    """The bytes of the recordings are part of the key."""
    studio = _record(tmp_path)
    said = utterance("Buenos días.", tmp_path, voice="marta", language="es-ES")
    studio.record([said])
    wave, rate_hz = soundfile.read(tmp_path / "dias.wav")
    soundfile.write(tmp_path / "dias.wav", wave[: int(0.7 * rate_hz)], rate_hz)
    again = Studio(profiles=all_profiles(tmp_path), script_folder=tmp_path, pace_wpm=Fraction(90))

    assert again.record([said]).n_voiced == 1
    assert again.n_sound_samples(said) < studio.n_sound_samples(said)


def test_a_profile_without_a_list_is_a_problem(tmp_path: Path) -> None:
    """The profile says what is missing."""
    text = PROFILE.replace("model: marta.recordings.yaml\n", "")
    (tmp_path / "marta.voice.yaml").write_text(text, "utf-8")
    with pytest.raises(ScriptError, match="needs a list of its recordings"):
        all_profiles(tmp_path)
