"""The day plan: every room with what is heard in it, from when to when, and what it needs there."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.plan.clock import counter

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pausewright.deliver.rooms import Room
    from pausewright.papers.timed.day_time import DayTime
    from pausewright.records.shapes import RunningTimes

TEMPLATE: Final = "day-plan"
PLACES_AN_INVIGILATOR: Final = 30
"""Candidates that one invigilator looks after, as two bodies have it (CV-29)."""


def day_plan_data(
    rooms: Sequence[Room], times: Mapping[str, RunningTimes], start: DayTime | None
) -> dict[str, object]:
    """Return what the template of the day plan is given; no candidate is in it.

    Parameters
    ----------
    rooms : as planned
    times : what is on the track of each version and when, by label
    start : when the tracks start; None if it is not known
    """
    versions = sorted({label for room in rooms for label in room.labels})
    return {
        "start": "" if start is None else str(start),
        "rooms": [_room(room, times, start) for room in rooms],
        "versions": [_version(label, rooms, times[label], start) for label in versions],
        "n_places": str(sum(room.n_candidates for room in rooms)),
        "n_players": str(sum(len(room.players) for room in rooms)),
    }


def _room(
    room: Room, times: Mapping[str, RunningTimes], start: DayTime | None
) -> dict[str, object]:
    heard: Counter[tuple[str, str]] = Counter()
    places: Counter[tuple[str, str]] = Counter()
    for player in room.players:
        key = (player.label, "loudspeaker" if player.by_loudspeaker else "headphones")
        heard[key] += 1
        places[key] += len(player.candidates)
    for reader in room.readers:
        heard[reader.label, "reader"] += 1
        places[reader.label, "reader"] += len(reader.candidates)
    rows = []
    for label, how in sorted(heard):
        n_heard = heard[label, how]
        length_s = Fraction(times[label].length_s)
        rows.append(
            {
                "version": label,
                "from": how if n_heard == 1 else f"{n_heard} × {how}",
                "places": str(places[label, how]),
                "ends": "" if start is None else start.minute_after(length_s),
                "length": counter(length_s),
                "stops": str(len(_stops(times[label]))),
                "devices": "–" if how == "reader" else str(n_heard),
            }
        )
    n_staff = -(-room.n_candidates // PLACES_AN_INVIGILATOR)
    return {
        "name": room.name,
        "rows": rows,
        "staff": str(n_staff),
        "ends": "" if start is None else start.minute_after(room.length_s),
    }


def _version(
    label: str, rooms: Sequence[Room], times: RunningTimes, start: DayTime | None
) -> dict[str, object]:
    n_heard = sum(len(p.candidates) for room in rooms for p in room.players if p.label == label)
    n_read_to = sum(len(r.candidates) for room in rooms for r in room.readers if r.label == label)
    stops = [
        counter(at_s) if start is None else f"{counter(at_s)} ({start.after(at_s)})"
        for at_s in _stops(times)
    ]
    return {
        "version": label,
        "length": counter(Fraction(times.length_s)),
        "stops": ", ".join(stops) or "none",
        "sheets": str(n_heard + n_read_to),
        "running_sheets": str(sum(label in room.labels for room in rooms)),
    }


def _stops(times: RunningTimes) -> list[Fraction]:
    """Return when the room waits, rests that end by themselves too."""
    return [
        Fraction(row.at_s)
        for row in times.rows
        if row.kind in {"stop", "rest"} and row.at_s is not None
    ]
