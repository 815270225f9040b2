"""What an arrangement must bring on the delivered file, and the line that proves it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.arrange.arrangement_words import ArrangementWords
from pausewright.checker.extra import granted
from pausewright.checker.findings import Finding
from pausewright.checker.statement_findings import judged_statements

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.checker.expected import Expectation
    from pausewright.checker.extra import Granted
    from pausewright.checker.line_runs import WordedScript
    from pausewright.checker.match import Matching
    from pausewright.checker.tags import TrackTags

_SLACK_S = Fraction(1)
"""What a stretch between rest breaks may be over the declared length: a declared figure is not
measured to the sample."""


_CUE_S = Fraction(20)
"""What the words before a rest break take at most."""


@dataclass(frozen=True, slots=True)
class ExtraTimeProof:
    """Extra time as declared and as measured on the file."""

    entitled_s: Fraction
    given_s: Fraction
    """In whole samples of the file: each silence rounded up."""
    measured_s: Fraction | None
    """None where one of the silences could not be measured."""
    n_places: int
    n_silences: int
    """Silences that are longer by it: both halves of one with a cue, and one with two shares."""
    n_unmeasured: int
    """Those of them that were not found between the two sounds that they belong between."""

    @property
    def sentence(self) -> str:
        """The line for reports."""
        places = "1 place" if self.n_places == 1 else f"{self.n_places} places"
        return (
            f"entitled {_told(self.entitled_s)} s, given {_told(self.given_s, 3)} s in {places} "
            f"{self._measured}"
        )

    @property
    def _measured(self) -> str:
        if self.measured_s is not None:
            return f"(measured {_told(self.measured_s, 3)} s), none inside speech"
        if self.n_unmeasured == self.n_silences:
            return "(not measured: none of its silences was found), where on the track is not known"
        others = f"{self.n_unmeasured} of {self.n_silences} silences"
        was = "was" if self.n_unmeasured == 1 else "were"
        return f"(not measured: {others} {was} not found), none inside speech of those that were"


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
        missed = bool(in_time) and (ends[-1] > in_time[-1] or late_s > _CUE_S)
        if stretch_s > every_s + _SLACK_S and missed:
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


def _told(wait_s: Fraction, places: int = 0) -> str:
    """Return seconds with thousands marked, rounded half up; more places only where needed."""
    if not places:
        places = next((n for n in range(3) if (wait_s * 10**n).denominator == 1), 3)
    scaled = (wait_s.numerator * 10**places * 2 + wait_s.denominator) // (2 * wait_s.denominator)
    whole, rest = divmod(scaled, 10**places)
    return f"{whole:,}.{rest:0{places}d}" if places else f"{whole:,}"
