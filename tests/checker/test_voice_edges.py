"""Single voices that begin, fall and swing more than usual: what the check allows them, no more."""

from __future__ import annotations

import json
from fractions import Fraction
from importlib import resources
from types import SimpleNamespace
from typing import TYPE_CHECKING, cast

import numpy as np
import pytest
from pausewright.checker.faults.closer import Scene
from pausewright.checker.faults.hard_edges import highest_rise_db
from pausewright.checker.faults.voice_edges import (
    broadest_top,
    most_fall_db,
    most_rise_db,
    rise_db,
)
from pausewright.checker.limits.edges import CLICK_DOUBTED_FROM, FALL_DB, HOLE_DB, RISE_DB
from pausewright.checker.limits.levels import TOP_BROAD
from pausewright.problems import Place
from pausewright.script.model import Speech
from pausewright.voice.voice_list import bundled_profiles
from pausewright.wording.line_elements import SpokenPart, Utterance

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.listen.listen import Heard
    from pausewright.checker.match.match import Matching


def scene(folder: Path, *voices: str) -> Scene:
    """Return a track on which these voices speak."""
    place = Place(folder / "t.md", 1, 1)
    said = [
        Utterance((SpokenPart("Go."),), "", Speech(voice, "en-GB", Fraction(1), 1), place)
        for voice in voices
    ]
    sounds = [SimpleNamespace(element=one) for one in said]
    expected = cast("Expectation", SimpleNamespace(sounds=sounds))
    return Scene.of(cast("Heard", None), expected, cast("Matching", None), -23.0)


def test_only_bundled_voices_and_only_beyond_the_usual() -> None:
    """Each row belongs to a bundled voice, is more than usual, and has an origin."""
    file = resources.files("pausewright.checker.faults") / "voice_edges.json"
    data = json.loads(file.read_text(encoding="utf-8"))
    usual = {
        "rises_db": RISE_DB,
        "falls_db": FALL_DB,
        "holes_db": HOLE_DB,
        "top_widths": TOP_BROAD,
        "clicks_doubted_from": CLICK_DOUBTED_FROM,
    }

    assert set(data) == {"origin", *usual}
    assert set(data["origin"]) == set(usual)
    for name, limit in usual.items():
        assert set(data[name]) <= set(bundled_profiles())
        assert all(value > limit for value in data[name].values())
        # a cut into digital silence falls and rises by 50 dB and more; only two voices are excused
        if name == "falls_db":
            assert max(data[name].values()) < 50


@pytest.mark.parametrize(
    ("voices", "rise", "fall", "top"),
    [
        (("joe",), RISE_DB, FALL_DB, TOP_BROAD),
        (("joe", "emma"), 53, 43, TOP_BROAD),
        (("emma", "alex"), 150, 48, TOP_BROAD),
        (("george", "iris"), 53, FALL_DB, 14),
        ((), RISE_DB, FALL_DB, TOP_BROAD),
    ],
)
def test_a_track_is_judged_by_the_voice_that_needs_most(
    voices: tuple[str, ...], rise: float, fall: float, top: float, tmp_path: Path
) -> None:
    """Voices that nobody measured, and recordings, are judged by the usual limits."""
    track = scene(tmp_path, *voices)

    assert most_rise_db(track) == rise
    assert most_fall_db(track) == fall
    assert broadest_top(track) == top
    assert rise_db("somebody") == RISE_DB


@pytest.mark.parametrize("shift", range(0, 132, 12))
def test_a_rise_in_a_take_is_the_same_wherever_frames_begin(shift: int) -> None:
    """A take is judged before it is laid: it may lie anywhere in the frames of its track."""
    at_s = np.arange(22_050) / 44_100
    grows_db = np.interp(at_s, [0.1, 0.106], [-70, 0])
    wave = np.sin(at_s * 2 * np.pi * 200) * 10 ** (grows_db / 20) * 4_000
    take = np.rint(wave).astype(np.int16)
    laid = np.concatenate([np.zeros(shift, np.int16), take])

    assert highest_rise_db(laid, 44_100, -23.0) == pytest.approx(
        highest_rise_db(take, 44_100, -23.0), abs=3.0
    )
