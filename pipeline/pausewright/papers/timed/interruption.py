"""What a stop at one place of a track means: what was cut, where to go on, what is owed.

It is read from the one table that was made with the track (`screen.where_table`), recorded beside
it, and which the room's screen holds too: the page finds a row and words it as it is done here
(`screen/room/incident.js`; a test compares them). Whether a room may go on so is for the awarding
body and local rules.
"""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.frozen import frozen
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pausewright.records.shapes import RunningTimes, WhereRow

EDGE_MS: Final = 100
"""So soon after words they count as cut: a player's counter is no more exact than that."""
TENTH_MS: Final = 100

Cut: TypeAlias = Literal["speech", "silence", "hold", "pause", "start", "end"]
"""What was cut: words; a silence of the candidates; a hold, where nothing runs; the author's
pause between two things; before the first words; after the last."""
_CUTS: Final[Mapping[str, Cut]] = {
    "heard": "speech",
    "given": "silence",
    "held": "hold",
    "between": "pause",
    "before": "start",
    "after": "end",
}


@frozen
class Interruption:
    """A stop at one place. Times are exact seconds from the first sample of the track."""

    at_s: Fraction
    row: WhereRow
    """The stretch of the table into which it falls."""
    length_s: Fraction
    """Of the whole track."""
    n_stops: int
    """Stops still to come, which last as long as the room needs."""

    @property
    def cut(self) -> Cut:
        """What was cut."""
        return _CUTS[self.row.happens]

    @property
    def resume_s(self) -> Fraction:
        """Where to go on: inside a silence, never later than the stop."""
        return min(self.at_s, Fraction(self.row.resume_ms, 1000))

    @property
    def back_s(self) -> Fraction:
        """Where its question, or its instructions, begin."""
        return Fraction(self.row.back_ms, 1000)

    @property
    def unheard(self) -> str:
        """What was not heard, or not given, in full; "" if nothing was cut."""
        return self.row.name if self.cut in {"speech", "silence"} else ""

    @property
    def heard_s(self) -> Fraction:
        """How much of what was cut had been heard or given."""
        ends_s, starts_s = (Fraction(ms, 1000) for ms in (self.row.end_ms, self.row.start_ms))
        return max(Fraction(0), min(self.at_s, ends_s) - starts_s)

    @property
    def whole_s(self) -> Fraction:
        """How long it is as a whole."""
        return Fraction(self.row.end_ms - self.row.start_ms, 1000)

    @property
    def owed_s(self) -> Fraction:
        """How much of a silence of the candidates is still to be given."""
        return self.whole_s - self.heard_s if self.cut == "silence" else Fraction(0)

    @property
    def again_s(self) -> Fraction:
        """How much is played a second time."""
        return self.at_s - self.resume_s

    @property
    def to_come_s(self) -> Fraction:
        """How long the track still plays from where it goes on."""
        return self.length_s - self.resume_s


def interruption(times: RunningTimes, at_s: Fraction) -> Interruption:
    """Return what a stop `at_s` seconds into a track means.

    Raises
    ------
    OutputError
        If the table of the track was not recorded, or it is over by then.
    """
    if not times.where:
        raise OutputError(
            "the build is of a version of this program that did not keep what a stop means",
            "build the script again",
        )
    length_s = Fraction(times.length_s)
    if at_s < 0 or at_s >= length_s:
        raise OutputError(
            f"{minutes_seconds(at_s)} is not on the track: it lasts {minutes_seconds(length_s)}",
            "give the place that the player's counter showed",
        )
    n_stops = sum(
        row.kind == "stop" and row.at_s is not None and Fraction(row.at_s) > at_s
        for row in times.rows
    )
    return Interruption(at_s, where_at(times.where, int(at_s * 1000)), length_s, n_stops)


def where_at(table: Sequence[WhereRow], at_ms: int) -> WhereRow:
    """Return the row of a place; that of words if they have hardly ended; the last beyond the end.

    The room's screen looks it up by the same rule (`whereAt` in incident.js).
    """
    index = max(0, bisect_right([one.start_ms for one in table], at_ms) - 1)
    row, before = table[index], table[max(0, index - 1)]
    is_early = at_ms - row.start_ms < EDGE_MS and row.happens != "heard"
    return before if is_early and before.happens == "heard" else row


def told(row: WhereRow, at_ms: int) -> str:
    """Return what a stop at a place of a row means: what was heard or given, and what is owed.

    The room's screen says the same sentence (`told` in incident.js).
    """
    whole = round_tenths(row.end_ms - row.start_ms)
    part = min(whole, max(0, at_ms - row.start_ms) // TENTH_MS)
    of, rest = f"{seconds(part)} of {seconds(whole)} s", f"{seconds(whole - part)} s"
    if row.happens == "heard":
        return f"Stopped during {row.name}: {of} heard, {rest} still to be heard."
    if row.happens == "given":
        return f"Stopped during {row.name}: {of} given, {rest} owed."
    if row.happens == "held":
        return f"Stopped at {row.name}, where the track waits. Nothing was missed."
    if row.happens == "before":
        return "Stopped before the first words. Nothing was missed."
    if row.happens == "after":
        return "Stopped after the last words. Nothing was missed."
    return f"Stopped after {row.name}. Nothing was missed."


def round_tenths(length_ms: int) -> int:
    """Return a length in tenths of a second, to the nearest, halves up."""
    return (2 * length_ms + TENTH_MS) // (2 * TENTH_MS)


def seconds(tenths: int) -> str:
    """Return tenths of a second as a number of seconds: "4.5", "15"."""
    whole, rest = divmod(tenths, 10)
    return f"{whole}.{rest}" if rest else str(whole)


def minutes_seconds(at_s: Fraction) -> str:
    """Return a place to a tenth of a second, never later than it is: "7:13.4"."""
    tenths = at_s.numerator * 10 // at_s.denominator
    minutes, rest = divmod(tenths, 600)
    return f"{minutes}:{rest // 10:02d}.{rest % 10}"


def tenths_up(length_s: Fraction) -> str:
    """Return a length in seconds to a tenth, rounded up: nobody is owed less than is due."""
    return seconds(-(-length_s.numerator * 10 // length_s.denominator))


def stops_before(times: RunningTimes, at_s: Fraction) -> Sequence[str]:
    """Return where a person ended a stop before a place: minutes and seconds on the counter."""
    return [
        minutes_seconds(Fraction(row.at_s))
        for row in times.rows
        if row.kind == "stop" and row.at_s is not None and Fraction(row.at_s) < at_s
    ]
