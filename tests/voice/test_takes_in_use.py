"""A take that will not do: the next one is used, and it is told which."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import pytest
from pausewright.deliver.take_check import begins_whole
from pausewright.sound.take import Take
from pausewright.voice.studio import Studio
from pausewright.voice.takes_in_use import MOST_TAKES, at_standard_pace
from support.voices.fake_voice import (
    RATE_HZ,
    FakeEngine,
    fake_engines,
    fake_profile,
    utterance,
)

if TYPE_CHECKING:
    from pathlib import Path


def pitch_hz(take: Take) -> int:
    """Return the pitch of a burst: 20 Hz higher for each take."""
    wave = take.samples[take.edge_start : take.edge_end, 0].astype(np.float64)
    power = np.abs(np.fft.rfft(wave * np.hanning(len(wave)), 8 * RATE_HZ))
    return round(float(power.argmax()) / 8)


def studio(
    folder: Path, engine: FakeEngine, refused: set[int], *, has_takes: bool = True
) -> Studio:
    """Return a studio for which takes of these pitches will not do."""
    kinds = {
        name: replace(kind, has_takes=has_takes) for name, kind in fake_engines(engine).items()
    }
    return Studio(
        profiles={"joe": fake_profile(folder)}, script_folder=folder, pace_wpm=Fraction(140),
        engines=kinds, is_usable=lambda take, rate_hz, *_: rate_hz == RATE_HZ
        and pitch_hz(take) not in refused,
    )  # fmt: skip


@pytest.fixture
def pitches(tmp_path: Path) -> list[int]:
    """Return the pitches of the first takes of a word."""
    takes = (utterance("gate", tmp_path, take=n) for n in range(1, MOST_TAKES + 1))
    plain = studio(tmp_path / "plain", FakeEngine(), set())
    return [pitch_hz(plain.take(one)) for one in takes]


def test_the_next_take_is_used(tmp_path: Path, pitches: list[int]) -> None:
    """Two takes will not do: the third is used, told, and found again by another studio."""
    one, other = utterance("gate", tmp_path, line=3), utterance("harbour", tmp_path)
    for n_voiced, n_synthesised in ((2, 4), (0, 0)):
        engine = FakeEngine()
        made = studio(tmp_path, engine, set(pitches[:2]))
        report = made.record([one, other])

        assert [(r.utterance.place.line, r.take) for r in report.retaken] == [(3, 3)]
        assert pitch_hz(made.take(one)) == pitches[2]
        assert (report.n_voiced, report.n_kept) == (n_voiced, 2 - n_voiced)  # utterances, not takes
        assert engine.n_synthesised == n_synthesised


def test_if_none_will_do_the_declared_one_is_used(tmp_path: Path, pitches: list[int]) -> None:
    """The check then says what is wrong with it."""
    one = utterance("gate", tmp_path)
    made = studio(tmp_path, FakeEngine(), set(pitches))
    report = made.record([one])

    assert report.retaken == ()
    assert pitch_hz(made.take(one)) == pitches[0]


def test_an_engine_without_takes_is_asked_once(tmp_path: Path, pitches: list[int]) -> None:
    """Recordings have one take each: nothing is tried again."""
    engine = FakeEngine()
    made = studio(tmp_path, engine, set(pitches), has_takes=False)

    assert made.record([utterance("gate", tmp_path)]).n_voiced == engine.n_synthesised == 1


def test_an_arrangement_has_the_take_of_the_standard_track(
    tmp_path: Path, pitches: list[int]
) -> None:
    """Slower, it is the same take, and as much longer as declared."""
    standard = utterance("gate", tmp_path)
    slower = replace(standard, speech=replace(standard.speech, arranged_pace=Fraction(4, 5)))
    assert at_standard_pace(slower) == standard
    made = studio(tmp_path, FakeEngine(), set(pitches[:1]))
    report = made.record([slower])

    assert [r.take for r in report.retaken] == [2]
    assert pitch_hz(made.take(slower)) == pitches[1]
    assert made.n_sound_samples(slower) == pytest.approx(
        made.n_sound_samples(standard) / 0.8, abs=0.01 * RATE_HZ
    )


@pytest.mark.parametrize(("ramp_s", "is_whole"), [(0.0, False), (0.03, True)])
def test_a_start_that_rises_at_once_will_not_do(ramp_s: float, is_whole: bool) -> None:  # noqa: FBT001
    """Low sound from silence to full within 3 ms passes for cut off; within 30 ms it does not."""
    at = np.arange(RATE_HZ // 2) / RATE_HZ
    rise = np.minimum(1, at / ramp_s) if ramp_s else 1.0
    wave = 0.1 * rise * np.sin(2 * np.pi * 300 * at + 1)
    samples = (32767 * wave).astype(np.int16)[:, np.newaxis]

    assert begins_whole(Take(samples, 0, len(samples)), RATE_HZ, -23.0, "joe") == is_whole
