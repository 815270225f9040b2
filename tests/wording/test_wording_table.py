"""The table of written and spoken forms: 98 of 100 rows at least are right."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pausewright.wording.plain_lines import LineWorder
from support.scripts.wording_cases import compared, wording_cases

if TYPE_CHECKING:
    from support.scripts.wording_cases import WordingCase

CASES = wording_cases()
KNOWN_LIMITS: set[str] = set()
"""Written forms of the table that are read otherwise; docs/wording.md lists each."""


def spoken(case: WordingCase) -> str:
    """Return what is said for a row; it must be free of errors."""
    worder = LineWorder(Path("-"), case.language, dict(case.settings))
    found = worder.spoken(case.written)
    assert [p.message for p in worder.problems.errors] == []
    return found


def test_the_table_is_long_enough_and_every_row_has_a_source() -> None:
    """Four hundred rows at least beyond the published ones, each with a source or a plain word."""
    assert len(CASES) >= 400
    assert [case.line for case in CASES if not case.source] == []
    assert len({(c.language, c.settings, c.written) for c in CASES}) == len(CASES)


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"line {case.line}")
def test_a_row_of_the_table(case: WordingCase) -> None:
    """The words are those of the row."""
    if case.written in KNOWN_LIMITS:
        pytest.skip("a known limit, see docs/wording.md")
    assert compared(spoken(case)) == compared(case.spoken), case.source


def test_known_limits_are_few() -> None:
    """At most two rows in a hundred are known limits."""
    assert len(KNOWN_LIMITS) <= len(CASES) * 2 // 100
