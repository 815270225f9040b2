"""Pages to read or print: the transcript for candidates, and the instructions with their times.

They are made from the rows of the plain transcript, so no word is in one and not in the other; and
they stand alone: no script, no font, and a policy in the head that forbids all loading.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import partial
from itertools import groupby
from typing import TYPE_CHECKING

from pausewright.captions.shown_rows import Heading, shown_rows
from pausewright.pages.page import STYLE, page
from pausewright.plan.clock import counter
from pausewright.plan.timeline import Say

if TYPE_CHECKING:
    from pausewright.captions.shown_rows import Line
    from pausewright.plan.timeline import Placed, Timeline


def transcript_page(
    timeline: Timeline, *, title: str, language: str, label: str, edition: str, timed: bool = False
) -> str:
    """Return the page as HTML text, to be written in UTF-8.

    Parameters
    ----------
    timeline : of the track
    title, language : of the test; words in other languages are marked
    label, edition : as on the other papers
    timed : whether each line has its time on the recording: for staff, who decide who sees it
    """
    return page(
        "pausewright.captions",
        "transcript_page.html",
        STYLE,
        "transcript_page.css",
        title=title,
        language=language,
        label=label,
        edition=edition,
        parts=_parts(timeline),
        timed=timed,
        at=partial(_at, timeline.rate_hz),
    )


def instructions_of(timeline: Timeline) -> Timeline:
    """Return a timeline in which questions and passages are withheld, but for words of their own.

    What may not be shown already stays withheld.
    """
    return replace(timeline, placed=tuple(_withheld(one) for one in timeline.placed))


def _withheld(placed: Placed) -> Placed:
    step = placed.step
    if not isinstance(step, Say) or step.role not in {"question", "passage"}:
        return placed
    return replace(placed, step=replace(step, captioned=False))


def _at(rate_hz: int, line: Line) -> tuple[str, str]:
    """Return when a line begins: for readers, and as a duration for programs (HTML, `time`)."""
    at_s = Fraction(line.start_sample, rate_hz)
    return counter(at_s), f"PT{int(at_s)}S"


def _parts(timeline: Timeline) -> list[tuple[str, list[Line]]]:
    """Return the lines under their headings; "" where there is none, empty parts as well."""
    parts: list[tuple[str, list[Line]]] = []
    for is_heading, rows in groupby(shown_rows(timeline), lambda row: isinstance(row, Heading)):
        if is_heading:
            parts += [(row.text, []) for row in rows]
        else:
            lines = [row for row in rows if not isinstance(row, Heading)]
            parts.append((parts.pop()[0] if parts else "", lines))
    return parts
