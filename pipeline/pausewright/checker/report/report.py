"""The result of a check for people and for programs.

Words of the test are in neither, but beside a finding of the machine's ear.
"""

from __future__ import annotations

import json
from fractions import Fraction
from importlib import resources
from typing import TYPE_CHECKING

from pausewright.checker.report.proof_lines import proof_section, proofs_data
from pausewright.checker.result.items import shown
from pausewright.checker.result.naming import clock, seconds
from pausewright.script.silences import silence_name

if TYPE_CHECKING:
    from pausewright.checker.result.findings import (
        CheckResult,
        EarSummary,
        Finding,
        Number,
        QuestionRow,
        SilenceRow,
    )
    from pausewright.checker.result.proofs import ExtraTimeProof
    from pausewright.problems import Place

WIDTH = 100
LONGEST_NAME = 50
MOST_FINDINGS = 40
"""Findings that the text shows; the JSON has all."""
MOST_NAMED = 8
"""Questions that the last line names."""
SCHEMA_NAME = "check_report.schema.json"


def as_text(result: CheckResult) -> str:
    """Return the report for a person: verdict, table, findings, totals; at most 100 columns.

    The verdict stands first and, as a long report scrolls away, once more near the end.
    """
    lines = _head(result)
    if result.rows:
        lines += ["", *_table(result)]
    lines += ["", *_findings(result)]
    lines += proof_section(result)
    if result.totals:
        lines += ["", *_totals(result)]
    if result.rows or result.findings:
        lines += ["", *_wrapped(_last(result), "")]
    lines += ["", *(line for caution in result.cautions for line in _wrapped(caution, ""))]
    return "\n".join(lines) + "\n"


def as_short_text(result: CheckResult) -> str:
    """Return the head and the findings only."""
    return "\n".join([*_head(result), "", *_findings(result)]) + "\n"


def _head(result: CheckResult) -> list[str]:
    n_errors = len(result.errors)
    n_warnings = len(result.findings) - n_errors
    verdict = "GOOD" if result.is_good else "NOT GOOD"
    length_s = Fraction(result.n_frames, result.rate_hz)
    channels = "mono" if result.n_channels == 1 else "stereo"
    name = result.track
    if len(name) > LONGEST_NAME:  # the end tells format and pieces
        name = f"{name[: LONGEST_NAME - 36]}…{name[-35:]}"
    return [
        f"{verdict}: {name}",
        f"  {_count(n_errors, 'error')}, {_count(n_warnings, 'warning')}",
        (
            f"  length {clock(length_s)}, {result.container}, {result.rate_hz} Hz, {channels}"
            f", edition {result.edition or 'not given'}"
        ),
        (
            f"  loudness {_level(result.loudness_lufs, 'LUFS')} ({channels}), "
            f"true peak {_level(result.true_peak_dbtp, 'dBTP')}, "
            f"silence below {_level(result.threshold_dbfs, 'dBFS')}"
        ),
        *_in_short(result),
        *(
            line
            for name, sentence in proofs(result)
            for line in _wrapped(f"  {name}: {sentence}", "    ")
        ),
    ]


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
    return _wrapped(f"  {'; '.join(facts)}", "    ") if facts else []


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


def _last(result: CheckResult) -> str:
    """Return the verdict in one line, with where to look first."""
    verdict = "GOOD" if result.is_good else "NOT GOOD"
    n_errors = len(result.errors)
    text = f"{verdict}: {_count(n_errors, 'error')}"
    text += f", {_count(len(result.findings) - n_errors, 'warning')}"
    first = (result.errors or result.findings)[:1]
    if not first:
        return text
    if first[0].at_s is not None:
        text += f"; first at {clock(first[0].at_s)}"
    named = list(dict.fromkeys(f.question.name for f in result.findings if f.question))
    names = ", ".join(named[:MOST_NAMED]) + (" …" if len(named) > MOST_NAMED else "")
    return f"{text}; affected: {names}" if named else text


def _count(n: int, word: str) -> str:
    return f"{n} {word}" + ("" if n == 1 else "s")


def _level(value: float | None, unit: str) -> str:
    return "none" if value is None else f"{value:.1f} {unit}"


def _table(result: CheckResult) -> list[str]:
    head = f"{'':16}{'':>11}  {'readings':>14}  {'answer time in seconds':^33}"
    columns = (
        f"{'question':16}{'starts at':>11}  {'asked':>6}  {'found':>6}  "
        f"{'declared':>10} {'measured':>10} {'differs':>11}  verdict"
    )
    return [head, columns, *(_row(row) for row in result.rows)]


def _row(row: QuestionRow) -> str:
    starts = "-" if row.at_s is None else clock(row.at_s)
    verdict = "good" if row.is_good else "WRONG"
    name = str(row.item)[:15]
    head = f"{name:16}{starts:>11}  {row.readings_expected:>6}  {row.readings_found:>6}  "
    if row.is_by_hand:
        return f"{head}{'by hand (not counted)':>33}  {verdict}"
    declared = measured = differs = "-"
    answer = row.answer_time
    if answer is not None:
        declared = seconds(answer.expected_s)
        measured = "unknown" if answer.measured_s is None else seconds(answer.measured_s)
        difference_s = answer.difference_s
        differs = "-" if difference_s is None else signed(difference_s)
    return f"{head}{declared:>10} {measured:>10} {differs:>11}  {verdict}"


def signed(wait_s: Fraction) -> str:
    """Return seconds with three decimals and their sign."""
    text = seconds(wait_s)
    return text if text.startswith("-") else f"+{text}"


def _findings(result: CheckResult) -> list[str]:
    if not result.findings:
        return ["No findings."]
    lines = ["Findings"]
    for finding in result.findings[:MOST_FINDINGS]:
        lines += finding_lines(finding)
    more = len(result.findings) - MOST_FINDINGS
    if more > 0:
        lines.append(f"  … and {_count(more, 'more finding')}, all of them in the JSON report")
    return lines


def finding_lines(finding: Finding) -> list[str]:
    """Return a finding in lines of at most 100 columns."""
    at = "whole file" if finding.at_s is None else clock(finding.at_s)
    lines = _wrapped(f"{at:>10}  {finding.severity}: {finding.sentence}", " " * 14)
    numbers = [f"{name} {value}" for name, value in finding_numbers(finding)]
    if numbers:
        lines += _wrapped(" " * 12 + ", ".join(numbers), " " * 14)
    for name, words in finding_words(finding):
        lines += _wrapped(f"{'':12}{name}: {words}", " " * 14)
    if finding.place is not None:
        lines += _wrapped(f"{'':12}script: {_place(finding.place)}", " " * 14)
    return lines + _wrapped(f"{'':12}what to do: {finding.hint}", " " * 14)


def finding_numbers(finding: Finding) -> list[tuple[str, str]]:
    """Return the numbers of a finding with their unit, by name."""
    pairs = (
        ("expected", finding.expected),
        ("measured", finding.measured),
        ("difference", finding.difference),
        ("allowed", finding.allowed),
    )
    return [(name, _number(value, finding.unit)) for name, value in pairs if value is not None]


def finding_words(finding: Finding) -> list[tuple[str, str]]:
    """Return the words of the test beside a finding of the machine's ear, by name."""
    pairs = (("script says", finding.said), ("heard", finding.heard))
    return [(name, words) for name, words in pairs if words]


def _number(value: Number, unit: str) -> str:
    text = seconds(value) if isinstance(value, Fraction) else str(value)
    return f"{text} {unit}".strip()


def _place(place: Place) -> str:
    return f"{place.file.name}:{place.line}"


def _totals(result: CheckResult) -> list[str]:
    lines = [
        "Silences by kind",
        (
            f"  {'':28}{'number':>7} {'measured':>9}  {'declared s':>12} {'measured s':>12} "
            f"{'differs':>11}"
        ),
    ]
    for total in result.totals:
        difference_s = total.measured_s - total.expected_of_measured_s
        name = silence_name(total.kind) + (" (not counted)" if total.kind == "hold" else "")
        lines.append(
            f"  {name:28}{total.n_expected:>7} {total.n_measured:>9}  "
            f"{seconds(total.expected_s):>12} {seconds(total.measured_s):>12} "
            f"{signed(difference_s):>11}"
        )
    return lines


def _wrapped(text: str, indent: str) -> list[str]:
    lines: list[str] = []
    rest = text
    while len(rest) > WIDTH:
        cut = rest.rfind(" ", len(indent) + 1, WIDTH)
        cut = WIDTH if cut <= len(indent) else cut
        lines.append(rest[:cut].rstrip())
        rest = indent + rest[cut:].lstrip()
    return [*lines, rest]


# ---- for programs ----------------------------------------------------------------------------


def as_json(result: CheckResult) -> str:
    """Return the report as JSON that follows the published schema; times are decimal seconds."""
    return json.dumps(as_data(result), ensure_ascii=False, indent=2) + "\n"


def as_data(result: CheckResult) -> dict[str, object]:
    """Return the report as plain data for JSON."""
    return {
        "schema": 3,
        "verdict": "good" if result.is_good else "not good",
        "track": {
            "file": result.track,
            "sha256": result.sha256,
            "container": result.container,
            "rate_hz": result.rate_hz,
            "n_channels": result.n_channels,
            "n_samples": result.n_frames,
            "length_s": _plain(Fraction(result.n_frames, result.rate_hz)),
        },
        "edition": result.edition,
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
    text = resources.files("pausewright.checker").joinpath(SCHEMA_NAME).read_text("utf-8")
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
        "unit": finding.unit,
        "script_says": finding.said,
        "heard": finding.heard,
    }


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
