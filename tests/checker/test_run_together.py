"""Sentences of a reading with nothing between them: only their pause is gone, or words are too."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from pausewright.checker.check import check_track
from support.tracks.checker_tracks import (
    QUESTIONS,
    SCRIPT,
    Item,
    Say,
    gap,
    index,
    laid,
    layout,
    worded,
    written,
)

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.result.findings import Finding

RATE_HZ = 16_000
FIRST, SECOND = (
    "Share seventy-two eggs equally between eight trays.",
    "Then add one to what is on each.",
)
APART: list[Item] = [Say(FIRST), gap("0.4"), Say(SECOND)]
"""A reading as it should be: sentences 0.4 s apart."""


def findings_of(folder: Path, second: list[Item]) -> tuple[Finding, ...]:
    """Return the findings where question 5 has two sentences and its second reading is this."""
    items = layout()
    for nth, reading in ((2, second), (1, APART)):
        at = index(items, "5", nth)
        items[at : at + 1] = reading
    script = worded(folder, SCRIPT.replace(QUESTIONS[4], f"{FIRST} {SECOND}"))
    track = written(folder / "t.wav", laid(items, RATE_HZ), RATE_HZ)
    return check_track(track, script, edition=None).findings


@pytest.mark.parametrize("second", [APART, [Say(FIRST), Say(SECOND)]])
def test_the_same_words_do_not_differ(second: list[Item], tmp_path: Path) -> None:
    """With its pause a reading has no finding; without it the pause is missing, and no more."""
    expected = [] if second is APART else ["silence-missing"]

    assert [f.code for f in findings_of(tmp_path, second)] == expected


@pytest.mark.parametrize(
    "words",
    [
        "Share seventy-two eggs between eight trays. Then add one to what is on each.",
        "Share seventy-two eggs equally between eight trays. Then add one to each.",
        "Share seventy-two eggs equally and fairly between eight trays. Then add one to each.",
    ],
)
def test_other_words_run_together_differ(words: str, tmp_path: Path) -> None:
    """A reading in one piece that is not as long as the first with or without its pause."""
    findings = findings_of(tmp_path, [Say(words)])

    assert "readings-differ" in {f.code for f in findings}, findings
    assert {str(f.question) for f in findings if f.code == "readings-differ"} == {"5"}
