"""A verdict for people who may not hear or read the test: nothing of its content, by construction.

What is printed comes from three sources only. Words are those of `WORDS`, the same for every
script, and the codes of findings. Marks are the edition, the version label, the labels of
questions (as Q5 or P1) and the first digits of hashes. Numbers are measurements, and none
stands bare: each is a time (00:54.120), has its unit joined to it (6.002s) or counts out of a
count (8-of-8). No sentence of a finding, no file name, no title and no place in the script is
taken over: several of these hold words of the author.
"""

from __future__ import annotations

import json
import re
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.files.decode import CONTAINERS, OGG
from pausewright.checker.result.causes import causes
from pausewright.checker.result.codes import apart_unit, audience_of, codes
from pausewright.checker.result.naming import clock, seconds
from pausewright.package_data import package_folder

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.result.causes import Cause
    from pausewright.checker.result.delivered import Delivered, Room
    from pausewright.checker.result.findings import (
        CheckResult,
        Finding,
        Number,
        QuestionRow,
        SilenceRow,
    )
    from pausewright.checker.result.items import Item

SCHEMA_NAME = "check_blind.schema.json"

_WORDS: Final = """
allowed answer blind check compared content counted declared dictation differs edition error
errors every fail file files finding findings folder found from given good hand hash heard kind
label length list listed loudness mark measured mono needs nothing other pass peak person player
question questions rate read readings report room says silences silent staff starts stereo tells
test that this times track true unknown verdict version warning warnings what whole with wrong
"""
WORDS: Final = frozenset(_WORDS.split())
"""Every word of four letters or more in a blind report, but for codes, units and `KINDS` (a test
holds this). They are the report's own, chosen before any script was read."""

UNITS: Final = frozenset(
    {"s", "LUFS", "dBTP", "dBFS", "dB", "LU", "Hz", "kHz", "%", "frames", "bytes", "words/min"}
)
"""Units of measurement; a number of any other kind is not shown."""
KINDS: Final = frozenset(CONTAINERS.values()) | frozenset(OGG.values())
"""Names of the kinds of file that a track can be."""
NO_CONTENT: Final = "This report tells nothing of what the test says."
NOT_HEARD: Final = "Not heard by a person yet."


def mark(item: Item | None) -> str:
    """Return a question's mark: "Q5", "Q5a", "P1" for passage 1, "W2" for practice; "-" for none.

    It is made of numbers and a letter of a sub-question: nothing that an author wrote is in it.
    """
    return "-" if item is None else item.mark


def code_mark(code: str) -> str:
    """Return a code of a finding; "other" for anything that is not in the table of codes."""
    return code if code in codes() else "other"


def kind(container: str) -> str:
    """Return the name of a track's kind of file; "other" for a name that is not in `KINDS`."""
    return container if container in KINDS else "other"


def number(value: Number | None, unit: str) -> str:
    """Return a measurement with its unit joined to it; "-" for a number that is none."""
    if value is None or unit not in UNITS:
        return "-"
    text = seconds(value) if isinstance(value, Fraction) else f"{float(value):.2f}"
    return f"{text}{unit.replace('/', '-')}"


def of(n: int, n_all: int) -> str:
    """Return a count out of a count."""
    return f"{n}-of-{n_all}"


def counted(n: int, word: str) -> str:
    """Return a count joined to what is counted."""
    return f"no {word}s" if n == 0 else f"{n}-{word}" + ("" if n == 1 else "s")


# ---- for a person ----------------------------------------------------------------------------


def as_blind_text(delivered: Delivered) -> str:
    """Return the verdict, what was measured, and codes and times of findings."""
    lines = [verdict(delivered)]
    for room in delivered.rooms:
        lines += ["", *_room(room)]
    if delivered.findings:
        lines += ["", *(finding_line(finding) for finding in delivered.findings)]
    lines += ["", NO_CONTENT, NOT_HEARD]
    return "\n".join(lines) + "\n"


def verdict(delivered: Delivered) -> str:
    """Return the first line: good or not, and how many findings."""
    n_errors = sum(f.severity == "error" for f in delivered.all_findings)
    n_warnings = len(delivered.all_findings) - n_errors
    word = "GOOD" if delivered.is_compared else "MEASURED, NOT COMPARED"
    word = word if delivered.is_good else "NOT GOOD"
    return f"{word}: {counted(n_errors, 'error')}, {counted(n_warnings, 'warning')}"


def _room(room: Room) -> list[str]:
    labels = "+".join(map(label_mark, room.version_label.split(" and ")))
    where = [f"{name} {value}" for name, value in place_of(room)]
    lines = [", ".join([*where, f"version {labels}", f"edition {edition_mark(room.edition)}"])]
    if room.is_listed:
        n_listed = sum(row.state != "not listed" for row in room.files)
        n_as_listed = sum(row.state == "as listed" for row in room.files)
        lines.append(f"  files as listed: {of(n_as_listed, n_listed)}")
    lines += [f"  {finding_line(finding)}" for finding in room.findings]
    for at, check in enumerate(room.checks, 1):
        lines += [f"  {line}".rstrip() for line in _track(check, at, len(room.checks))]
    return lines


def place_of(room: Room) -> list[tuple[str, str]]:
    """Return which room and player it is, and whether it was compared with the list of needs."""
    if room.room_at is None:
        return []
    found = [("room", of(*room.room_at))]
    if room.player_at is not None:
        found.append(("player", of(*room.player_at)))
    if room.player_at is None or room.is_as_needed is not None:
        compared = {None: "not compared", True: "good", False: "WRONG"}
        found.append(("needs list", compared[room.is_as_needed]))
    return found


def label_mark(text: str) -> str:
    """Return a version label of up to three letters and figures; "unknown" for anything else."""
    return text if re.fullmatch(r"[A-Za-z0-9]{1,3}", text, re.ASCII) else "unknown"


def edition_mark(text: str) -> str:
    """Return an edition, six signs of its own alphabet; "unknown" for anything else."""
    return text if re.fullmatch(r"[2-9A-HJ-NP-Z]{6}", text) else "unknown"


def facts(check: CheckResult) -> list[tuple[str, str]]:
    """Return what was measured of a track as a whole: names and values."""
    length_s = Fraction(check.n_frames, check.rate_hz)
    found = [
        ("length", clock(length_s)),
        ("kind", kind(check.container)),
        ("rate", f"{check.rate_hz / 1000:g}kHz {'mono' if check.n_channels == 1 else 'stereo'}"),
        ("loudness", number(check.loudness_lufs, "LUFS")),
        ("true peak", number(check.true_peak_dbtp, "dBTP")),
        ("silent from", number(check.threshold_dbfs, "dBFS")),
        ("hash", f"#{check.sha256[:12]}"),
    ]
    if check.rows:
        n_good = sum(row.is_good for row in check.rows)
        n_read = sum(row.readings_found for row in check.rows)
        n_asked = sum(row.readings_expected for row in check.rows)
        judged = [row for row in check.silences if row.allowed_s is not None]
        n_kept = sum(is_kept(row) for row in judged)
        found += [
            ("questions good", of(n_good, len(check.rows))),
            ("readings found", of(n_read, n_asked)),
            ("silences as declared", of(n_kept, len(judged))),
        ]
    return found


def is_kept(row: SilenceRow) -> bool:
    """Return whether a silence that is judged is within what is allowed."""
    off_s = row.difference_s
    return off_s is not None and row.allowed_s is not None and abs(off_s) <= row.allowed_s


def _track(check: CheckResult, at: int, n_tracks: int) -> list[str]:
    good = "good" if check.has_script else "measured, not compared"
    lines = [f"track {of(at, n_tracks)}: {good if check.is_good else 'WRONG'}"]
    lines += [f"  {name:22}{value}" for name, value in facts(check)]
    if check.rows:
        head = ("question", "starts", "readings", "declared", "measured", "differs", "verdict")
        lines += ["", f"  {_cells(head)}"]
        lines += [f"  {_cells(row_cells(row))}" for row in check.rows]
    if check.findings:
        lines += ["", "  findings", *(f"    {cause_line(one)}" for one in causes(check.findings))]
    return lines


def cause_line(cause: Cause) -> str:
    """Return a cause: its head, and how many findings follow from it."""
    line = finding_line(cause.head)
    return f"{line}  with {counted(len(cause.follows), 'finding')}" if cause.follows else line


def _cells(cells: Sequence[str]) -> str:
    widths = (9, 10, 9, 10, 10, 10, 7)
    first, *rest = (f"{c:>{w}}" for c, w in zip(cells, widths, strict=True))
    return f"{first.strip():9}  {'  '.join(rest)}"


def row_cells(row: QuestionRow) -> tuple[str, str, str, str, str, str, str]:
    """Return mark, start, readings, declared, measured, difference and verdict of a question."""
    declared = measured = differs = "-"
    if row.is_by_hand:
        declared = "by hand"
    elif row.answer_time is not None:
        declared = number(row.answer_time.expected_s, "s")
        measured = number(row.answer_time.measured_s, "s")
        differs = signed(row.answer_time.difference_s)
    return (
        mark(row.item),
        "-" if row.at_s is None else clock(row.at_s),
        of(row.readings_found, row.readings_expected),
        declared,
        measured,
        differs,
        "good" if row.is_good else "WRONG",
    )


def signed(difference_s: Fraction | None) -> str:
    """Return a difference in seconds with its sign."""
    if difference_s is None:
        return "-"
    text = number(difference_s, "s")
    return text if text.startswith("-") else f"+{text}"


def finding_line(finding: Finding) -> str:
    """Return a finding without its sentence: time, question, severity, code and numbers."""
    at = "the whole" if finding.at_s is None else clock(finding.at_s)
    parts = [f"{at}  {mark(finding.question)}  {finding.severity}  {code_mark(finding.code)}"]
    parts += [f"{name} {value}" for name, value in finding_numbers(finding)]
    return "  ".join(parts)


def finding_numbers(finding: Finding) -> list[tuple[str, str]]:
    """Return the measurements of a finding, by name; a number without a unit is left out."""
    rows = (
        ("declared", finding.expected, finding.unit),
        ("measured", finding.measured, finding.unit),
        ("differs", finding.difference, apart_unit(finding.unit)),
        ("allowed", finding.allowed, apart_unit(finding.unit)),
    )
    return [
        (name, number(value, unit))
        for name, value, unit in rows
        if value is not None and finding.unit in UNITS
    ]


# ---- for programs ----------------------------------------------------------------------------


def as_blind_data(delivered: Delivered) -> dict[str, object]:
    """Return the blind report as plain data that follows the published schema."""
    return {
        "schema": 2,
        "verdict": _passed(is_good=delivered.is_good, is_compared=delivered.is_compared),
        "findings": [_finding_data(finding) for finding in delivered.findings],
        "rooms": [
            {
                "room": None if room.room_at is None else room.room_at[0],
                "player": None if room.player_at is None else room.player_at[0],
                "is_as_needed": room.is_as_needed,
                "version_label": label_mark(room.version_label),
                "edition": edition_mark(room.edition),
                "n_files_as_listed": sum(row.state == "as listed" for row in room.files),
                "n_files_not_as_listed": sum(row.state != "as listed" for row in room.files),
                "findings": [_finding_data(finding) for finding in room.findings],
                "tracks": [_track_data(check) for check in room.checks],
            }
            for room in delivered.rooms
        ],
    }


def _passed(*, is_good: bool, is_compared: bool) -> str:
    """Return a verdict for programs; what was only measured passes nothing."""
    if not is_good:
        return "fail"
    return "pass" if is_compared else "measured"


def blind_schema() -> dict[str, object]:
    """Return the JSON Schema (2020-12) of blind reports."""
    text = (package_folder("pausewright.checker") / SCHEMA_NAME).read_text("utf-8")
    found: dict[str, object] = json.loads(text)
    return found


def _track_data(check: CheckResult) -> dict[str, object]:
    judged = [row for row in check.silences if row.allowed_s is not None]
    return {
        "verdict": _passed(is_good=check.is_good, is_compared=check.has_script),
        "container": kind(check.container),
        "sha256": check.sha256,
        "rate_hz": check.rate_hz,
        "n_channels": check.n_channels,
        "length_s": _plain(Fraction(check.n_frames, check.rate_hz)),
        "loudness_lufs": _plain(check.loudness_lufs),
        "true_peak_dbtp": _plain(check.true_peak_dbtp),
        "n_questions": len(check.rows),
        "n_questions_good": sum(row.is_good for row in check.rows),
        "n_silences": len(judged),
        "n_silences_kept": sum(is_kept(row) for row in judged),
        "questions": [_row_data(row) for row in check.rows],
        "findings": [_finding_data(finding) for finding in check.findings],
        "causes": _causes_data(check.findings),
    }


def _causes_data(findings: Sequence[Finding]) -> list[dict[str, object]]:
    at = {id(finding): n for n, finding in enumerate(findings)}
    return [
        {"n_finding": at[id(one.head)], "n_follows": sorted(at[id(f)] for f in one.follows)}
        for one in causes(findings)
    ]


def _row_data(row: QuestionRow) -> dict[str, object]:
    answer = row.answer_time
    return {
        "mark": mark(row.item),
        "at_s": _plain(row.at_s),
        "n_readings_asked": row.readings_expected,
        "n_readings_found": row.readings_found,
        "declared_s": _plain(answer.expected_s if answer else None),
        "measured_s": _plain(answer.measured_s if answer else None),
        "verdict": "pass" if row.is_good else "fail",
    }


def _finding_data(finding: Finding) -> dict[str, object]:
    is_shown = finding.unit in UNITS
    return {
        "code": code_mark(finding.code),
        "severity": finding.severity,
        "audience": audience_of(finding.code),
        "mark": mark(finding.question),
        "at_s": _plain(finding.at_s),
        "unit": finding.unit if is_shown else "",
        "declared": _plain(finding.expected) if is_shown else None,
        "measured": _plain(finding.measured) if is_shown else None,
        "allowed": _plain(finding.allowed) if is_shown else None,
    }


def _plain(value: Number | None) -> float | int | None:
    if value is None or isinstance(value, int):
        return value
    return round(float(value), 6)
