"""What a coder puts at a file's first and last frames in a room's noise is no sound there."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from pausewright.checker.check import check_track
from support.spoiling.spoil import db, room_noise
from support.tracks.checker_tracks import RATE_HZ, SCRIPT, Gap, laid, layout, worded, written

if TYPE_CHECKING:
    from pathlib import Path

BURST_S = 0.004


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
