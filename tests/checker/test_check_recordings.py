"""Recorded sounds as the check measures them: any kind of file, fades, who speaks in captions."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

import av
import numpy as np
import pytest
import soundfile
from pausewright.checker.expect.expect import expect
from pausewright.checker.expect.lengths import RateModel
from pausewright.checker.expect.recorded_sounds import recorded_sounds
from pausewright.checker.limits.times import RECORDED_IN_NOISE_S
from pausewright.checker.listen.listen import listen
from pausewright.checker.match.match import Matching
from pausewright.checker.match.matched_track import match_track
from pausewright.checker.match.measured import MeasuredSilence
from pausewright.checker.shown.caption_readers import read_webvtt
from pausewright.checker.shown.captions_shown import judge_captions
from pausewright.wording.line_elements import Excerpt
from support.scripts.short_scripts import worded
from support.spoiling.spoil import room_noise
from support.tracks.checker_tracks import speech, written

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.match.measured import Recorded

RATE_HZ = 32_000
HEAD = "---\ntitle: T\nlanguage: en-GB\n---\n\nListen.\n\n"
SAID = ("Listen to the horn, and write down what you hear.", "That was the last of them.")
LEVEL = 0.2
THRESHOLD = 0.002


def horn(lead_s: float = 0.4, horn_s: float = 2.0, trail_s: float = 0.7) -> np.ndarray:
    """Return a steady sound between silences; it stays at its level between its ends."""
    n = np.arange(int(horn_s * RATE_HZ))
    wave = LEVEL * np.sign(np.sin(2 * np.pi * 200 * (n + 0.5) / RATE_HZ))
    return np.concatenate(
        [np.zeros(int(lead_s * RATE_HZ)), wave, np.zeros(int(trail_s * RATE_HZ))]
    ).astype(np.float32)


def save(file: Path, wave: np.ndarray) -> None:
    """Write a mono sound; the ending tells the kind."""
    if file.suffix != ".m4a":
        soundfile.write(file, wave, RATE_HZ)
        return
    with av.open(str(file), "w") as container:
        stream = container.add_stream("aac", rate=RATE_HZ)
        stream.layout = "mono"
        frame = av.AudioFrame.from_ndarray(wave[np.newaxis, :], format="fltp", layout="mono")
        frame.sample_rate = RATE_HZ
        for packet in [*stream.encode(frame), *stream.encode(None)]:
            container.mux(packet)


def measured(folder: Path, sound: str) -> Recorded:
    """Return what the check measures of the only recorded sound of a script."""
    expectation = expect(worded(folder, f"{HEAD}{sound}\n\nThe end.\n"))
    found, n_unknown = recorded_sounds(expectation, THRESHOLD)
    assert n_unknown == 0
    (one,) = found.values()
    return one


@pytest.mark.parametrize("kind", ["wav", "flac", "ogg", "mp3", "m4a"])
def test_silent_edges_of_every_kind_of_file_are_known(tmp_path: Path, kind: str) -> None:
    """Whatever the builder takes is measured: silences beside it count its silent edges."""
    save(tmp_path / f"horn.{kind}", horn())

    found = measured(tmp_path, f"![A horn](horn.{kind})")

    # lossy coders spread an edge over some milliseconds; AAC also begins with a block of its own
    allowed_s = 0.08 if kind == "m4a" else 0.03
    assert float(found.lead_s) == pytest.approx(0.4, abs=allowed_s)
    assert float(found.sound_s) == pytest.approx(2.0, abs=allowed_s)


@pytest.mark.parametrize("edges", ["as recorded", "trimmed"])
def test_the_soft_end_of_a_fade_is_silence(tmp_path: Path, edges: str) -> None:
    """A fade is a raised cosine: its last part lies under the threshold, and counts as silence."""
    save(tmp_path / "horn.wav", horn(trail_s=0.0))

    found = measured(tmp_path, f'![A horn](horn.wav){{edges="{edges}" fade-out="1 s"}}')

    under_s = math.acos(1 - 2 * THRESHOLD / LEVEL) / math.pi
    assert 0.06 < under_s < 0.07
    assert float(found.trail_s) == pytest.approx(under_s, abs=0.001)
    assert float(found.lead_s + found.sound_s + found.trail_s) == pytest.approx(
        2.0 if edges == "trimmed" else 2.4, abs=0.001
    )


@pytest.mark.parametrize(("shown", "n_findings"), [("Nora", 0), ("Mila", 1)])
def test_a_caption_may_name_who_speaks_in_a_recording(
    tmp_path: Path, shown: str, n_findings: int
) -> None:
    """The speaker of a recording with words is known to the check; another name is not."""
    save(tmp_path / "nora.wav", horn())
    head = HEAD.replace("---\n\n", 'captions: everything\ncaptions-reason: "r"\n---\n\n', 1)
    text = f'{head}![Nora](nora.wav){{words="Where is it?" speaker="Nora"}}\n\nThe end.\n'
    expectation = expect(worded(tmp_path, text))
    at = next(i for i, s in enumerate(expectation.sounds) if isinstance(s.element, Excerpt))
    matching = _heard_only(expectation, at)
    captions = read_webvtt(
        f"WEBVTT\n\n1\n00:00:02.000 --> 00:00:04.000\n{shown}: Where is it?\n".encode()
    )

    findings, _ = judge_captions("t.vtt", captions, expectation, matching, RATE_HZ)

    assert [f.code for f in findings if f.severity == "error"] == ["caption-words"] * n_findings


def _heard_only(expectation: Expectation, at: int) -> Matching:
    """Return a matching in which one expected sound is heard, from 2 s to 4 s."""
    sounds, silences = expectation.sounds, expectation.silences
    heard = [(2 * RATE_HZ, 4 * RATE_HZ) if i == at else None for i in range(len(sounds))]
    return Matching(
        tuple(heard), tuple(h is not None for h in heard), tuple(() for _ in sounds),
        tuple(MeasuredSilence(s, Fraction(1), Fraction(1)) for s in silences), (), RateModel(),
    )  # fmt: skip


@pytest.mark.parametrize("container", ["WAV", "OGG Vorbis", "Opus", "M4A"])
def test_silences_beside_recordings_are_allowed_what_the_table_allows(
    tmp_path: Path, container: str
) -> None:
    """Coders that drop soft ends of words do so on a track with recordings too: 20 ms more.

    Such a track is matched a second time, by the level of its speech alone.
    """
    head = "---\ntitle: T\nlanguage: en-GB\n---\n\n"
    text = f'{head}{SAID[0]}\n\n![A horn](horn.wav){{level="as recorded"}}\n\n{SAID[1]}\n'
    save(tmp_path / "horn.wav", horn())
    expectation = expect(worded(tmp_path, text))
    still = [np.zeros(int(n * RATE_HZ), np.float32) for n in (0.5, 0.8, 0.8, 1)]
    first, last = (speech(words, RATE_HZ) for words in SAID)
    parts = [still[0], first, still[1], horn(), still[2], last, still[3]]
    heard = listen(written(tmp_path / "t.wav", np.concatenate(parts), RATE_HZ), has_recordings=True)
    heard = replace(heard, track_format=replace(heard.track_format, container=container))

    track = match_track(heard, expectation)

    assert len(track.speech) == 2
    longer_s = Fraction(0) if container == "WAV" else Fraction(20, 1000)
    assert [silence.longer_s for silence in track.matching.silences] == [longer_s] * 4


def soft_hum(seconds: float) -> np.ndarray:
    """Return steady music, softer than speech and louder than a room: two even tones."""
    at = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    wave = 0.006 * (np.sin(2 * np.pi * 660 * at) + np.sin(2 * np.pi * 990 * at))
    return (wave * np.clip(np.minimum(at, at[::-1]) / 0.02, 0, 1)).astype(np.float32)


@pytest.mark.parametrize("has_room", [True, False])
def test_soft_music_in_a_room_is_told_from_its_noise(tmp_path: Path, *, has_room: bool) -> None:
    """Where noise lies under all of a track, silences beside speech and music are measured.

    The music is as steady as the noise; without the noise it would be the only steady sound.
    """
    head = "---\ntitle: T\nlanguage: en-GB\n---\n\n"
    text = f'{head}{SAID[0]}\n\n![Hum](hum.wav){{level="as recorded"}}\n\n{SAID[1]}\n'
    save(tmp_path / "hum.wav", soft_hum(3))
    expectation = expect(worded(tmp_path, text))
    still = [np.zeros(int(n * RATE_HZ), np.float32) for n in (0.5, 0.8, 0.8, 1)]
    first, last = (speech(words, RATE_HZ) for words in SAID)
    wave = np.concatenate([still[0], first, still[1], soft_hum(3), still[2], last, still[3]])
    if has_room:
        dice = np.random.default_rng(18)
        speech_dbfs = 10 * np.log10(np.mean(np.square(np.concatenate([first, last]))))
        wave = wave + room_noise(len(wave), RATE_HZ, speech_dbfs - 36, dice)
    heard = listen(written(tmp_path / "t.wav", wave, RATE_HZ), has_recordings=True)

    track = match_track(heard, expectation)

    assert bool(track.heard.noises) == has_room
    assert [one.state for one in track.matching.silences] == ["measured"] * 4
    for one in track.matching.silences[1:3]:
        assert one.n_frames is not None
        off_s = abs(Fraction(one.n_frames, RATE_HZ) - one.wait_s)
        assert off_s <= one.tolerance_s == (RECORDED_IN_NOISE_S if has_room else Fraction(5, 100))
