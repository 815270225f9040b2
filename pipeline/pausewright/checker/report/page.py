"""The report as one page for a browser: a table first, a drawing of a place when it is opened.

The page stands alone: no script, no font, no address of anything else, and a policy in its head
that forbids them. All texts pass through the template's escaping. The blind page is made from
the same fields as the blind text, so what holds there holds here.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.listen.waveform import waves
from pausewright.checker.report import blind
from pausewright.checker.report.proof_lines import proof_pairs
from pausewright.checker.report.report import (
    finding_numbers,
    finding_words,
    proofs,
    signed,
    summary_facts,
)
from pausewright.checker.result.findings import NOT_HEARD
from pausewright.checker.result.naming import clock, seconds
from pausewright.files.writing import unwritable, write_file
from pausewright.intake.file_kinds import PAGE
from pausewright.intake.plain_file import opened
from pausewright.pages import page as render
from pausewright.problems import OutputError, PausewrightError
from pausewright.script.silences import silence_name

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from pausewright.checker.files.decode import Track
    from pausewright.checker.listen.waveform import Wave
    from pausewright.checker.result.delivered import Delivered, Room
    from pausewright.checker.result.findings import CheckResult, Finding, KindTotal, QuestionRow

_PACKAGE: Final = "pausewright.checker"
_GENERATOR: Final = '<meta name="generator" content="Pausewright check">'
MOST_LINKS: Final = 12
"""Places that the head of the page leads to."""


@dataclass(frozen=True, slots=True)
class _Finding:
    anchor: str
    severity: str
    at: str
    sentence: str
    numbers: list[tuple[str, str]]
    place: str
    hint: str
    wave: Wave | None
    code: str


@dataclass(frozen=True, slots=True)
class _Row:
    label: str
    starts: str
    readings: str
    declared: str
    measured: str
    differs: str
    declared_share: float | None
    """Per cent of the longest time in the table; None where there is no bar."""
    measured_share: float | None
    instead: str
    """Words where there are no two times to compare."""
    is_good: bool
    findings: list[_Finding]


@dataclass(frozen=True, slots=True)
class _Track:
    anchor: str
    heading: str
    is_good: bool
    in_short: str
    proofs: list[tuple[str, str]]
    """What proves an arrangement: its extra time, and the comparison with the standard track."""
    rows: list[_Row]
    others: list[_Finding]
    facts: list[tuple[str, str]]
    totals: list[tuple[str, ...]]
    captions: list[tuple[str, ...]]
    versions: str
    cautions: list[str]


@dataclass(frozen=True, slots=True)
class _Room:
    anchor: str
    heading: str
    is_good: bool
    facts: list[tuple[str, str]]
    files: list[tuple[str, str, str]]
    findings: list[_Finding]
    tracks: list[_Track]


@dataclass(slots=True)
class _Page:
    title: str
    heading: str
    verdict: str
    is_good: bool
    is_blind: bool
    findings: list[_Finding]
    rooms: list[_Room]
    cautions: list[str]
    links: list[tuple[str, str]] = field(default_factory=list)


def as_page(delivered: Delivered, *, is_blind: bool = False) -> str:
    """Return the page as HTML text, to be written in UTF-8.

    Raises
    ------
    TrackError
        If a track that has findings cannot be read any more.
    """
    page = _Blind(delivered).page() if is_blind else _Full(delivered).page()
    return render(_PACKAGE, "report_page.html", "report_page.css", page=page, clock=clock)


def write_page(text: str, path: Path, *, is_blind: bool = False) -> None:
    """Write a page; an older report under the name is replaced whole.

    Only its owner can open it, unless it is blind: it shows what the test says.

    Raises
    ------
    OutputError
        If it cannot be written, or something else has that name.
    """
    if path.suffix.lower() not in {".html", ".htm"}:
        raise OutputError(f"‘{path.name}’ does not end in .html", f"write {path.stem}.html")
    if os.path.lexists(path) and not _is_report(path):
        raise OutputError(
            f"‘{path}’ is there, is no report of a check, and was left as it is",
            "choose another name",
        )

    try:
        write_file(path, text, private=not is_blind)
    except OSError as error:
        hint = "choose a folder that is there and that you may write to"
        raise unwritable(path, error, hint) from error


def _is_report(path: Path) -> bool:
    try:
        with opened(path, PAGE) as file:
            return _GENERATOR.encode() in file.read(2000)
    except (PausewrightError, OSError):
        return False


# ---- what is shared --------------------------------------------------------------------------


def _split(
    check: CheckResult, shown: Callable[[Finding, int], _Finding]
) -> tuple[dict[int, list[_Finding]], list[_Finding]]:
    """Return the findings by index of the row that they belong to, and all others."""
    own: dict[int, list[_Finding]] = {}
    others: list[_Finding] = []
    first = {row.item: n for n, row in reversed(list(enumerate(check.rows)))}
    for n, finding in enumerate(check.findings):
        row = None if finding.question is None else first.get(finding.question)
        if finding.at_s is not None and row is not None:
            # of several rows of one name (numbering by part), the one that began last
            begun = [
                m
                for m, one in enumerate(check.rows)
                if one.item == finding.question and (one.at_s or 0) <= finding.at_s
            ]
            row = begun[-1] if begun else row
        (others if row is None else own.setdefault(row, [])).append(shown(finding, n))
    return own, others


def _shares(rows: Sequence[QuestionRow]) -> list[tuple[float | None, float | None]]:
    """Return both times of each row in per cent of the longest time of all."""
    times_s = [
        (None, None)
        if row.answer_time is None or row.is_by_hand
        else (row.answer_time.expected_s, row.answer_time.measured_s)
        for row in rows
    ]
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


def _links(page: _Page) -> list[tuple[str, str]]:
    """Return where to look: the places of all findings, each place once."""
    found: list[tuple[str, str]] = [(one.anchor, "folder") for one in page.findings[:1]]
    for room in page.rooms:
        found += [(one.anchor, room.heading) for one in room.findings[:1]]
        for track in room.tracks:
            found += [(one.anchor, "whole track") for one in track.others[:1]]
            found += [(row.findings[0].anchor, row.label) for row in track.rows if row.findings]
    return found[:MOST_LINKS]


def _counts(delivered: Delivered) -> str:
    n_errors = sum(f.severity == "error" for f in delivered.all_findings)
    n_warnings = len(delivered.all_findings) - n_errors
    errors = f"{n_errors} error" + ("" if n_errors == 1 else "s")
    return f"{errors}, {n_warnings} warning" + ("" if n_warnings == 1 else "s")


# ---- the whole report ------------------------------------------------------------------------


class _Full:
    def __init__(self, delivered: Delivered) -> None:
        self._delivered = delivered

    def page(self) -> _Page:
        delivered = self._delivered
        names = [room.name or check.track for room in delivered.rooms for check in room.checks[:1]]
        cautions = {c for check in delivered.checks for c in check.cautions}
        page = _Page(
            title=f"Check report: {', '.join(names)}",
            heading="Check report",
            verdict=f"{'Good' if delivered.is_good else 'Not good'}: {_counts(delivered)}",
            is_good=delivered.is_good,
            is_blind=False,
            findings=[
                self._finding(f"folder-{n}", f, None) for n, f in enumerate(delivered.findings)
            ],
            rooms=[self._room(n, room) for n, room in enumerate(delivered.rooms)],
            cautions=[NOT_HEARD] if NOT_HEARD in cautions else [],
        )
        page.links = _links(page)
        return page

    def _room(self, n: int, room: Room) -> _Room:
        facts = []
        if room.name:
            facts = [
                ("version", room.version_label or "not known"),
                ("edition", room.edition or "not known"),
            ]
            if room.is_listed:
                n_as_listed = sum(row.state == "as listed" for row in room.files)
                facts.append(("files as built", f"{n_as_listed} of {len(room.files)}"))
            facts += [("note", caution) for caution in room.cautions]
        return _Room(
            anchor=f"room-{n}",
            heading=f"Folder {room.name}" if room.name else "",
            is_good=room.is_good,
            facts=facts,
            files=[(row.name, row.state, row.sha256[:16]) for row in room.files],
            findings=[self._finding(f"room-{n}-{m}", f, None) for m, f in enumerate(room.findings)],
            tracks=[
                self._track(f"track-{n}-{m}", check, track)
                for m, (check, track) in enumerate(zip(room.checks, room.tracks, strict=True))
            ],
        )

    def _track(self, anchor: str, check: CheckResult, track: Track) -> _Track:
        drawn = waves(track, check.findings, check.threshold_dbfs)
        own, others = _split(
            check, lambda finding, n: self._finding(f"{anchor}-{n}", finding, drawn.get(n))
        )
        shares = _shares(check.rows)
        versions = ", ".join(f"{name} {version}" for name, version in check.versions.items())
        return _Track(
            anchor=anchor,
            heading=check.track,
            is_good=check.is_good,
            in_short="; ".join(summary_facts(check)),
            proofs=[*proofs(check), *proof_pairs(check)],
            rows=[
                self._row(row, share, own.get(n, []))
                for n, (row, share) in enumerate(zip(check.rows, shares, strict=True))
            ],
            others=others,
            facts=_facts(check),
            totals=[_total(total) for total in check.totals],
            captions=[
                (
                    row.file,
                    str(row.n_cues),
                    "too few words" if row.rate_wpm is None else f"{float(row.rate_wpm):.0f}",
                    row.readers,
                )
                for row in check.captions
            ],
            versions=versions,
            cautions=[caution for caution in check.cautions if caution != NOT_HEARD],
        )

    @staticmethod
    def _row(
        row: QuestionRow, share: tuple[float | None, float | None], findings: list[_Finding]
    ) -> _Row:
        answer = row.answer_time
        instead = "by hand (not counted)" if row.is_by_hand else "none declared"
        has_bars = share[0] is not None and answer is not None
        measured_s = answer.measured_s if answer else None
        return _Row(
            label=row.item.name.capitalize(),
            starts="not found" if row.at_s is None else clock(row.at_s),
            readings=f"{row.readings_found} of {row.readings_expected}",
            declared=f"{seconds(answer.expected_s)} s" if answer else "",
            measured="unknown" if measured_s is None else f"{seconds(measured_s)} s",
            differs=""
            if answer is None or answer.difference_s is None
            else f"{signed(answer.difference_s)} s",
            declared_share=share[0],
            measured_share=share[1],
            instead="" if has_bars else instead,
            is_good=row.is_good,
            findings=findings,
        )

    @staticmethod
    def _finding(anchor: str, finding: Finding, wave: Wave | None) -> _Finding:
        place = finding.place
        return _Finding(
            anchor=f"finding-{anchor}",
            severity=finding.severity,
            at="whole file" if finding.at_s is None else clock(finding.at_s),
            sentence=finding.sentence,
            numbers=[*finding_numbers(finding), *finding_words(finding)],
            place="" if place is None else f"{place.file.name}, line {place.line}",
            hint=finding.hint,
            wave=wave,
            code=finding.code,
        )


def _facts(check: CheckResult) -> list[tuple[str, str]]:
    def level(value: float | None, unit: str) -> str:
        return "none" if value is None else f"{value:.1f} {unit}"

    return [
        ("length", clock(Fraction(check.n_frames, check.rate_hz))),
        ("format", f"{check.container}, {check.rate_hz} Hz"),
        ("channels", "mono" if check.n_channels == 1 else "stereo"),
        ("edition of the script", check.edition or "not given"),
        ("version in the tags", check.version_label or "not given"),
        ("loudness", level(check.loudness_lufs, "LUFS")),
        ("true peak", level(check.true_peak_dbtp, "dBTP")),
        ("silence is below", level(check.threshold_dbfs, "dBFS")),
        ("SHA-256", check.sha256),
    ]


def _total(total: KindTotal) -> tuple[str, ...]:
    return (
        silence_name(total.kind) + (" (not counted)" if total.kind == "hold" else ""),
        str(total.n_expected),
        str(total.n_measured),
        seconds(total.expected_s),
        seconds(total.measured_s),
        signed(total.measured_s - total.expected_of_measured_s),
    )


# ---- the blind report ------------------------------------------------------------------------


class _Blind:
    def __init__(self, delivered: Delivered) -> None:
        self._delivered = delivered

    def page(self) -> _Page:
        delivered = self._delivered
        page = _Page(
            title="Blind check report",
            heading="Blind check report",
            verdict=blind.verdict(delivered),
            is_good=delivered.is_good,
            is_blind=True,
            findings=[self._finding(f"folder-{n}", f) for n, f in enumerate(delivered.findings)],
            rooms=[
                self._room(n, room, len(delivered.rooms)) for n, room in enumerate(delivered.rooms)
            ],
            cautions=[blind.NO_CONTENT, blind.NOT_HEARD],
        )
        page.links = _links(page)
        return page

    def _room(self, n: int, room: Room, n_rooms: int) -> _Room:
        facts = [
            *blind.place_of(room),
            ("version", blind.label_mark(room.version_label)),
            ("edition", blind.edition_mark(room.edition)),
        ]
        if room.is_listed:
            n_as_listed = sum(row.state == "as listed" for row in room.files)
            n_listed = sum(row.state != "not listed" for row in room.files)
            facts.append(("files as listed", blind.of(n_as_listed, n_listed)))
        return _Room(
            anchor=f"room-{n}",
            heading=f"Version {blind.of(n + 1, n_rooms)}",
            is_good=room.is_good,
            facts=facts,
            files=[],
            findings=[self._finding(f"room-{n}-{m}", f) for m, f in enumerate(room.findings)],
            tracks=[
                self._track(f"track-{n}-{m}", check, blind.of(m + 1, len(room.checks)))
                for m, check in enumerate(room.checks)
            ],
        )

    def _track(self, anchor: str, check: CheckResult, which: str) -> _Track:
        own, others = _split(check, lambda finding, n: self._finding(f"{anchor}-{n}", finding))
        shares = _shares(check.rows)
        return _Track(
            anchor=anchor,
            heading=f"Track {which}",
            is_good=check.is_good,
            in_short="",
            proofs=[],
            rows=[
                self._row(row, share, own.get(n, []))
                for n, (row, share) in enumerate(zip(check.rows, shares, strict=True))
            ],
            others=others,
            facts=blind.facts(check),
            totals=[],
            captions=[],
            versions="",
            cautions=[],
        )

    @staticmethod
    def _row(
        row: QuestionRow, share: tuple[float | None, float | None], findings: list[_Finding]
    ) -> _Row:
        label, starts, readings, declared, measured, differs, _ = blind.row_cells(row)
        has_bars = share[0] is not None
        return _Row(
            label=label,
            starts=starts,
            readings=readings,
            declared=declared,
            measured=measured,
            differs=differs,
            declared_share=share[0],
            measured_share=share[1],
            instead="" if has_bars else declared,
            is_good=row.is_good,
            findings=findings,
        )

    @staticmethod
    def _finding(anchor: str, finding: Finding) -> _Finding:
        return _Finding(
            anchor=f"finding-{anchor}",
            severity=finding.severity,
            at="whole file" if finding.at_s is None else clock(finding.at_s),
            sentence=blind.code_mark(finding.code),
            numbers=blind.finding_numbers(finding),
            place="",
            hint="",
            wave=None,
            code=blind.code_mark(finding.code),
        )
