"""What a stop at any place means: by hand for a small test, and alike in Python and on the page."""

from __future__ import annotations

import itertools
import json
from typing import TYPE_CHECKING

import pytest
from pausewright.plan.steps import steps
from pausewright.plan.timeline import timeline
from pausewright.screen.where_table import Where, round_tenths, seconds, told, where_at, where_table
from support.browser.screen_modules import evaluated, modules, needs_node
from support.scripts.short_scripts import SMALL, worded

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def table(tmp_path: Path) -> tuple[Where, ...]:
    """Return the table of a small test in which every sound lasts a second."""
    found = worded(tmp_path, SMALL)
    return where_table(found.script, timeline(steps(found), lambda _: 1000, 1000))


@pytest.mark.parametrize(
    ("at_ms", "sentence"),
    [
        (1000, ("Stopped during instructions: 0.5 of 1 s heard, 0.5 s still to be heard. "
               "Continue here, or go back to the start of these instructions.")),
        (5000, "Stopped at stop 1, where the track waits. Nothing was missed."),
        (31_000, ("Stopped during question 1 of 2, first reading: 0.9 of 2.8 s heard, 1.9 s still "
                 "to be heard. Continue here, or go back to the first reading of question 1.")),
        (39_950, ("Stopped during question 1 of 2, answer time: 4.5 of 6 s given, 1.5 s owed. "
                 "Continue here to give the rest, or go back to the first reading of question 1.")),
        (49_199, ("Stopped during question 2 of 2, answer time: 2.4 of 2.5 s given, 0.1 s owed. "
                 "Continue here to give the rest, or go back to the first reading of question 2.")),
        (59_999, ("Stopped after instructions. Nothing was missed. Continue here, or go back to "
                 "the start of these instructions.")),
    ],
)  # fmt: skip
def test_a_stop_is_told_by_hand(table: tuple[Where, ...], at_ms: int, sentence: str) -> None:
    """Heard or given, owed, and where its question begins; worked out by hand from the plan."""
    assert told(where_at(table, at_ms), at_ms) == sentence


def test_rows_lie_end_to_end_and_lead_back(table: tuple[Where, ...]) -> None:
    """Every moment has one row, and nobody is sent forward."""
    assert table[0].start_ms == 0
    assert all(a.end_ms == b.start_ms for a, b in itertools.pairwise(table))
    assert all(one.back_ms <= one.start_ms for one in table)


@pytest.mark.parametrize(("length_ms", "said"), [(4550, "4.6"), (4549, "4.5"), (15_000, "15")])
def test_lengths_are_told_in_tenths(length_ms: int, said: str) -> None:
    """To the nearest, halves up; whole seconds without a point."""
    assert seconds(round_tenths(length_ms)) == said


@needs_node
def test_the_page_says_the_same(table: tuple[Where, ...], tmp_path: Path) -> None:
    """The JavaScript words every 37th millisecond of the table as Python does."""
    rows = [[w.start_ms, w.end_ms, w.happens, w.name, w.back_ms, w.back_to] for w in table]
    asked = range(0, table[-1].end_ms, 37)
    places = json.dumps([[rows[table.index(where_at(table, ms))], ms] for ms in asked])
    found = evaluated(
        modules(tmp_path / "modules"),
        'import {told} from "./room/incident.js";',
        f"{places}.map(([row, ms]) => told(row, ms))",
    )

    assert len(found) > 1000
    assert found == [told(where_at(table, ms), ms) for ms in asked]
