"""What a coder does to the edges of sounds, and of a file, is no fault of the track."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from pausewright.checker.check import check_track
from pausewright.deliver.build import Options, build
from support.spoiling.spoil import db, room_noise
from support.tracks.checker_tracks import RATE_HZ, SCRIPT, Gap, laid, layout, worded, written
from support.voices.fake_voice import FakeEngine, fake_engines

if TYPE_CHECKING:
    from pathlib import Path

BURST_S = 0.004
OARS = """---
title: At the lighthouse 181
language: en-US
voice: joe
readings: 2
between-readings: 1 s
announce: "Number {number}."
---

# Opening

Listen well, and write each answer once.

This is the test at the lighthouse.

# Test

1. 8 oars and 5 nets make how many? {key="13" answer-time="3 s"}

2. 14 oars and 21 barrels make how many? {key="35" answer-time="4 s"}

3. 31 lanterns and 17 barrels make how many? {key="48" answer-time="2 s"}

# End

The test is over. Stop writing.
"""
"""Of 200 generated scripts the one whose silences in MP3 seemed to run 0.2 % too fast."""


@pytest.mark.parametrize(
    "is_told", [False, True], ids=["at the first frame", "in the first answer time"]
)
def test_a_moment_at_the_edge_of_a_file(tmp_path: Path, *, is_told: bool) -> None:
    """4 ms at 7 kHz in a room whose noise lies 45 dB below the speech: Ogg Vorbis began so once."""
    wave = laid(layout())
    speech_db = 10 * np.log10(np.mean(wave[np.abs(wave) > 0.01] ** 2))
    noise = room_noise(len(wave), RATE_HZ, speech_db - 45, np.random.default_rng(2))
    items = layout()
    before = items[
        : next(i for i, one in enumerate(items) if isinstance(one, Gap) and one.wait_s > 2)
    ]
    at = len(laid(before)) + RATE_HZ if is_told else 0
    n = round(BURST_S * RATE_HZ)
    tone = np.sin(2 * np.pi * 7000 * np.arange(n) / RATE_HZ) * db(speech_db - 30)
    noise[at : at + n] += tone
    track = written(tmp_path / "t.wav", (wave + noise).astype(np.float32))

    found = check_track(track, worded(tmp_path, SCRIPT), edition=None).findings

    assert ("sound-in-silence" in {one.code for one in found}) == is_told


def test_edges_of_tones_that_break_off_tell_no_speed(tmp_path: Path) -> None:
    """MP3 moves the ends of questions by 6 ms, of instructions by none: no speed does that."""
    script = tmp_path / "oars.md"
    script.write_text(OARS, encoding="utf-8")

    built = build(
        script,
        Options(
            tmp_path / "out", ("mp3",),
            engines=fake_engines(FakeEngine(ramp_s=0.02), "piper"),
        ),
    )  # fmt: skip

    assert list((built.folder / "version-A").glob("*.mp3"))  # what is not good is not delivered
