"""The staff's notes of a test as a page for the invigilator alone, with the times of the track.

They stand here and on the running sheet, and in no page that goes to a player: a player may stand
before a candidate.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.pages.page import page
from pausewright.papers.timed.moments import StaffNote, happenings
from pausewright.plan.clock import Clock, counter
from pausewright.screen.bundle import PACKAGE
from pausewright.screen.screen_places import places

if TYPE_CHECKING:
    from pausewright.plan.timeline import Timeline
    from pausewright.script.model import Script


def staff_notes(script: Script, timeline: Timeline, *, label: str, edition: str) -> str:
    """Return the page as HTML text, to be written in UTF-8; "" if there is no note.

    Parameters
    ----------
    label, edition : as on the other papers
    """
    found = [
        one for one in happenings(script, timeline, "invigilator") if isinstance(one, StaffNote)
    ]
    if not found:
        return ""
    stretches = places(script, timeline).stretches
    clock = Clock(timeline.rate_hz)
    end_ms = clock.milliseconds(timeline.n_samples)
    rows = []
    for one in found:
        at_ms = min(end_ms - 1, clock.milliseconds(clock.samples(one.at_s)))  # as places have it
        here = next(s for s in stretches if s.start_ms <= at_ms < s.end_ms)
        rows.append((counter(Fraction(one.at_s)), here.sentence, one.lines))
    return page(
        PACKAGE,
        "notes/notes.html",
        "base.css",
        title=script.settings.title,
        language=script.settings.language,
        label=label,
        edition=edition,
        rows=rows,
    )
