"""The tables of the report: every silence, every question, and totals by kind."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.judge.judge import is_read
from pausewright.checker.result.codes import audience_of
from pausewright.checker.result.findings import KindTotal, QuestionRow, SilenceRow

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.expect.expected import Expectation, Unit
    from pausewright.checker.match.match import Matching
    from pausewright.checker.result.findings import Finding
    from pausewright.script.silences import SilenceKind


def silence_rows(matching: Matching, rate_hz: int) -> list[SilenceRow]:
    """Return a row for every expected silence, in order."""
    return [
        SilenceRow(
            kind=silence.expected.kind,
            question=silence.expected.question,
            reading=silence.expected.reading,
            expected_s=silence.wait_s,
            measured_s=None if silence.n_frames is None else Fraction(silence.n_frames, rate_hz),
            at_s=None if silence.at_frame is None else Fraction(silence.at_frame, rate_hz),
            allowed_s=silence.most_s if silence.expected.is_promised else None,
            place=silence.expected.place,
        )
        for silence in matching.silences
    ]


def question_rows(
    expectation: Expectation,
    matching: Matching,
    silences: Sequence[SilenceRow],
    findings: Sequence[Finding],
    rate_hz: int,
) -> list[QuestionRow]:
    """Return a row for every question, sub-question, passage and dictation, in order."""
    members: dict[Unit, list[int]] = {}
    for i, sound in enumerate(expectation.sounds):
        members.setdefault(sound.unit, []).append(i)
    answers: dict[Unit, list[SilenceRow]] = {}
    for silence, measured in zip(matching.silences, silences, strict=True):
        if silence.expected.is_answer_of_row and measured.kind == "answer-time":
            answers.setdefault(silence.expected.unit, []).append(measured)
    wrong = {
        f.question for f in findings if f.severity == "error" and audience_of(f.code) == "heard"
    }
    rows = []
    for row in expectation.rows:
        own = members.get(row.unit, [])
        lost = {
            expectation.sounds[i].reading
            for i in own
            if is_read(expectation.sounds[i]) and matching.heard[i] is None
        }
        spans = [span for i in own if (span := matching.heard[i]) is not None]
        n_repeated = sum(f.code == "reading-repeated" and f.question == row.item for f in findings)
        rows.append(
            QuestionRow(
                item=row.item,
                place=row.place,
                readings_expected=row.readings,
                readings_found=row.readings - len(lost) + n_repeated,
                at_s=Fraction(spans[0][0], rate_hz) if spans else None,
                answer_time=_together(answers.get(row.unit, [])),
                is_good=row.item not in wrong,
                is_by_hand=row.is_by_hand,
            )
        )
    return rows


def _together(parts: Sequence[SilenceRow]) -> SilenceRow | None:
    """Return the halves of an answer time as one; None if there is none."""
    if not parts:
        return None
    measured_s = [part.measured_s for part in parts if part.measured_s is not None]
    allowed_s = [part.allowed_s for part in parts if part.allowed_s is not None]
    return replace(
        parts[0],
        expected_s=sum((part.expected_s for part in parts), Fraction(0)),
        measured_s=sum(measured_s, Fraction(0)) if len(measured_s) == len(parts) else None,
        allowed_s=max(allowed_s) if len(allowed_s) == len(parts) else None,
    )


def kind_totals(silences: Sequence[SilenceRow]) -> list[KindTotal]:
    """Return the sums of all silences of each kind, in the order in which kinds first appear."""
    totals: dict[SilenceKind, KindTotal] = {}
    for row in silences:
        zero = Fraction(0)
        total = totals.get(row.kind, KindTotal(row.kind, 0, 0, zero, zero, zero))
        total = replace(
            total, n_expected=total.n_expected + 1, expected_s=total.expected_s + row.expected_s
        )
        if row.measured_s is not None:
            total = replace(
                total,
                n_measured=total.n_measured + 1,
                expected_of_measured_s=total.expected_of_measured_s + row.expected_s,
                measured_s=total.measured_s + row.measured_s,
            )
        totals[row.kind] = total
    return list(totals.values())
