"""A delivered track as a strip of time, from what was recorded with it; no word of a question."""

from __future__ import annotations

from fractions import Fraction
from itertools import accumulate
from typing import TYPE_CHECKING, Final

from pausewright.pages.strip import Stretch
from pausewright.screen.screen_places import reading_name
from pausewright.script.silences import AUTHORS, SILENCES, room_name

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.pages.strip import Kind
    from pausewright.records.shapes import RunningPlace, RunningTimes
    from pausewright.script.silences import SilenceKind

_KINDS: Final[Mapping[str, Kind]] = {
    "answer-time": "answer-time",
    "look-time": "look-time",
    "between-readings": "between-readings",
    "between-phrase-readings": "between-readings",
    "phrase-time": "phrase-time",
    "extra-time": "extra-time",
    "page-turn-time": "page-turn",
    "hold": "hold",
}
"""How kinds of silence are drawn; those of the author are pauses."""
_SILENCES: Final[Mapping[str, SilenceKind]] = {kind: kind for kind in SILENCES}
_ROLES: Final = {
    "instruction": "instructions",
    "cue": "words of a stop or page turn",
    "continues": "“the recording continues”",
}
_PRACTICE: Final = "Practice "


def recorded_strip(times: RunningTimes) -> tuple[Stretch, ...]:
    """Return what is on a track, in order of time; none for files that did not keep places.

    Times are exact seconds from the first sample.
    """
    if not times.rate_hz:
        return ()
    found: list[Stretch] = []
    starts = accumulate((one.n_samples for one in times.places), initial=0)
    known: set[str] = set()
    for one, start in zip(times.places, starts, strict=False):
        if not one.n_samples:
            continue
        kind: Kind = "speech"
        if one.happens in SILENCES:
            kind = "pause" if one.happens in AUTHORS else _KINDS[one.happens]
        number = "" if one.about in known or one.happens in SILENCES else one.about
        known |= {number}
        found.append(
            Stretch(
                kind,
                Fraction(start, times.rate_hz),
                Fraction(one.n_samples, times.rate_hz),
                _name(one),
                number.replace(_PRACTICE, "pr "),
            )
        )
    return tuple(found)


def question_starts(times: RunningTimes) -> dict[str, Fraction]:
    """Return where the first words of each question begin, in seconds, in order of the track."""
    found: dict[str, Fraction] = {}
    starts = accumulate((one.n_samples for one in times.places), initial=0)
    for one, start in zip(times.places, starts, strict=False):
        if one.about and one.happens not in SILENCES and times.rate_hz:
            found.setdefault(one.about, Fraction(start, times.rate_hz))
    return found


def _name(one: RunningPlace) -> str:
    """Return what a place is, in words without content."""
    about = _question(one.about)
    kind = _SILENCES.get(one.happens)
    if kind is not None:
        name = "stop" if kind == "hold" else room_name(kind)
        if kind == "between-readings" and one.reading:
            name = f"silence before the {reading_name(one.reading + 1)}"
        return f"{about}, {name}" if about else name
    if one.happens in {"question", "announcement", "passage"}:
        what = about or "listening passage"
        if about and one.happens == "passage":
            what = f"{about}, passage"
        return f"{what}, {reading_name(one.reading)}" if one.reading else what
    return _ROLES.get(one.happens, one.happens)


def _question(about: str) -> str:
    if not about:
        return ""
    if about.startswith(_PRACTICE):
        return f"practice question {about.removeprefix(_PRACTICE)}"
    return f"questions {about}" if "–" in about else f"question {about}"
