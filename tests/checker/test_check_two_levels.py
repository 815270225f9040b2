"""A track with speech and louder music: silences are measured below the speech."""

from pathlib import Path

import numpy as np
import pytest
import soundfile
from pausewright.checker.limits.sound import BELOW_SPEECH_DB
from pausewright.checker.listen.listen import listen, listen_by_speech

RATE_HZ = 16_000


@pytest.mark.parametrize("kind", ["wav", "flac"])
def test_the_threshold_follows_the_speech_alone(tmp_path: Path, kind: str) -> None:
    """Ten seconds of music 16 dB louder raise the level of the whole, not that of the speech."""
    rng = np.random.default_rng(1)
    speech = 10 ** (-26 / 20) * rng.choice([-1.0, 1.0], 3 * RATE_HZ)  # RMS -26 dB, P.56 the same
    music = 10 ** (-10 / 20) * rng.choice([-1.0, 1.0], 10 * RATE_HZ)
    quiet = np.zeros(RATE_HZ)
    wave = np.concatenate([quiet, speech, quiet, music, quiet, speech, quiet])
    track = tmp_path / f"two.{kind}"
    soundfile.write(track, wave, RATE_HZ, subtype="PCM_16")
    spans = [(RATE_HZ, 4 * RATE_HZ), (16 * RATE_HZ, 19 * RATE_HZ)]

    whole = listen(track)
    again = listen_by_speech(whole, spans)

    assert whole.speech is not None
    assert again.speech is not None
    assert whole.speech.active_dbfs > -15
    assert again.speech.active_dbfs == pytest.approx(-26, abs=0.5)
    expected = 10 ** ((again.speech.active_dbfs - BELOW_SPEECH_DB) / 20)
    assert again.threshold == pytest.approx(expected)
    assert again.stretches == (
        (RATE_HZ, 4 * RATE_HZ),
        (5 * RATE_HZ, 15 * RATE_HZ),
        (16 * RATE_HZ, 19 * RATE_HZ),
    )


def test_without_any_speech_nothing_changes(tmp_path: Path) -> None:
    """Silent spans give no level; what was heard stays."""
    track = tmp_path / "still.wav"
    wave = np.concatenate(
        [np.zeros(RATE_HZ), np.tile([0.1, -0.1], RATE_HZ // 2), np.zeros(RATE_HZ)]
    )
    soundfile.write(track, wave, RATE_HZ, subtype="PCM_16")
    whole = listen(track)

    assert listen_by_speech(whole, [(0, RATE_HZ)]) is whole
