"""What a stop at any place means: by hand for a small test, and alike in Python and on the page."""

from __future__ import annotations

import itertools
import json
from typing import TYPE_CHECKING

import pytest
from pausewright.papers.timed.interruption import round_tenths, seconds, told, where_at
from pausewright.plan.steps import steps
from pausewright.plan.timeline import timeline
from pausewright.screen.room_screen import page_row
from pausewright.screen.where_table import where_table
from support.browser.screen_modules import evaluated, modules, needs_node
from support.scripts.short_scripts import SMALL, worded

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.records.shapes import WhereRow


@pytest.fixture
def table(tmp_path: Path) -> tuple[WhereRow, ...]:
    """Return the table of a small test in which every sound lasts a second."""
    found = worded(tmp_path, SMALL)
    return where_table(found.script, timeline(steps(found), lambda _: 1000, 1000))


@pytest.mark.parametrize(
    ("at_ms", "sentence"),
    [
        (499, "Stopped before the first words. Nothing was missed."),
        (1000, "Stopped during instructions: 0.5 of 1 s heard, 0.5 s still to be heard."),
        (5000, "Stopped at stop 1, where the track waits. Nothing was missed."),
        (31_000, ("Stopped during question 1 of 2, first reading: 0.9 of 2.8 s heard, 1.9 s still "
                 "to be heard.")),
        (39_950, "Stopped during question 1 of 2, answer time: 4.5 of 6 s given, 1.5 s owed."),
        (49_199, "Stopped during question 2 of 2, answer time: 2.4 of 2.5 s given, 0.1 s owed."),
        (59_999, "Stopped after the last words. Nothing was missed."),
    ],
)  # fmt: skip
def test_a_stop_is_told_by_hand(table: tuple[WhereRow, ...], at_ms: int, sentence: str) -> None:
    """Heard or given, owed, and where its question begins; worked out by hand from the plan."""
    assert told(where_at(table, at_ms), at_ms) == sentence


def test_rows_lie_end_to_end_and_lead_back(table: tuple[WhereRow, ...]) -> None:
    """Every moment has one row, and nobody is sent forward."""
    assert table[0].start_ms == 0
    assert all(a.end_ms == b.start_ms for a, b in itertools.pairwise(table))
    assert all(one.back_ms <= one.start_ms for one in table)
    assert all(one.resume_ms < one.start_ms for one in table if one.happens == "heard")
    assert all(
        one.start_ms <= one.resume_ms <= one.end_ms
        for one in table
        if one.happens not in {"heard", "before"}
    )


@pytest.mark.parametrize(("length_ms", "said"), [(4550, "4.6"), (4549, "4.5"), (15_000, "15")])
def test_lengths_are_told_in_tenths(length_ms: int, said: str) -> None:
    """To the nearest, halves up; whole seconds without a point."""
    assert seconds(round_tenths(length_ms)) == said


@needs_node
def test_the_page_says_the_same(table: tuple[WhereRow, ...], tmp_path: Path) -> None:
    """The JavaScript finds and words every 37th millisecond of the table as Python does."""
    rows = json.dumps([page_row(one) for one in table])
    asked = range(0, table[-1].end_ms, 37)
    found = evaluated(
        modules(tmp_path / "modules"),
        'import {told, whereAt} from "./room/incident.js";',
        f"{list(asked)}.map(ms => told(whereAt({rows}, ms), ms))",
    )

    assert len(found) > 1000
    assert found == [told(where_at(table, ms), ms) for ms in asked]
