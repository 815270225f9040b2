"""Findings about measured silences: too short, too long, gone, or all of another arrangement."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from statistics import median
from typing import TYPE_CHECKING

from pausewright.checker.limits.times import LATE_START_S, STRETCHED_FROM
from pausewright.checker.result.findings import BUILD, Finding
from pausewright.checker.result.naming import where_of
from pausewright.script.silences import silence_name

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.checker.expect.expected import Unit
    from pausewright.checker.match.measured import MeasuredSilence


def judged_silences(silences: Sequence[MeasuredSilence], rate_hz: int) -> list[Finding]:
    """Return all findings about the silences of a track, in no particular order."""
    return [
        *_each(silences, rate_hz),
        *_halves(silences, rate_hz),
        *_stretched(silences, rate_hz),
    ]


def _each(silences: Sequence[MeasuredSilence], rate_hz: int) -> Iterator[Finding]:
    """Find silences that are too short, too long or not there."""
    for silence in silences:
        if silence.n_frames is None or silence.at_frame is None:
            continue
        expected = silence.expected
        measured_s = Fraction(silence.n_frames, rate_hz)
        difference_s = measured_s - silence.wait_s
        allowed_s = silence.least_s if difference_s < 0 else silence.most_s
        if expected.kind == "lead-in":
            allowed_s = max(allowed_s, LATE_START_S)
        name = f"the {silence_name(expected.kind)}{where_of(expected)}"
        if silence.state == "gone":
            code, sentence = "silence-missing", f"{name} is not there"
        elif expected.kind == "run-out":
            if difference_s >= -silence.tolerance_s:
                continue
            code, sentence = "end-cut", "the track ends too soon after its last sound"
        elif expected.kind == "lead-in":
            if difference_s <= allowed_s:
                continue
            code, sentence = "silence-long", "the track's first sound comes late or is cut off"
        elif not expected.is_promised or abs(difference_s) <= allowed_s:
            continue
        elif difference_s < 0:
            code, sentence = "silence-short", f"{name} is too short"
        else:
            code, sentence = "silence-long", f"{name} is too long"
        yield Finding(
            code,
            "error",
            sentence,
            BUILD,
            at_s=Fraction(silence.at_frame, rate_hz),
            question=expected.question,
            place=expected.place,
            expected=silence.wait_s,
            measured=measured_s,
            difference=difference_s,
            allowed=allowed_s,
            unit="s",
        )


def _halves(silences: Sequence[MeasuredSilence], rate_hz: int) -> Iterator[Finding]:
    """Find answer times in two halves whose sum is off though each half is near enough."""
    rows: dict[Unit, list[MeasuredSilence]] = defaultdict(list)
    for silence in silences:
        if silence.expected.is_answer_of_row and silence.expected.kind == "answer-time":
            rows[silence.expected.unit].append(silence)
    for halves in rows.values():
        frames = [half.n_frames for half in halves if half.n_frames is not None]
        if (
            len(halves) < 2
            or len(frames) < len(halves)
            or any(_is_off(half, rate_hz) for half in halves)
        ):
            continue
        expected_s = sum((half.wait_s for half in halves), Fraction(0))
        measured_s = Fraction(sum(frames), rate_hz)
        is_longer = measured_s > expected_s
        allowed_s = max(half.most_s if is_longer else half.least_s for half in halves)
        if abs(measured_s - expected_s) <= allowed_s:
            continue
        expected = halves[0].expected
        is_short = measured_s < expected_s
        yield Finding(
            "silence-short" if is_short else "silence-long",
            "error",
            f"both halves of the answer time{where_of(expected)} together are too "
            f"{'short' if is_short else 'long'}",
            BUILD,
            at_s=Fraction(halves[0].at_frame or 0, rate_hz),
            question=expected.question,
            place=expected.place,
            expected=expected_s,
            measured=measured_s,
            difference=measured_s - expected_s,
            allowed=allowed_s,
            unit="s",
        )


def _is_off(silence: MeasuredSilence, rate_hz: int) -> bool:
    measured_s = Fraction(silence.n_frames or 0, rate_hz)
    return not -silence.least_s <= measured_s - silence.wait_s <= silence.most_s


def _stretched(silences: Sequence[MeasuredSilence], rate_hz: int) -> Iterator[Finding]:
    """Find kinds of silence that are all off by one factor: another arrangement's track."""
    kinds: dict[str, list[MeasuredSilence]] = defaultdict(list)
    for silence in silences:
        if silence.state == "measured" and silence.expected.is_promised:
            kinds[silence.expected.kind].append(silence)
    for kind, of_kind in kinds.items():
        ratios = [Fraction(s.n_frames or 0, rate_hz) / s.wait_s for s in of_kind]
        middle = median(ratios)
        off = [
            ratio
            for ratio, silence in zip(ratios, of_kind, strict=True)
            if abs(ratio - 1) > Fraction(1, 50) and _is_off(silence, rate_hz)
        ]
        alike = [r for r in off if abs(r - middle) <= Fraction(1, 100) * middle]
        if len(alike) < STRETCHED_FROM or 2 * len(alike) < len(ratios):
            continue
        yield Finding(
            "arrangement-differs",
            "error",
            f"most silences of one kind ({kind}) are {float(middle):.2f} times what the "
            "script declares: this looks like the track of another arrangement",
            "check it against the arrangement that it was made for",
            expected=sum((s.wait_s for s in of_kind), Fraction(0)),
            measured=Fraction(sum(s.n_frames or 0 for s in of_kind), rate_hz),
            unit="s",
        )
