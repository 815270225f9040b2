"""The result of a check for people and for programs.

Words of the test are in neither, but beside a finding of the machine's ear.
"""

from __future__ import annotations

import json
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.report.lines import (
    cause_lines,
    counted,
    level,
    question_table,
    shortened,
    silences_table,
    totals_table,
    wrapped,
)
from pausewright.checker.report.proof_lines import proof_section, proofs_data
from pausewright.checker.result.causes import causes
from pausewright.checker.result.codes import audience_of, unit_of
from pausewright.checker.result.items import shown
from pausewright.checker.result.naming import clock, seconds
from pausewright.checker.result.shared_causes import sign_of
from pausewright.checker.result.told_causes import told
from pausewright.package_data import package_folder
from pausewright.script.silences import silence_name

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.result.causes import Cause
    from pausewright.checker.result.findings import (
        CheckResult,
        EarSummary,
        Finding,
        Number,
        QuestionRow,
        SilenceRow,
    )
    from pausewright.checker.result.proofs import ExtraTimeProof
    from pausewright.checker.result.shared_causes import Sign
    from pausewright.problems import Place

MOST_NAMED = 8
"""Questions that the last line names."""
MOST_IN_HEAD = 3
"""Causes that the head of the report names."""
SCHEMA_NAME = "check_report.schema.json"


def as_text(result: CheckResult, above: frozenset[Sign] = frozenset()) -> str:
    """Return the report for a person: head, table, causes, totals; at most 100 columns.

    The verdict stands first and, as a long report scrolls away, once more near the end. `above`
    are causes that the report of a folder tells before it.
    """
    found = causes(result.findings)
    lines = _head(result, found, above)
    if result.rows:
        lines += ["", *question_table(result.rows)]
    lines += ["", *cause_lines(found, above)]
    lines += proof_section(result)
    if result.totals:
        lines += ["", *totals_table(result.totals)]
    if result.strip and not result.rows:
        lines += ["", *silences_table(result.strip)]
    if result.rows or result.findings:
        lines += ["", *wrapped(_last(result, found), "")]
    lines += ["", *(line for caution in result.cautions for line in wrapped(caution, ""))]
    return "\n".join(lines) + "\n"


def as_short_text(result: CheckResult, above: frozenset[Sign] = frozenset()) -> str:
    """Return the head and the causes only."""
    found = causes(result.findings)
    return "\n".join([*_head(result, found, above), "", *cause_lines(found, above)]) + "\n"


def _head(result: CheckResult, found: Sequence[Cause], above: frozenset[Sign]) -> list[str]:
    """Return title, verdict and at most three causes, then what was measured of the whole."""
    length_s = Fraction(result.n_frames, result.rate_hz)
    channels = "mono" if result.n_channels == 1 else "stereo"
    label = f", version {result.version_label}" if result.version_label else ""
    lines = [
        *wrapped(f"{result.verdict}: {result.title or shortened(result.track)}", "  "),
        *(wrapped(f"  {shortened(result.track)}{label}", "  ") if result.title else ()),
        f"  {counts(result.findings, found)}",
    ]
    for n, cause in enumerate(found[:MOST_IN_HEAD], 1):
        is_told = sign_of(cause.head) in above
        sentence = f"{cause.head.sentence} (told above)" if is_told else told(cause)
        lines += wrapped(f"  {n}. {cause.severity}: {sentence}", "     ")
    if len(found) > MOST_IN_HEAD:
        lines.append(f"  … and {counted(len(found) - MOST_IN_HEAD, 'more cause')}")
    return [
        *lines,
        f"  length {clock(length_s)}, {result.container}, {result.rate_hz} Hz, {channels}",
        f"  {editions(result)}",
        (
            f"  loudness {level(result.loudness_lufs, 'LUFS')} ({channels}), "
            f"true peak {level(result.true_peak_dbtp, 'dBTP')}, "
            f"silence below {level(result.threshold_dbfs, 'dBFS')}"
        ),
        *_in_short(result),
        *(
            line
            for name, sentence in proofs(result)
            for line in wrapped(f"  {name}: {sentence}", "    ")
        ),
    ]


def counts(findings: Sequence[Finding], found: Sequence[Cause]) -> str:
    """Return how many causes, errors and warnings there are."""
    n_errors = sum(one.severity == "error" for one in findings)
    text = f"{counted(n_errors, 'error')}, {counted(len(findings) - n_errors, 'warning')}"
    return f"{counted(len(found), 'cause')}: {text}" if findings else text


def editions(result: CheckResult) -> str:
    """Return the edition that the file says and that of the script, each by its name."""
    return (
        f"edition of the file {result.file_edition or 'not given'}, "
        f"of the script {result.edition or 'not given'}"
    )


def proofs(result: CheckResult) -> list[tuple[str, str]]:
    """Return what proves an arrangement, by name: extra time, and that nothing else differs."""
    found = []
    if result.extra_time is not None:
        found.append(("extra time", result.extra_time.sentence))
    if result.comparison is not None:
        found.append(("compared", result.comparison.sentence))
    return found


def _in_short(result: CheckResult) -> list[str]:
    facts = summary_facts(result)
    return wrapped(f"  {'; '.join(facts)}", "    ") if facts else []


def summary_facts(result: CheckResult) -> list[str]:
    """Return in a few words how many questions and silences are good, and the largest error."""
    if not result.rows:
        return []
    n_good = sum(row.is_good for row in result.rows)
    judged = [
        (abs(row.difference_s), row)
        for row in result.silences
        if row.difference_s is not None and row.allowed_s is not None
    ]
    n_judged = sum(row.allowed_s is not None for row in result.silences)
    n_kept = sum(off_s <= (row.allowed_s or 0) for off_s, row in judged)
    facts = [
        f"{n_good} of {len(result.rows)} questions good",
        f"{n_kept} of {n_judged} silences as declared",
    ]
    if judged:
        _, worst = max(judged, key=lambda pair: pair[0])
        of = f" of {worst.question.name}" if worst.question else ""
        facts.append(f"largest error: {_off(worst)} ({silence_name(worst.kind)}{of})")
    return facts


def _off(silence: SilenceRow) -> str:
    off_s = silence.difference_s or Fraction(0)
    how = "" if off_s == 0 else " too long" if off_s > 0 else " too short"
    return f"{seconds(abs(off_s))} s{how}"


def _last(result: CheckResult, found: Sequence[Cause]) -> str:
    """Return the verdict in one line, with where to look first."""
    text = f"{result.verdict}: {counts(result.findings, found)}"
    if not found:
        return text
    if found[0].head.at_s is not None:
        text += f"; first at {clock(found[0].head.at_s)}"
    named = list(dict.fromkeys(one.head.question.name for one in found if one.head.question))
    names = ", ".join(named[:MOST_NAMED]) + (" …" if len(named) > MOST_NAMED else "")
    return f"{text}; affected: {names}" if named else text


# ---- for programs ----------------------------------------------------------------------------


_VERDICTS: Final = {"GOOD": "good", "NOT GOOD": "not good", "MEASURED, NOT COMPARED": "measured"}
"""Verdicts of a track as the JSON has them."""


def as_json(result: CheckResult) -> str:
    """Return the report as JSON that follows the published schema; times are decimal seconds."""
    return json.dumps(as_data(result), ensure_ascii=False, indent=2) + "\n"


def as_data(result: CheckResult) -> dict[str, object]:
    """Return the report as plain data for JSON."""
    return {
        "schema": 4,
        "verdict": _VERDICTS[result.verdict],
        "has_script": result.has_script,
        "track": {
            "file": result.track,
            "sha256": result.sha256,
            "container": result.container,
            "rate_hz": result.rate_hz,
            "n_channels": result.n_channels,
            "n_samples": result.n_frames,
            "length_s": _plain(Fraction(result.n_frames, result.rate_hz)),
        },
        "title": result.title or None,
        "edition": result.edition,
        "file_edition": result.file_edition or None,
        "version_label": result.version_label or None,
        "levels": {
            "loudness_lufs": _plain(result.loudness_lufs),
            "true_peak_dbtp": _plain(result.true_peak_dbtp),
            "speech_dbfs": _plain(result.speech_dbfs),
            "threshold_dbfs": _plain(result.threshold_dbfs),
        },
        "extra_time": _extra_time_data(result.extra_time),
        "against_standard": result.comparison.sentence if result.comparison else None,
        "proofs": proofs_data(result),
        "questions": [_question_data(row) for row in result.rows],
        "silences": [_silence_data(row) for row in result.silences],
        "totals": [
            {
                "kind": total.kind,
                "n_expected": total.n_expected,
                "n_measured": total.n_measured,
                "expected_s": _plain(total.expected_s),
                "expected_of_measured_s": _plain(total.expected_of_measured_s),
                "measured_s": _plain(total.measured_s),
            }
            for total in result.totals
        ],
        "captions": [
            {
                "file": row.file,
                "n_cues": row.n_cues,
                "rate_wpm": _plain(row.rate_wpm),
                "readers": row.readers,
            }
            for row in result.captions
        ],
        "findings": [finding_data(finding) for finding in result.findings],
        "causes": causes_data(result.findings),
        "strip": [
            {
                "kind": one.kind,
                "start_s": _plain(one.start_s),
                "length_s": _plain(one.length_s),
                "what": one.words,
            }
            for one in result.strip
        ],
        "ear": None if result.ear is None else _ear_data(result.ear),
        "versions": result.versions,
        "cautions": list(result.cautions),
    }


def _extra_time_data(proof: ExtraTimeProof | None) -> dict[str, object] | None:
    if proof is None:
        return None
    return {
        "entitled_s": _plain(proof.entitled_s),
        "given_s": _plain(proof.given_s),
        "measured_s": _plain(proof.measured_s),
        "n_places": proof.n_places,
        "n_silences": proof.n_silences,
        "n_unmeasured": proof.n_unmeasured,
        "sentence": proof.sentence,
    }


def schema() -> dict[str, object]:
    """Return the JSON Schema (2020-12) of the report."""
    text = (package_folder("pausewright.checker") / SCHEMA_NAME).read_text("utf-8")
    found: dict[str, object] = json.loads(text)
    return found


def _plain(value: Number | None) -> float | int | None:
    """Return a number for JSON; seconds to the millionth."""
    if value is None or isinstance(value, int):
        return value
    return round(float(value), 6)


def _question_data(row: QuestionRow) -> dict[str, object]:
    return {
        "question": str(row.item),
        "script": _place_data(row.place),
        "readings_expected": row.readings_expected,
        "readings_found": row.readings_found,
        "at_s": _plain(row.at_s),
        "answer_time": None if row.answer_time is None else _silence_data(row.answer_time),
        "by_hand": row.is_by_hand,
        "verdict": "good" if row.is_good else "wrong",
    }


def _silence_data(row: SilenceRow) -> dict[str, object]:
    return {
        "kind": row.kind,
        "question": shown(row.question),
        "reading": row.reading,
        "at_s": _plain(row.at_s),
        "expected_s": _plain(row.expected_s),
        "measured_s": _plain(row.measured_s),
        "difference_s": _plain(row.difference_s),
        "allowed_s": _plain(row.allowed_s),
        "script": _place_data(row.place),
    }


def finding_data(finding: Finding) -> dict[str, object]:
    """Return a finding as plain data for JSON."""
    return {
        "code": finding.code,
        "severity": finding.severity,
        "audience": audience_of(finding.code),
        "sentence": finding.sentence,
        "what_to_do": finding.hint,
        "at": None if finding.at_s is None else clock(finding.at_s),
        "at_s": _plain(finding.at_s),
        "question": shown(finding.question),
        "script": _place_data(finding.place),
        "expected": _plain(finding.expected),
        "measured": _plain(finding.measured),
        "difference": _plain(finding.difference),
        "allowed": _plain(finding.allowed),
        "unit": unit_of(finding.code, finding.unit),
        "script_says": finding.said,
        "heard": finding.heard,
    }


def causes_data(findings: Sequence[Finding]) -> list[dict[str, object]]:
    """Return causes as plain data; findings are named by their place in the list of findings."""
    at = {id(finding): n for n, finding in enumerate(findings)}
    return [
        {
            "finding": at[id(cause.head)],
            "follows": sorted(at[id(one)] for one in cause.follows),
            "severity": cause.severity,
            "shift_s": _plain(cause.shift_s),
            "sentence": told(cause),
        }
        for cause in causes(findings)
    ]


def _ear_data(ear: EarSummary) -> dict[str, object]:
    return {
        "heard": ear.n_heard,
        "as_the_script_says": ear.n_same,
        "as_far_as_compared": len(ear.uncompared),
        "doubtful": ear.n_doubtful,
        "otherwise": ear.n_other,
        "not_judged_language": ear.n_other_language,
        "not_judged_beside_sounds": ear.n_beside_sounds,
        "not_judged_without_words": ear.n_without_words,
        "not_found": ear.n_missing,
        "not_compared": [
            {
                "what": one.where,
                "at_s": _plain(one.at_s),
                "script": _place_data(one.place),
                "words": list(one.words),
            }
            for one in ear.uncompared
        ],
        "versions": ear.versions,
    }


def _place_data(place: Place | None) -> dict[str, object] | None:
    if place is None:
        return None
    return {"file": place.file.name, "line": place.line, "column": place.column}
