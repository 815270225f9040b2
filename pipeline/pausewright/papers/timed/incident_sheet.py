"""The incident sheet: what a stop meant, filled in as far as the recording tells it.

No word of a question is on it, and no candidate's need.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.papers.timed.interruption import minutes_seconds, stops_before, tenths_up, told

if TYPE_CHECKING:
    from pausewright.papers.timed.day_time import DayTime
    from pausewright.papers.timed.interruption import Interruption
    from pausewright.records.shapes import RunningTimes

TEMPLATE: Final = "incident-sheet"
_NOW: Final = Fraction(0)


@frozen
class IncidentDay:
    """What is known of the day; None for what is not."""

    start: DayTime | None = None
    """When the track started."""
    stopped: DayTime | None = None
    """When it was stopped."""
    again: DayTime | None = None
    """When it goes on."""

    def end(self, found: Interruption) -> str:
        """Return when the track is over, "" if that is not known; stops to come add to it."""
        return "" if self.again is None else self.again.after(found.to_come_s)


def incident_sheet_data(
    found: Interruption, times: RunningTimes, day: IncidentDay
) -> dict[str, object]:
    """Return what the template of the incident sheet is given."""
    clocks = {"start": day.start, "stopped": day.stopped, "goes_on": day.again}
    return {
        "place": minutes_seconds(found.at_s),
        "part": found.row.part,
        "what": found.row.name,
        "sentences": list(sentences(found)),
        "resume": minutes_seconds(found.resume_s),
        "owed": f"{tenths_up(found.owed_s)} s",
        "again": f"{tenths_up(found.again_s)} s",
        "to_come": minutes_seconds(found.to_come_s),
        "stops": str(found.n_stops),
        "stops_before": ", ".join(stops_before(times, found.at_s)),
        "ends": day.end(found),
        **{name: "" if one is None else one.after(_NOW) for name, one in clocks.items()},
    }


def sentences(found: Interruption) -> tuple[str, ...]:
    """Return what a stop meant and what to do, for staff."""
    part, row = minutes_seconds(found.resume_s), found.row
    meant = told(row, int(found.at_s * 1000))
    again = tenths_up(found.again_s)
    back = f"{row.back_to[:1].upper()}{row.back_to[1:]}: {minutes_seconds(found.back_s)}."
    if found.cut == "speech":
        heard = f"Go on from {part}, in the silence before it: {again} s are heard a second time."
        return meant, heard, back
    if found.cut == "silence":
        owed = tenths_up(found.owed_s)
        return meant, f"Go on from {part}: {owed} s of it are still owed, and come then.", back
    if found.cut == "start":
        return meant, "Begin from the start."
    if found.cut == "end":
        return meant, "All time had been given."
    return meant, f"Go on from {part}."
