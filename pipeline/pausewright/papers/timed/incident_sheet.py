"""The incident sheet: what a stop meant, filled in as far as the recording tells it.

No word of a question is on it, and no candidate's need.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.papers.timed.interruption import minutes_seconds, stops_before, tenths_up

if TYPE_CHECKING:
    from pausewright.papers.timed.day_time import DayTime
    from pausewright.papers.timed.interruption import Interruption
    from pausewright.records.shapes import RunningTimes

TEMPLATE: Final = "incident-sheet"
_NOW: Final = Fraction(0)


@dataclass(frozen=True, slots=True)
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
        "part": found.part,
        "what": found.what,
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
    whole, part = tenths_up(found.whole_s), minutes_seconds(found.resume_s)
    heard, again = tenths_down(found.heard_s), tenths_up(found.again_s)
    if found.cut == "speech":
        return (
            f"Not heard in full: {found.what} ({heard} of {whole} s heard).",
            f"Go on from {part}, in the silence before it: {again} s are heard a second time.",
        )
    if found.cut == "silence":
        return (
            f"Stopped in a silence of the candidates: {found.what} ({heard} of {whole} s given).",
            f"Go on from {part}: {tenths_up(found.owed_s)} s of it are still owed, and come then.",
        )
    if found.cut == "hold":
        return ("Stopped where the test waits for the room. Nothing was missed, nothing is owed.",)
    if found.cut == "start":
        return ("Nothing had been heard. Begin from the start.",)
    if found.cut == "end":
        return ("Everything had been heard and all time had been given.",)
    return (f"Stopped after {found.what}. Nothing was missed.", f"Go on from {part}.")


def tenths_down(length_s: Fraction) -> str:
    """Return a length in seconds to a tenth, cut."""
    tenths = length_s.numerator * 10 // length_s.denominator
    return f"{tenths // 10}.{tenths % 10}" if tenths % 10 else str(tenths // 10)
