"""Rows of the report's table and what belongs to them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.checker.result.codes import audience_of

if TYPE_CHECKING:
    from collections.abc import Sequence
    from fractions import Fraction

    from pausewright.checker.result.causes import Cause
    from pausewright.checker.result.findings import Finding, QuestionRow


def causes_of_rows(rows: Sequence[QuestionRow], found: Sequence[Cause]) -> dict[int, list[int]]:
    """Return by index of a row the indices of the causes of what is heard wrong in it."""
    own: dict[int, list[int]] = {}
    for n, cause in enumerate(found):
        for finding in cause.findings:
            row = _row_of(finding, rows) if audience_of(finding.code) == "heard" else None
            if row is not None and n not in own.setdefault(row, []):
                own[row].append(n)
    return own


def _row_of(finding: Finding, rows: Sequence[QuestionRow]) -> int | None:
    """Return the row that a finding belongs to.

    Of several rows of one name (numbering by part) it is the one that began last.
    """
    named = [n for n, row in enumerate(rows) if row.item == finding.question]
    if not named or finding.at_s is None:
        return named[0] if named else None
    begun = [n for n in named if (rows[n].at_s or 0) <= finding.at_s]
    return begun[-1] if begun else named[0]


def shares(rows: Sequence[QuestionRow]) -> list[tuple[float | None, float | None]]:
    """Return both times of each row in per cent of the longest time of all.

    Only where they differ by more than is allowed: where a time is kept, two bars say nothing.
    """
    times_s = [_times_s(row) for row in rows]
    longest_s = max((one for pair in times_s for one in pair if one is not None), default=None)
    if not longest_s:
        return [(None, None)] * len(rows)
    return [
        (
            None if a is None else round(float(100 * a / longest_s), 2),
            None if b is None else round(float(100 * b / longest_s), 2),
        )
        for a, b in times_s
    ]


def _times_s(row: QuestionRow) -> tuple[Fraction | None, Fraction | None]:
    """Return the declared and the measured answer time; None where there is nothing to compare."""
    answer = row.answer_time
    if answer is None or row.is_by_hand:
        return None, None
    off_s = answer.difference_s
    if off_s is not None and abs(off_s) <= (answer.allowed_s or 0):
        return None, None
    return answer.expected_s, answer.measured_s
