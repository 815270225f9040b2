"""What an arrangement must bring on the delivered file, and the line that proves it."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.arrange.arrangement_words import ArrangementWords
from pausewright.checker.expect.extra_time import granted
from pausewright.checker.judge.statement_findings import judged_statements
from pausewright.checker.limits.times import REST_BREAK_CUE_S, REST_BREAK_SLACK_S
from pausewright.checker.result.findings import Finding
from pausewright.checker.result.proofs import ExtraTimeProof

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.expect.extra_time import Granted
    from pausewright.checker.expect.line_runs import WordedScript
    from pausewright.checker.files.tags import TrackTags
    from pausewright.checker.match.match import Matching


def expected_of(expectation: Expectation, worded: WordedScript) -> Granted:
    """Return what is expected with the extra time of the script's arrangement, if it has one."""
    if not isinstance(worded, ArrangementWords):
        return granted(expectation, worded.script, None, None)
    return granted(expectation, worded.script, worded.arrangement, worded.extra_line)


def extra_time_proof(found: Granted, matching: Matching, rate_hz: int) -> ExtraTimeProof | None:
    """Return the proof of an arrangement's extra time; None where it has none."""
    if not found.longer:
        return None
    given_s = measured_s = Fraction(0)
    n_unmeasured = 0
    for one in found.longer:
        wait_s = one.before_s + one.spread_s + one.lump_s
        given_s += Fraction(-(-wait_s.numerator * rate_hz // wait_s.denominator), rate_hz)
        given_s -= one.before_s
        silence = matching.silences[one.index]
        if silence.n_frames is None or silence.state != "measured":
            n_unmeasured += 1
        else:
            edges_s = silence.wait_s - silence.expected.wait_s
            measured_s += Fraction(silence.n_frames, rate_hz) - edges_s - one.before_s
    return ExtraTimeProof(
        found.entitled_s, given_s, None if n_unmeasured else measured_s, found.n_places,
        len(found.longer), n_unmeasured,
    )  # fmt: skip


def judged_arrangement(
    found: Granted, worded: WordedScript, matching: Matching, tags: TrackTags, rate_hz: int
) -> list[Finding]:
    """Return the findings about label, statements and rest breaks of an arrangement."""
    if not isinstance(worded, ArrangementWords):
        return []
    arrangement = worded.arrangement
    findings = judged_statements(worded.script, found)
    if tags.version_label and tags.version_label != arrangement.label:
        findings.append(
            Finding(
                "label-differs",
                "error",
                f"the track carries the label {tags.version_label}, the arrangement has the label "
                f"{arrangement.label}",
                "use the track that was made for this arrangement",
            )
        )
    findings += _breaks(arrangement, worded, matching, rate_hz)
    return findings


def _breaks(
    arrangement: Arrangement, worded: ArrangementWords, matching: Matching, rate_hz: int
) -> Iterator[Finding]:
    breaks = arrangement.rest_breaks
    every_s = None if breaks is None else breaks.every_s
    if every_s is None:
        return
    since_frame = 0
    ends: list[int] = []
    for silence in matching.silences:
        expected = silence.expected
        if silence.at_frame is None:
            continue
        end_frame = silence.at_frame + (silence.n_frames or 0)
        if expected.kind not in {"hold", "run-out"}:
            if expected.is_answer_of_row:
                ends.append(end_frame)
            continue
        stretch_s = Fraction(silence.at_frame - since_frame, rate_hz)
        in_time = [end for end in ends if Fraction(end - since_frame, rate_hz) <= every_s]
        # the end of a question right before this break is where it belongs
        late_s = Fraction(silence.at_frame - in_time[-1], rate_hz) if in_time else Fraction(0)
        missed = bool(in_time) and (ends[-1] > in_time[-1] or late_s > REST_BREAK_CUE_S)
        if stretch_s > every_s + REST_BREAK_SLACK_S and missed:
            yield Finding(
                "rest-break-late",
                "error",
                "more time passes without a rest break than the arrangement declares, and a "
                "question ended before that",
                "declare the breaks by question: rest-breaks: {after-questions: …}",
                at_s=Fraction(since_frame, rate_hz),
                place=arrangement.place_of("rest-breaks", worded.script.path),
                expected=every_s,
                measured=stretch_s,
                difference=stretch_s - every_s,
                unit="s",
            )
        since_frame, ends = end_frame, []
