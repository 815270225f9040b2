"""Music, effects and speech in a room's noise: silences are measured, and a wrong one is told.

On fresh seeds: undamaged tracks have no finding, and an answer time that is too long or too short
by `OFF_S` is the one cause that is told, with a length that is right to within what
docs/the-check.md states. How loud the noise is that stands for a voice, and how long it speaks for
its words, belong to other tests: these findings are left out.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

import numpy as np
import pytest
from pausewright.checker.check import check_track
from pausewright.checker.limits.times import IN_NOISE_S, RECORDED_IN_NOISE_S
from pausewright.checker.result.causes import causes
from support.tracks.checker_tracks import written
from support.tracks.music_tracks import RATE_HZ, music_track

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.result.findings import CheckResult, Finding
    from support.tracks.music_tracks import MusicTrack

BELOW_SPEECH_DB: Final = (30, 36, 45)
OF_THE_VOICE: Final = frozenset({"loudness", "length-impossible", "length-unlikely"})
OFF_S: Final = {"words": 0.25, "recording": 0.35}
"""By how much an answer time is wrong, by what is heard before it: twice what is allowed."""


def judged(result: CheckResult) -> list[Finding]:
    """Return the findings of a check but for those of the stand-in voice."""
    return [one for one in result.findings if one.code not in OF_THE_VOICE]


def one_case(folder: Path, seed: int, below_db: int) -> tuple[list[str], list[str]]:
    """Check a track undamaged, and with one silence wrong.

    Returns what is told of the undamaged one, and what is not as it should be of the other.
    """
    folder.mkdir()
    track = music_track(folder, seed, below_db)
    case = f"seed {seed}, {below_db} dB"
    good = check_track(written(folder / "g.wav", track.laid(), RATE_HZ), track.worded, edition=None)
    wrong = [f"{case}: {one.code} at {float(one.at_s or 0):.2f} s" for one in judged(good)]
    unmeasured = [row for row in good.silences if row.measured_s is None]
    wrong += [f"{case}: {row.kind} not measured" for row in unmeasured]
    return wrong, _damaged(folder, track, seed, case)


def _damaged(folder: Path, track: MusicTrack, seed: int, case: str) -> list[str]:
    dice = np.random.default_rng((seed, 2))
    question = int(dice.integers(1, len(track.middles) + 1))
    is_recorded = track.before[question - 1] != "words"
    off_s = OFF_S["recording" if is_recorded else "words"] * float(dice.choice([-1, 1]))
    wave = track.laid(question, off_s)
    found = check_track(written(folder / "d.wav", wave, RATE_HZ), track.worded, edition=None)
    case = f"{case}, question {question} after {track.before[question - 1]} {off_s:+.2f} s"
    heads = [one.head for one in causes(judged(found))]
    if len(heads) != 1 or heads[0].code not in {"silence-long", "silence-short"}:
        return [f"{case}: {[one.code for one in heads]}"]
    (head,) = heads
    allowed_s = float(RECORDED_IN_NOISE_S if is_recorded else IN_NOISE_S)
    is_near = abs(float(Fraction(head.difference or 0)) - off_s) <= allowed_s
    is_there = head.question is not None and head.question.name == f"question {question}"
    return [] if is_near and is_there else [f"{case}: {head}"]


@pytest.mark.parametrize("below_db", BELOW_SPEECH_DB)
def test_a_wrong_silence_beside_music_in_noise_is_told(tmp_path: Path, below_db: int) -> None:
    """One track for each noise: nothing is found undamaged, and the wrong silence is."""
    assert one_case(tmp_path / "one", 1800 + below_db, below_db) == ([], [])


@pytest.mark.long
@pytest.mark.parametrize("batch", range(34))
def test_on_fresh_seeds(tmp_path: Path, batch: int) -> None:
    """102 tracks on seeds that nobody has seen: every wrong silence is told.

    Of the undamaged ones a few milliseconds of noise may pass for a sound: once in 102 (seeds from
    70001), so that one of three may. The seed is in what is told, so that it can be had again.
    """
    first = int(np.random.default_rng().integers(1_000_000)) + batch * 1_000_000
    told: list[str] = []
    for n, below_db in enumerate(BELOW_SPEECH_DB):
        alarms, missed = one_case(tmp_path / str(n), first + n, below_db)
        told += alarms
        assert missed == []
    assert len(told) <= 1
    assert all("sound-in-silence" in one for one in told)
