"""A question that was cut out is named, or told among those that are as long as it.

The truth is what the test cuts; the lengths of the voice are measured data of the check.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np
import pytest
from pausewright.checker.check import check_track
from pausewright.plan.timeline import Say
from pausewright.wording.line_elements import Utterance
from soundfile import write
from support.spoiling.tracks import good_track

if TYPE_CHECKING:
    from pathlib import Path

    from support.spoiling.tracks import GoodTrack

ALIKE = ((34, 57), (82, 19), (46, 65), (13, 98), (71, 24), (55, 37), (28, 91), (64, 43))
UNLIKE = (
    "Double thirty-seven.",
    "What is left of a pound after you spend thirty-five pence?",
    "Take eighteen from fifty-one.",
    "A rope of ninety metres is cut into six equal lengths. How long is each of them?",
    "What is half of two hundred and thirty?",
    "Name the month that comes six months after March.",
)
HEAD = """---
title: Crates
language: en-GB
voice: joe
accept-voice-language: "made for tests"
readings: 2
announce: "Number {number}."
---

# Start

Write each answer on your sheet.

# Sums {answer-time="4 s"}

"""


def _track(folder: Path, questions: list[str]) -> GoodTrack:
    asked = "\n".join(f'{n}. {words} {{key="x"}}' for n, words in enumerate(questions, 1))
    path = folder / "crates.md"
    path.write_text(f"{HEAD}{asked}\n\n# End\n\nLeave your sheet here, please.\n", "utf-8")
    return good_track(path)


def _told_without(track: GoodTrack, number: int, folder: Path) -> list[int]:
    """Return the questions that are told as missing when one is cut out, the likeliest first."""
    starts = [
        placed.start_sample
        for placed in track.placed
        if isinstance(placed.step, Say)
        and isinstance(placed.step.element, Utterance)
        and placed.step.element.words.startswith("Number ")
    ]
    left = np.concatenate([track.wave[: starts[number - 1]], track.wave[starts[number] :]])
    write(folder / "cut.wav", left, track.rate_hz, subtype="PCM_16")
    result = check_track(folder / "cut.wav", track.worded, edition=None)
    (told,) = [found.sentence for found in result.findings if found.code == "question-missing"]
    return [int(found) for found in re.findall(r"question (\d+)", told)]


@pytest.mark.voice
def test_questions_unlike_each_other_are_named(tmp_path: Path) -> None:
    """Where the lengths differ, the missing question is named first, and hardly any other."""
    track = _track(tmp_path, list(UNLIKE))

    told = [_told_without(track, number, tmp_path) for number in range(1, len(UNLIKE))]

    assert [one[0] for one in told] == list(range(1, len(UNLIKE)))
    assert sum(map(len, told)) <= len(told) + 2


@pytest.mark.voice
def test_questions_alike_are_told_together(tmp_path: Path) -> None:
    """Where others are as long, the missing one is among those that are told; never all."""
    track = _track(tmp_path, [f"What is {a} plus {b}?" for a, b in ALIKE])

    for number in range(1, len(ALIKE)):
        told = _told_without(track, number, tmp_path)
        assert number in told
        assert len(told) < len(ALIKE)
