"""Finishing: level, ceiling, rate, edges, words; a pure function of the take."""

from __future__ import annotations

import numpy as np
import pyloudnorm
import pytest
from pausewright.problems import VoiceError
from pausewright.voice.engine import RawTake, Request
from pausewright.voice.finish import finish
from pausewright.voice.speech_level import Level, active_speech_level_db, true_peak_dbtp
from pausewright.wording.line_elements import SpokenPart
from support.voices.fake_voice import FakeEngine, n_samples_of

RATE_HZ = 44_100
LEVEL = Level(-22.5)


def raw(text: str, rate_hz: int = RATE_HZ) -> RawTake:
    """Return the fake voice's raw take of a text."""
    engine = FakeEngine(rate_hz)
    return engine.synthesise(engine.prepare(Request((SpokenPart(text),), "en-GB", 1.0, 1)))


def as_float(samples: np.ndarray) -> np.ndarray:
    """Return 16-bit samples as floats of full scale ±1.0."""
    return samples[:, 0].astype(np.float32) / 32767


@pytest.mark.parametrize("text", ["One.", "A crate holds nine melons.", "Hm."])
@pytest.mark.parametrize("gain", [0.05, 1.0, 3.0])
def test_every_take_has_the_level(text: str, gain: float) -> None:
    """Quiet or loud, long or 0.12 s short: the active level comes out right within 0.3 dB."""
    take = raw(text)
    loud = RawTake(take.samples * np.float32(gain), take.rate_hz)
    done = finish(loud, RATE_HZ, LEVEL).take
    speech = as_float(done.samples[done.edge_start : done.edge_end])
    assert active_speech_level_db(speech, RATE_HZ) == pytest.approx(-22.5, abs=0.3)


@pytest.mark.parametrize("hz", [40, 3000, 6000])
def test_no_take_strays_far_from_the_loudness_asked_for(hz: int) -> None:
    """Loudness by pyloudnorm (ITU-R BS.1770-4): low hums and high whistles of one active level."""
    wave = np.sin(2 * np.pi * hz * np.arange(RATE_HZ) / RATE_HZ).astype(np.float32) * 0.1
    sounds = {
        aim: finish(RawTake(wave, RATE_HZ), RATE_HZ, Level(-22.5, aim_lufs=aim)).take
        for aim in (None, -23.0)
    }
    found = {
        aim: pyloudnorm.Meter(RATE_HZ).integrated_loudness(as_float(take.samples))
        for aim, take in sounds.items()
    }

    assert abs(found[None] + 23) > 1
    assert abs(found[-23.0] + 23) <= 0.75


@pytest.mark.parametrize("hiss_db", [-45, -41, -36])
def test_loudness_is_that_between_the_edges_of_the_finished_take(hiss_db: float) -> None:
    """A short word with a long soft end, which is faded: what is left has the loudness."""
    t = np.arange(round(0.45 * RATE_HZ)) / RATE_HZ
    word = np.sin(2 * np.pi * 2500 * t) * np.hanning(len(t))
    noise = np.random.default_rng(7).standard_normal(round(0.4 * RATE_HZ)) * 10 ** (hiss_db / 20)
    wave = np.concatenate([word, noise]).astype(np.float32)

    done = finish(RawTake(wave, RATE_HZ), RATE_HZ, Level(-22.5, aim_lufs=-23.0)).take

    heard = as_float(done.samples[done.edge_start : done.edge_end])
    assert abs(pyloudnorm.Meter(RATE_HZ).integrated_loudness(heard) + 23) <= 0.75


def test_peaks_of_a_take_are_turned_down_and_told() -> None:
    """A take that would pass −2 dBTP stays below it, and by how much is told."""
    take = raw("A crate holds nine melons.")
    samples = take.samples.copy()
    samples[12_000:12_060] *= 30
    peaky = finish(RawTake(samples, take.rate_hz), RATE_HZ, LEVEL)
    assert peaky.gain_reduced_db > 1
    peak_dbtp = true_peak_dbtp(as_float(peaky.take.samples), RATE_HZ)
    assert peak_dbtp == pytest.approx(-2 - 0.1, abs=0.05)  # the limiter's own margin
    assert finish(take, RATE_HZ, LEVEL).gain_reduced_db == 0


@pytest.mark.parametrize("seed", range(6))
def test_true_peak_is_measured_only_where_it_could_matter(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Takes near the ceiling come out as if their true peak had been measured every time.

    Noise of a voice's 22.05 kHz, brought to peaks between −9 and +3 dB of the ceiling.
    """
    dice = np.random.default_rng(seed)
    noise = dice.standard_normal(22_050).astype(np.float32) * np.float32(0.05)
    crest_db = true_peak_dbtp(noise, 22_050) - (active_speech_level_db(noise, 22_050) or 0)
    for over_db in (-9, -5, -3.2, -2.9, -1, -0.1, 0.1, 3):
        level = Level(-2 - crest_db + over_db)
        as_it_is = finish(RawTake(noise, 22_050), RATE_HZ, level)
        with monkeypatch.context() as patch:
            patch.setattr("pausewright.voice.finish._MOST_BETWEEN_DB", np.inf)
            measured = finish(RawTake(noise, 22_050), RATE_HZ, level)
        assert np.array_equal(as_it_is.take.samples, measured.take.samples)
        assert as_it_is.gain_reduced_db == measured.gain_reduced_db


def test_take_is_16_bit_one_channel_and_read_only() -> None:
    """A finished take is int16 of shape (n, 1) and cannot be changed by accident."""
    samples = finish(raw("Stop."), RATE_HZ, LEVEL).take.samples
    assert (samples.dtype.name, samples.ndim, samples.shape[1]) == ("int16", 2, 1)
    with pytest.raises(ValueError, match="read-only"):
        samples[0] = 1


@pytest.mark.parametrize("rate_hz", [22_050, 24_000, 48_000])
def test_resampling_keeps_the_length(rate_hz: int) -> None:
    """A voice of another rate keeps its length within 2 ms at the track's rate.

    (Its bursts begin at once, so a band-limited copy rings a little before and after them.)
    """
    done = finish(raw("A crate holds nine melons.", rate_hz), RATE_HZ, LEVEL).take
    expected_s = n_samples_of("A crate holds nine melons.", rate_hz=rate_hz) / rate_hz
    assert done.n_sound_samples / RATE_HZ == pytest.approx(expected_s, abs=0.002)


def test_words_stay_inside_the_speech() -> None:
    """Word ranges are in order and between the edges, the first and last at them."""
    done = finish(raw("How many melons?"), RATE_HZ, LEVEL)
    flat = [at for span in done.word_spans for at in span]
    assert len(done.word_spans) == 3
    assert flat == sorted(flat)
    assert (flat[0], flat[-1]) == (done.take.edge_start, done.take.edge_end)


def test_silence_is_refused() -> None:
    """A take in which nothing is heard is an error, not a take."""
    with pytest.raises(VoiceError, match="gives no sound"):
        finish(RawTake(np.zeros(9000, np.float32), RATE_HZ), RATE_HZ, LEVEL)
