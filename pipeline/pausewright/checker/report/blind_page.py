"""The page of the blind report: codes, marks and measurements, nothing of what the test says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.checker.report import blind
from pausewright.checker.report.page_parts import (
    FindingPart,
    PagePart,
    RoomPart,
    RowPart,
    TrackPart,
)
from pausewright.checker.report.page_rows import causes_of_rows, shares
from pausewright.checker.result.causes import causes
from pausewright.checker.result.naming import clock

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.result.causes import Cause
    from pausewright.checker.result.delivered import Delivered, Room
    from pausewright.checker.result.findings import CheckResult, Finding, QuestionRow


def blind_page(delivered: Delivered) -> PagePart:
    """Return what the blind page shows."""
    verdict, _, counts = blind.verdict(delivered).partition(": ")
    return PagePart(
        kind="Blind",
        heading="Blind check report",
        verdict=verdict,
        counts=counts,
        is_good=delivered.is_good,
        is_blind=True,
        causes=_causes("folder", causes(delivered.findings)),
        rooms=[_room(n, room, len(delivered.rooms)) for n, room in enumerate(delivered.rooms)],
        cautions=[blind.NO_CONTENT, blind.NOT_HEARD],
    )


def _room(n: int, room: Room, n_rooms: int) -> RoomPart:
    facts = [
        *blind.place_of(room),
        ("version", blind.label_mark(room.version_label)),
        ("edition", blind.edition_mark(room.edition)),
    ]
    if room.is_listed:
        n_as_listed = sum(row.state == "as listed" for row in room.files)
        n_listed = sum(row.state != "not listed" for row in room.files)
        facts.append(("files as listed", blind.of(n_as_listed, n_listed)))
    return RoomPart(
        anchor=f"room-{n}",
        heading=f"Version {blind.of(n + 1, n_rooms)}",
        is_good=room.is_good,
        is_compared=room.is_compared,
        facts=facts,
        files=[],
        causes=_causes(f"room-{n}", causes(room.findings)),
        tracks=[
            _track(f"track-{n}-{m}", check, blind.of(m + 1, len(room.checks)))
            for m, check in enumerate(room.checks)
        ],
    )


def _track(anchor: str, check: CheckResult, which: str) -> TrackPart:
    found = causes(check.findings)
    of_rows = causes_of_rows(check.rows, found)
    return TrackPart(
        anchor=anchor,
        heading=f"Track {which}",
        is_good=check.is_good,
        has_script=check.has_script,
        in_short="",
        strip=None,
        causes=_causes(anchor, found),
        proofs=[],
        rows=[
            _row(row, share, [f"finding-{anchor}-{n}" for n in of_rows.get(m, [])])
            for m, (row, share) in enumerate(zip(check.rows, shares(check.rows), strict=True))
        ],
        facts=blind.facts(check),
        silences=[],
        silences_in_short="",
        totals=[],
        captions=[],
        versions="",
        cautions=[],
    )


def _causes(anchor: str, found: Sequence[Cause]) -> list[FindingPart]:
    return [
        _finding(
            f"finding-{anchor}-{n}",
            cause.head,
            [_finding(f"finding-{anchor}-{n}-{m}", one, []) for m, one in enumerate(cause.follows)],
        )
        for n, cause in enumerate(found)
    ]


def _finding(anchor: str, finding: Finding, follows: list[FindingPart]) -> FindingPart:
    return FindingPart(
        anchor=anchor,
        severity=finding.severity,
        at="whole file" if finding.at_s is None else clock(finding.at_s),
        sentence=f"{blind.mark(finding.question)} {blind.code_mark(finding.code)}".removeprefix(
            "- "
        ),
        numbers=blind.finding_numbers(finding),
        follows=follows,
    )


def _row(row: QuestionRow, share: tuple[float | None, float | None], anchors: list[str]) -> RowPart:
    label, starts, readings, declared, measured, differs, _ = blind.row_cells(row)
    return RowPart(
        label=label,
        starts=starts,
        readings=readings,
        declared=declared,
        measured=measured,
        differs=differs,
        declared_share=share[0],
        measured_share=share[1],
        is_good=row.is_good,
        causes=[(anchor, "finding") for anchor in anchors],
    )
