"""What a stop at one place of a track means: what was cut, where to go on, what is owed.

It is worked out from the places that were recorded with the delivered track, in whole samples.
Speech that was cut is heard again from the silence before it; a silence of the candidates goes on
where it stopped. Whether a room may do so is for the awarding body and local rules.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.problems import OutputError
from pausewright.script.silences import AUTHORS, CANDIDATES, SILENCES, room_name

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.records.shapes import RunningPlace, RunningTimes
    from pausewright.script.silences import SilenceKind

BEFORE_S: Final = Fraction(3, 10)
"""So much silence is left before words that are heard again, if there is so much."""
LEAST_S: Final = Fraction(1, 5)
"""Shorter silences are no place to go on from: hands and players are not that exact."""
EDGE_S: Final = Fraction(1, 10)
"""So soon after words they count as cut: a player's counter is no more exact than that."""
_READ: Final = frozenset({"announcement", "question", "passage"})
"""All belong to the reading of a question."""

Cut: TypeAlias = Literal["speech", "silence", "hold", "pause", "start", "end"]
"""What was cut: words; a silence of the candidates; a hold, where nothing runs; the author's
pause between two things; before the first words; after the last."""


@dataclass(frozen=True, slots=True)
class Interruption:
    """A stop at one place. Times are exact seconds from the first sample of the track."""

    at_s: Fraction
    cut: Cut
    part: str
    """Its title; "" without one."""
    about: str
    """The question, as candidates know it: "7b"; "" for none."""
    reading: int
    """Which reading of it, from 1; 0 for none."""
    what: str
    """In words for staff: "question 7, second reading"; "question 7, answer time"."""
    resume_s: Fraction
    """Where to go on: inside a silence."""
    unheard: str
    """What was not heard in full; "" if nothing was cut."""
    heard_s: Fraction
    """How much of what was cut had been heard or given."""
    whole_s: Fraction
    """How long it is as a whole."""
    length_s: Fraction
    """Of the whole track."""
    n_stops: int
    """Stops still to come, which last as long as the room needs."""

    @property
    def owed_s(self) -> Fraction:
        """How much of a silence of the candidates is still to be given."""
        return self.whole_s - self.heard_s if self.cut == "silence" else Fraction(0)

    @property
    def again_s(self) -> Fraction:
        """How much is played a second time."""
        return max(Fraction(0), self.at_s - self.resume_s)

    @property
    def to_come_s(self) -> Fraction:
        """How long the track still plays from where it goes on."""
        return self.length_s - self.resume_s


def interruption(times: RunningTimes, at_s: Fraction) -> Interruption:
    """Return what a stop `at_s` seconds into a track means.

    Raises
    ------
    OutputError
        If the places of the track were not recorded, or it is over by then.
    """
    if not times.places or not times.rate_hz:
        raise OutputError(
            "the build is of a version of this program that did not keep where everything is",
            "build the script again",
        )
    length_s = Fraction(times.length_s)
    if at_s < 0 or at_s >= length_s:
        raise OutputError(
            f"{minutes_seconds(at_s)} is not on the track: it lasts {minutes_seconds(length_s)}",
            "give the place that the player's counter showed",
        )
    return _Track(times).stopped(at_s)


class _Track:
    def __init__(self, times: RunningTimes) -> None:
        self._times = times
        self._places = times.places
        self._starts = [0, *accumulate(one.n_samples for one in times.places)]
        self._rests = {
            Fraction(row.at_s) for row in times.rows if row.kind == "rest" and row.at_s is not None
        }
        """Where rests begin that the track counts to their end by itself."""

    def stopped(self, at_s: Fraction) -> Interruption:
        index = bisect_right(self._starts, int(at_s * self._times.rate_hz)) - 1
        index = min(index, len(self._places) - 1)
        index = self._cut_before(index, at_s)
        one = self._places[index]
        cut = self._cut(index)
        first = last = index
        resume_s = self._here(index, at_s)
        if cut == "speech":
            first, last = self._run(index)
            resume_s = self._before(first)
        elif cut == "start":
            resume_s = Fraction(0)
        start_s, end_s = self._second(first), self._second(last + 1)
        what = name_of(self._said(index) if one.happens in AUTHORS else one)
        if one.happens == "hold" and cut == "silence":
            what = "timed rest"
        return Interruption(
            at_s,
            cut,
            self._part(at_s),
            one.about,
            one.reading,
            what,
            resume_s,
            what if cut in {"speech", "silence"} else "",
            min(at_s, end_s) - start_s,
            end_s - start_s,
            Fraction(self._times.length_s),
            sum(
                row.kind == "stop" and row.at_s is not None and Fraction(row.at_s) > at_s
                for row in self._times.rows
            ),
        )

    def _second(self, index: int) -> Fraction:
        return Fraction(self._starts[index], self._times.rate_hz)

    def _cut_before(self, index: int, at_s: Fraction) -> int:
        """Return the words before a silence that has hardly begun, else the same place."""
        is_early = at_s - self._second(index) < EDGE_S
        if is_early and self._is_silence(index) and index and not self._is_silence(index - 1):
            return index - 1
        return index

    def _cut(self, index: int) -> Cut:
        one = self._places[index]
        if one.happens in CANDIDATES:
            return "silence"
        if one.happens == "hold":
            return "silence" if self._second(index) in self._rests else "hold"
        if one.happens in AUTHORS:
            if all(map(self._is_silence, range(index))):
                return "start"
            if all(map(self._is_silence, range(index, len(self._places)))):
                return "end"
            before, after = self._said(index), self._next(index)
            return "speech" if after is not None and _key(before) == _key(after) else "pause"
        return "speech"

    def _is_silence(self, index: int) -> bool:
        return self._places[index].happens in SILENCES

    def _said(self, index: int) -> RunningPlace:
        """Return what was said last before a place; before the first words, those."""
        found = (i for i in range(index, -1, -1) if not self._is_silence(i))
        ahead = (i for i in range(index, len(self._places)) if not self._is_silence(i))
        return self._places[next(found, next(ahead, index))]

    def _next(self, index: int) -> RunningPlace | None:
        """Return the words after the author's pause at a place; None if anything else comes."""
        for one in self._places[index + 1 :]:
            if one.happens not in AUTHORS:
                return None if one.happens in SILENCES else one
        return None

    def _run(self, index: int) -> tuple[int, int]:
        """Return first and last of the words heard as one: a reading, or a phrase of it."""
        key = _key(self._said(index))
        first = last = None
        for at in range(index, -1, -1):
            if self._ends_run(at, key):
                break
            first = at if not self._is_silence(at) else first
        for at in range(index, len(self._places)):
            if self._ends_run(at, key):
                break
            last = at if not self._is_silence(at) else last
        return (index if first is None else first), (index if last is None else last)

    def _ends_run(self, at: int, key: object) -> bool:
        one = self._places[at]
        if one.happens in AUTHORS or one.happens == "look-time":
            return False
        return one.happens in SILENCES or _key(one) != key

    def _before(self, first: int) -> Fraction:
        """Return a place in the silence before words, or further back if that is too short."""
        for at in range(first - 1, -1, -1):
            if self._is_silence(at) and self._second(at + 1) - self._second(at) >= LEAST_S:
                start_s, end_s = self._second(at), self._second(at + 1)
                return max((start_s + end_s) / 2, end_s - BEFORE_S)
        return Fraction(0)

    def _here(self, index: int, at_s: Fraction) -> Fraction:
        """Return a stop's own place, drawn back a little if words follow at once."""
        start_s, end_s = self._second(index), self._second(index + 1)
        follows = index + 1 < len(self._places) and not self._is_silence(index + 1)
        if not follows:
            return at_s
        return min(at_s, max((start_s + end_s) / 2, end_s - BEFORE_S / 3))

    def _part(self, at_s: Fraction) -> str:
        title = ""
        for row in self._times.rows:
            if row.kind == "part" and row.at_s is not None and Fraction(row.at_s) <= at_s:
                title = row.what
        return title


def _key(one: RunningPlace) -> tuple[str, str, int]:
    return "question" if one.happens in _READ else one.happens, one.about, one.reading


_ORDINALS: Final = ("", "first", "second", "third", "fourth", "fifth", "sixth")


def reading_words(reading: int) -> str:
    """Return "second reading" for 2."""
    return f"{_ORDINALS[reading]} reading" if reading < len(_ORDINALS) else f"reading {reading}"


def name_of(one: RunningPlace) -> str:
    """Return what a place is, in words without content."""
    about = _question(one.about)
    if one.happens in SILENCES:
        name = room_name(_KINDS[one.happens])
        if one.happens == "hold":
            name = "stop"
        elif one.happens == "between-readings" and one.reading:
            name = f"silence before the {reading_words(one.reading + 1)}"
        return f"{about}, {name}" if about else name
    if one.happens in {"question", "announcement", "passage"}:
        read = reading_words(one.reading) if one.reading else ""
        what = about or "listening passage"
        if about and one.happens == "passage":
            what = f"{about}, passage"
        return f"{what}, {read}" if read else what
    return _ROLES.get(one.happens, one.happens)


_KINDS: Final[dict[str, SilenceKind]] = {kind: kind for kind in SILENCES}
_ROLES: Final = {
    "instruction": "instructions",
    "cue": "words of a stop or page turn",
    "continues": "“the recording continues”",
}


def _question(about: str) -> str:
    if not about:
        return ""
    if about.startswith("Practice "):
        return f"practice question {about.removeprefix('Practice ')}"
    return f"questions {about}" if "–" in about else f"question {about}"


def minutes_seconds(at_s: Fraction) -> str:
    """Return a place to a tenth of a second, never later than it is: "7:13.4"."""
    tenths = at_s.numerator * 10 // at_s.denominator
    minutes, rest = divmod(tenths, 600)
    return f"{minutes}:{rest // 10:02d}.{rest % 10}"


def tenths_up(length_s: Fraction) -> str:
    """Return a length in seconds to a tenth, rounded up: nobody is owed less than is due."""
    tenths = -(-length_s.numerator * 10 // length_s.denominator)
    return f"{tenths // 10}.{tenths % 10}" if tenths % 10 else str(tenths // 10)


def stops_before(times: RunningTimes, at_s: Fraction) -> Sequence[str]:
    """Return where a person ended a stop before a place: minutes and seconds on the counter."""
    return [
        minutes_seconds(Fraction(row.at_s))
        for row in times.rows
        if row.kind == "stop" and row.at_s is not None and Fraction(row.at_s) < at_s
    ]
