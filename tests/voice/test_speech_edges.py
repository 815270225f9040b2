"""Edges of speech: exact to the sample, blind to isolated clicks, silent outside."""

from __future__ import annotations

import re
import subprocess
from typing import TYPE_CHECKING

import imageio_ffmpeg
import numpy as np
import pytest
import soundfile
from pausewright.voice.edges import Edges, cut_to_edges, soft_ends_faded, speech_edges
from support.voices.fake_voice import fake_studio, n_samples_of, utterance

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

RATE_HZ = 44_100


def silences_s(file: Path, threshold_db: float) -> list[tuple[float, float]]:
    """Return start and end of each silence of at least 0.3 s as ffmpeg's silencedetect sees it."""
    done = subprocess.run(
        [
            imageio_ffmpeg.get_ffmpeg_exe(),
            *("-hide_banner", "-nostats", "-i", str(file)),
            *("-af", f"silencedetect=noise={threshold_db}dB:duration=0.3", "-f", "null", "-"),
        ],
        capture_output=True,
        text=True,
        check=True,
    )
    starts = [float(x) for x in re.findall(r"silence_start: ([\d.]+)", done.stderr)]
    ends = [float(x) for x in re.findall(r"silence_end: ([\d.]+)", done.stderr)]
    return list(zip(starts, ends, strict=True))


def tone(n_samples: int) -> NDArray[np.float32]:
    """Return a signal that is nowhere near zero."""
    return np.where(np.arange(n_samples) // 50 % 2, 0.3, -0.3).astype(np.float32)


def silence(seconds: float) -> NDArray[np.float32]:
    """Return digital silence."""
    return np.zeros(round(seconds * RATE_HZ), np.float32)


def test_edges_are_first_and_last_heard_sample() -> None:
    """The half-open range holds every sample above the threshold and nothing else."""
    signal = np.concatenate([silence(0.2), tone(9000), silence(0.3)])
    assert speech_edges(signal, RATE_HZ, 0.01) == Edges(8820, 8820 + 9000)


def test_nothing_heard_has_no_edges() -> None:
    """What stays at or below the threshold has no edges."""
    assert speech_edges(silence(1), RATE_HZ, 0.01) is None
    assert speech_edges(np.full(4000, 0.01, np.float32), RATE_HZ, 0.01) is None


@pytest.mark.parametrize(("apart_s", "kept"), [(0.050, True), (0.080, False)])
def test_isolated_click_is_no_edge(apart_s: float, kept: bool) -> None:  # noqa: FBT001
    """A 2 ms click counts beside speech and does not count more than 60 ms away from it."""
    click = tone(88)
    gap = silence(apart_s)
    signal = np.concatenate([silence(0.1), click, gap, tone(9000), gap, click, silence(0.1)])
    edges = speech_edges(signal, RATE_HZ, 0.01)
    inner = Edges(4410 + 88 + len(gap), 4410 + 88 + len(gap) + 9000)
    outer = Edges(4410, 4410 + 2 * (88 + len(gap)) + 9000)
    assert edges == (outer if kept else inner)


def test_a_lasting_release_is_an_edge() -> None:
    """A 12 ms burst 90 ms after the vowel, as of a final plosive, belongs to the word."""
    signal = np.concatenate([silence(0.1), tone(9000), silence(0.09), tone(530), silence(0.1)])
    edges = speech_edges(signal, RATE_HZ, 0.01)
    assert edges is not None
    assert edges.end == len(signal) - 4410


def test_clicks_alone_are_not_speech() -> None:
    """A signal of clicks only has no edges."""
    signal = np.concatenate([silence(0.2), tone(50), silence(0.2), tone(50), silence(0.2)])
    assert speech_edges(signal, RATE_HZ, 0.01) is None


def test_pads_are_short_and_fade_to_nothing() -> None:
    """At most 10 ms before and 40 ms after the edges are kept, faded; speech is unchanged."""
    hum = np.full(RATE_HZ, 0.005, np.float32)
    signal = np.concatenate([hum, tone(9000), hum])
    cut, inside = cut_to_edges(signal, RATE_HZ, Edges(RATE_HZ, RATE_HZ + 9000))
    assert (inside.start, len(cut) - inside.end) == (441, 1764)
    assert np.array_equal(cut[inside.start : inside.end], tone(9000))
    assert np.abs(cut[:2]).max() < 1e-6
    assert np.abs(cut[-2:]).max() < 1e-6
    assert (np.diff(np.abs(cut[: inside.start])) >= 0).all()
    assert (np.diff(np.abs(cut[inside.end :])) <= 0).all()


def test_soft_ends_fade_and_the_rest_stays() -> None:
    """Hiss 8 dB below the given RMS is gone 20 ms before a word and 30 ms after; the word stays."""
    hiss = np.where(np.arange(RATE_HZ) % 2, 0.008, -0.008).astype(np.float32)
    word = np.concatenate([tone(9000), hiss[:4000], tone(900)])
    signal = np.concatenate([hiss, word, hiss])
    faded = soft_ends_faded(signal, RATE_HZ, 0.02)
    end = RATE_HZ + len(word)
    assert np.array_equal(faded[RATE_HZ:end], word)
    # the 20 ms in which the level is taken reach some way out of the word
    assert not faded[: RATE_HZ - 40 * RATE_HZ // 1000].any()
    assert not faded[end + 50 * RATE_HZ // 1000 :].any()
    assert np.abs(faded).max() <= 0.3


@pytest.mark.parametrize("size", [0.0, 0.01])
def test_a_soft_take_is_left_as_it_is(size: float) -> None:
    """Where nothing is firm nothing is faded."""
    signal = np.full(RATE_HZ, size, np.float32)
    assert np.array_equal(soft_ends_faded(signal, RATE_HZ, 0.02), signal)


def test_written_gap_is_the_gap_that_ffmpeg_hears(tmp_path: Path) -> None:
    """Takes laid with gaps of 0.7 and 2.5 s read back as those by silencedetect, within 0.1 ms.

    ffmpeg's silencedetect at 40 dB below the active speech level compares sample by sample
    (check value GP-02); takes are levelled to −23 dB by the fake voice's profile.
    """
    studio = fake_studio(tmp_path)
    takes = [studio.take(utterance(text, tmp_path)) for text in ("Nine melons.", "How many?")]
    track = np.zeros(6 * RATE_HZ, np.int16)
    starts = []
    at = RATE_HZ
    for take, gap in zip(takes, (30_870, 110_250), strict=True):
        lead = at - take.edge_start
        track[lead : lead + len(take.samples)] += take.samples[:, 0]
        starts.append(at)
        at += take.n_sound_samples + gap
    track[at : at + 22_050] = 3000
    file = tmp_path / "laid.wav"
    soundfile.write(file, track, RATE_HZ, subtype="PCM_16")
    heard = [(end - start) * RATE_HZ for start, end in silences_s(file, -63.0)]
    assert heard[1:3] == pytest.approx([30_870, 110_250], abs=5)
    assert takes[0].n_sound_samples == n_samples_of("Nine melons.")
