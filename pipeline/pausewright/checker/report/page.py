"""The report as one page for a browser: verdict and causes first, a drawing where one is opened.

The page stands alone: no script, no font, no address of anything else, and a policy in its head
that forbids them. All texts pass through the template's escaping. The blind page is made from
the same fields as the blind text (`blind_page`), so what holds there holds here.
"""

from __future__ import annotations

import os
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.listen.waveform import waves
from pausewright.checker.report.blind_page import blind_page
from pausewright.checker.report.lines import (
    counted,
    finding_numbers,
    finding_words,
    level,
    signed,
    silences_in_short,
    total_name,
)
from pausewright.checker.report.page_parts import (
    FindingPart,
    PagePart,
    RoomPart,
    RowPart,
    TrackPart,
)
from pausewright.checker.report.page_rows import causes_of_rows, shares
from pausewright.checker.report.proof_lines import proof_pairs
from pausewright.checker.report.report import proofs, summary_facts
from pausewright.checker.result.causes import causes
from pausewright.checker.result.findings import NOT_HEARD
from pausewright.checker.result.naming import clock, seconds
from pausewright.checker.result.shared_causes import shared_causes, sign_of, told_above
from pausewright.checker.result.told_causes import told
from pausewright.files.writing import unwritable, write_file
from pausewright.intake.file_kinds import PAGE
from pausewright.intake.plain_file import opened
from pausewright.pages.page import STYLE
from pausewright.pages.page import page as render
from pausewright.pages.strip import STRIP_STYLE, Mark, strip
from pausewright.problems import OutputError, PausewrightError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from pausewright.checker.files.decode import Track
    from pausewright.checker.listen.waveform import Wave
    from pausewright.checker.result.causes import Cause
    from pausewright.checker.result.delivered import Delivered, Room
    from pausewright.checker.result.findings import CheckResult, Finding, KindTotal, QuestionRow
    from pausewright.checker.result.shared_causes import Sign

_PACKAGE: Final = "pausewright.checker"
_GENERATOR: Final = '<meta name="generator" content="Pausewright check">'
_MEASURED: Final = "Measured, not compared"
MOST_IN_HEAD: Final = 3
"""Causes that the head of the page names."""


def as_page(delivered: Delivered, *, is_blind: bool = False) -> str:
    """Return the page as HTML text, to be written in UTF-8.

    Raises
    ------
    TrackError
        If a track that has findings cannot be read any more.
    """
    page = blind_page(delivered) if is_blind else full_page(delivered)
    return render(
        _PACKAGE,
        "report_page.html",
        STYLE,
        STRIP_STYLE,
        "report_page.css",
        page=page,
        clock=clock,
        most=MOST_IN_HEAD,
    )


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


def full_page(delivered: Delivered) -> PagePart:
    """Return what the page of a whole report shows."""
    checks = delivered.checks
    titles = dict.fromkeys(check.title for check in checks if check.title)
    names = [room.name or check.track for room in delivered.rooms for check in room.checks[:1]]
    cautions = {caution for check in checks for caution in check.cautions}
    n_errors = sum(f.severity == "error" for f in delivered.all_findings)
    n_warnings = len(delivered.all_findings) - n_errors
    above = told_above(delivered)
    return PagePart(
        kind="Check report",
        heading=", ".join(titles) or ", ".join(names) or "Check report",
        verdict=_verdict(delivered),
        counts=f"{counted(n_errors, 'error')}, {counted(n_warnings, 'warning')}",
        is_good=delivered.is_good,
        is_blind=False,
        causes=[
            _finding(f"finding-shared-{n}", one.cause.head, one.sentence, None, [])
            for n, one in enumerate(shared_causes(delivered))
            if len(one.places) != 1
        ],
        rooms=[_room(n, room, above) for n, room in enumerate(delivered.rooms)],
        cautions=[NOT_HEARD] if NOT_HEARD in cautions else [],
    )


def _verdict(delivered: Delivered) -> str:
    """Return the verdict on everything; what was only measured is never called good."""
    if not delivered.is_good:
        return "Not good"
    return "Good" if delivered.is_compared else _MEASURED


def _room(n: int, room: Room, above: frozenset[Sign]) -> RoomPart:
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
    return RoomPart(
        anchor=f"room-{n}",
        heading=f"Folder {room.name}" if room.name else "",
        is_good=room.is_good,
        is_compared=room.is_compared,
        facts=facts,
        files=[(row.name, row.state, row.sha256[:16]) for row in room.files],
        causes=_causes(f"room-{n}", causes(room.findings), {}, above),
        tracks=[
            _track(f"track-{n}-{m}", check, track, above)
            for m, (check, track) in enumerate(zip(room.checks, room.tracks, strict=True))
        ],
    )


def _track(anchor: str, check: CheckResult, track: Track, above: frozenset[Sign]) -> TrackPart:
    found = causes(check.findings)
    heads = [cause.head for cause in found]
    drawn = waves(track, heads, check.threshold_dbfs)
    versions = ", ".join(f"{name} {version}" for name, version in check.versions.items())
    marks = [
        Mark(
            cause.head.at_s,
            cause.head.sentence,
            is_grave=cause.severity == "error",
            href=f"#finding-{anchor}-{n}",
        )
        for n, cause in enumerate(found)
        if cause.head.at_s is not None
    ]
    of_rows = causes_of_rows(check.rows, found)
    silences, longest = silences_in_short(() if check.rows else check.strip)
    return TrackPart(
        anchor=anchor,
        heading=check.track,
        is_good=check.is_good,
        has_script=check.has_script,
        in_short="; ".join(summary_facts(check)),
        strip=strip(check.strip, marks) if check.strip else None,
        causes=_causes(anchor, found, drawn, above),
        proofs=[*proofs(check), *proof_pairs(check)],
        rows=[
            _row(row, share, [(f"finding-{anchor}-{n}", str(n + 1)) for n in of_rows.get(m, [])])
            for m, (row, share) in enumerate(zip(check.rows, shares(check.rows), strict=True))
        ],
        facts=_facts(check),
        silences=[(clock(one.start_s), f"{seconds(one.length_s)} s") for one in longest],
        silences_in_short=silences,
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


def _causes(
    anchor: str, found: Sequence[Cause], drawn: Mapping[int, Wave], above: frozenset[Sign]
) -> list[FindingPart]:
    """Return causes in their order, with what follows from each and the drawings of heads."""
    parts = []
    for n, cause in enumerate(found):
        is_above = sign_of(cause.head) in above
        part = _finding(
            f"finding-{anchor}-{n}",
            cause.head,
            f"{cause.head.sentence} (told above)" if is_above else told(cause),
            drawn.get(n),
            [
                _finding(f"finding-{anchor}-{n}-{m}", one, one.sentence, None, [])
                for m, one in enumerate(cause.follows)
            ],
        )
        parts.append(replace(part, is_above=is_above))
    return parts


def _finding(
    anchor: str, finding: Finding, sentence: str, wave: Wave | None, follows: list[FindingPart]
) -> FindingPart:
    place = finding.place
    return FindingPart(
        anchor=anchor,
        severity=finding.severity,
        at="whole file" if finding.at_s is None else clock(finding.at_s),
        sentence=sentence,
        numbers=[*finding_numbers(finding), *finding_words(finding)],
        place="" if place is None else f"{place.file.name}, line {place.line}",
        hint=finding.hint,
        wave=wave,
        follows=follows,
    )


def _row(
    row: QuestionRow,
    share: tuple[float | None, float | None],
    of_causes: list[tuple[str, str]],
) -> RowPart:
    answer = row.answer_time
    declared, measured, differs = "none declared", "", ""
    if row.is_by_hand:
        declared = "by hand (not counted)"
    elif answer is not None:
        declared = f"{seconds(answer.expected_s)} s"
        found_s, off_s = answer.measured_s, answer.difference_s
        measured = "not found" if found_s is None else f"{seconds(found_s)} s"
        differs = "" if off_s is None else f"{signed(off_s)} s"
    return RowPart(
        label=row.item.name.capitalize(),
        starts="not found" if row.at_s is None else clock(row.at_s),
        readings=f"{row.readings_found} of {row.readings_expected}",
        declared=declared,
        measured=measured,
        differs=differs,
        declared_share=share[0],
        measured_share=share[1],
        is_good=row.is_good,
        causes=of_causes,
    )


def _facts(check: CheckResult) -> list[tuple[str, str]]:
    return [
        ("length", clock(Fraction(check.n_frames, check.rate_hz))),
        ("format", f"{check.container}, {check.rate_hz} Hz"),
        ("channels", "mono" if check.n_channels == 1 else "stereo"),
        ("edition of the file", check.file_edition or "not given"),
        ("edition of the script", check.edition or "not given"),
        ("version in the tags", check.version_label or "not given"),
        ("loudness", level(check.loudness_lufs, "LUFS")),
        ("true peak", level(check.true_peak_dbtp, "dBTP")),
        ("silence is below", level(check.threshold_dbfs, "dBFS")),
        ("SHA-256", check.sha256),
    ]


def _total(total: KindTotal) -> tuple[str, ...]:
    return (
        total_name(total),
        str(total.n_expected),
        str(total.n_measured),
        f"{seconds(total.expected_s)} s",
        f"{seconds(total.measured_s)} s",
        f"{signed(total.difference_s)} s",
    )
