"""Calibration: each voice comes to the script's pace within 3 %, in at most four readings."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import pytest
from pausewright.problems import VoiceError
from pausewright.voice.booth import Booth
from pausewright.voice.calibrate import (
    TRIES,
    from_table,
    loudness_offset_lu,
    passage,
    rate_wpm,
    solve,
)
from pausewright.voice.engine import RawTake
from pausewright.voice.engine_kinds import EngineKind
from pausewright.voice.store import TakeStore
from pausewright.voice.studio import Studio
from support.voices.fake_voice import (
    FakeEngine,
    fake_engines,
    fake_profile,
    fake_profiles,
    fake_studio,
    utterance,
)

if TYPE_CHECKING:
    from pathlib import Path


def booth(folder: Path, engine: FakeEngine) -> Booth:
    """Return a booth with the fake voice, not calibrated."""
    profile = fake_profile(folder, calibrated=False)
    return Booth(profile, fake_engines(engine), TakeStore(folder), 2)


def test_passage_is_long_enough() -> None:
    """The passage has at least 150 words in sentences of different kinds."""
    sentences = passage()
    assert sum(len(s.split()) for s in sentences) >= 150
    assert len(sentences) >= 15


def test_rate_is_words_by_trimmed_time_and_pauses() -> None:
    """213 words in 20 sentences of 2 s with 19 pauses of 0.4 s are 268.5 words a minute.

    Computed by hand: 60 × 213 ÷ (20 × 2 + 19 × 0.4) = 12780 ÷ 47.6 = 268.49.
    """
    n_words = sum(len(s.split()) for s in passage())
    speech = np.full(16_000, 0.2, np.float32)
    padded = np.concatenate([np.zeros(800, np.float32), speech, np.zeros(3000, np.float32)])
    takes = [RawTake(padded, 8_000)] * len(passage())
    assert (n_words, len(passage())) == (213, 20)
    assert rate_wpm(takes) == pytest.approx(268.49, abs=0.01)


@pytest.mark.parametrize("target", [100, 119, 140, 180])
def test_pace_is_reached(tmp_path: Path, target: int) -> None:
    """An uncalibrated voice comes within 3 % of the pace in at most four readings."""
    engine = FakeEngine(11_025)
    made = booth(tmp_path, engine)
    found = made.calibration(Fraction(target))
    assert engine.n_synthesised <= TRIES * len(passage())
    assert rate_wpm(made.read_passage(found.setting)) == pytest.approx(target, rel=0.03)


def test_calibration_is_kept(tmp_path: Path) -> None:
    """A second build finds the calibration in the store and reads nothing."""
    first = booth(tmp_path, FakeEngine(11_025)).calibration(Fraction(140))
    engine = FakeEngine(11_025)
    assert booth(tmp_path, engine).calibration(Fraction(140)) == first
    assert engine.n_synthesised == 0


def test_a_share_slows_the_voice(tmp_path: Path) -> None:
    """Words at 80 % of the pace take longer, by another setting of the same voice."""
    studio = Studio(
        profiles=fake_profiles(tmp_path, calibrated=False),
        script_folder=tmp_path,
        pace_wpm=Fraction(140),
        engines=fake_engines(FakeEngine(11_025)),
    )
    plain = utterance("A crate holds nine melons.", tmp_path)
    slow = utterance("A crate holds nine melons.", tmp_path, pace=Fraction(4, 5))
    report = studio.record([plain, slow])
    assert studio.n_sound_samples(slow) > 1.15 * studio.n_sound_samples(plain)
    assert [round(voice.words_per_minute) for voice in report.voices] == pytest.approx(
        [140, 112], rel=0.03
    )


def test_an_impossible_pace_says_what_is_reached(tmp_path: Path) -> None:
    """A pace beyond the engine's range is an error that names the pace reached."""
    kind = EngineKind("fake", lambda _: FakeEngine(), slowest=1.2, fastest=0.9)
    made = booth(tmp_path, FakeEngine(11_025))
    with pytest.raises(VoiceError, match=r"cannot be brought to 60 words a minute; it reaches \d+"):
        solve("joe", kind, 60, made.read_passage)


def test_an_engine_whose_setting_is_speed(tmp_path: Path) -> None:
    """Where a larger setting is faster, the pace is reached all the same."""
    kind = EngineKind("fake", lambda _: FakeEngine(), slowest=0.25, fastest=4.0)
    made = booth(tmp_path, FakeEngine(11_025))
    found = solve("joe", kind, 120, lambda s: made.read_passage(round(1 / s, 4)))
    assert found.words_per_minute == pytest.approx(120, rel=0.03)


def test_table_is_interpolated_in_time_a_word(tmp_path: Path) -> None:
    """Half way between two rows in seconds a word lies half way between the settings.

    By hand: 100 and 50 words a minute are 0.6 and 1.2 s a word; 0.9 s a word is 66.667.
    """
    profile = fake_profile(tmp_path)
    table = replace(profile, pace_table=((1.0, 100.0), (2.0, 50.0)), loudness_offset_lu=-0.5)
    found = from_table(table, 60 / 0.9)
    assert found is not None
    assert found.setting == pytest.approx(1.5)
    assert from_table(table, 101) is None
    assert from_table(table, 49) is None


def test_loudness_offset_brings_the_track_to_its_loudness(tmp_path: Path) -> None:
    """Levelled by the offset, the passage reads −23 LUFS within 0.3 LU by pyloudnorm.

    ITU-R BS.1770 as in pyloudnorm, checked elsewhere against EBU Tech 3341.
    """
    import pyloudnorm  # noqa: PLC0415

    made = booth(tmp_path, FakeEngine(11_025))
    offset = loudness_offset_lu(made.read_passage(1.0))
    studio = Studio(
        profiles=fake_profiles(tmp_path, calibrated=False),
        script_folder=tmp_path,
        pace_wpm=Fraction(140),
        engines=fake_engines(FakeEngine(11_025)),
    )
    pause = np.zeros((17_640, 1), np.int16)
    laid = np.concatenate(
        [x for s in passage() for x in (studio.take(utterance(s, tmp_path)).samples, pause)]
    )
    loudness = pyloudnorm.Meter(44_100).integrated_loudness(laid[:, 0] / 32767)
    assert loudness == pytest.approx(-23, abs=0.3)
    assert offset != 0


def test_a_calibrated_profile_needs_no_reading(tmp_path: Path) -> None:
    """A profile with a table and an offset is used without any calibration reading."""
    engine = FakeEngine(11_025)
    fake_studio(tmp_path, engine=engine).record([utterance("One.", tmp_path)])
    assert engine.n_synthesised == 1
