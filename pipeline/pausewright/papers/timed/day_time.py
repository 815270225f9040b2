"""Times of day: when the track starts, and so when everything else on it is."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from pausewright.frozen import frozen
from pausewright.problems import OutputError

_DAY_S: Final = 24 * 60 * 60
_HINT: Final = "for example: --start 09:30"
_PLACE: Final = re.compile(
    r"(?:(?P<hours>\d{1,2}):)?(?P<minutes>\d{1,3}):(?P<seconds>[0-5]\d(?:\.\d{1,3})?)", re.ASCII
)


@frozen
class DayTime:
    """A time of day."""

    since_midnight_s: int

    def after(self, at_s: Fraction) -> str:
        """Return the time of day so much later: whole seconds gone by, as a counter shows them."""
        seconds = (self.since_midnight_s + int(at_s)) % _DAY_S
        hours, rest = divmod(seconds, 60 * 60)
        return f"{hours:02d}:{rest // 60:02d}:{rest % 60:02d}"

    def later(self, length_s: Fraction) -> DayTime:
        """Return the time of day so much later, in whole seconds gone by."""
        return DayTime((self.since_midnight_s + int(length_s)) % _DAY_S)

    def minute_after(self, at_s: Fraction) -> str:
        """Return the same to the minute, rounded up: when something is over at the earliest."""
        minutes = -((-self.since_midnight_s - at_s) // 60) % (_DAY_S // 60)
        return f"{minutes // 60:02d}:{minutes % 60:02d}"

    def __str__(self) -> str:
        """Return it to the minute."""
        return self.minute_after(Fraction(0))


def read_day_time(written: str) -> DayTime:
    """Return the time of day that "09:30" means.

    Raises
    ------
    OutputError
        If it is none.
    """
    hours, colon, minutes = written.partition(":")
    is_time = colon and hours.isdecimal() and minutes.isdecimal() and len(minutes) == 2
    if not is_time or int(hours) > 23 or int(minutes) > 59:
        raise OutputError(f"‘{written}’ is no time of day", _HINT)
    return DayTime((int(hours) * 60 + int(minutes)) * 60)


def read_clock(written: str) -> DayTime:
    """Return the time of day that "09:30:15" means; without seconds, the full minute.

    Raises
    ------
    OutputError
        If it is none.
    """
    minute, colon, seconds = written.rpartition(":")
    if minute.count(":") != 1:
        return read_day_time(written)
    is_time = bool(colon) and seconds.isdecimal() and len(seconds) == 2 and int(seconds) < 60
    if not is_time:
        raise OutputError(f"‘{written}’ is no time of day", "for example: --clock 09:30:15")
    return DayTime(read_day_time(minute).since_midnight_s + int(seconds))


def read_place(written: str) -> Fraction:
    """Return how far into a track "7:13", "1:02:03" or "7:13.5" is, in seconds.

    Raises
    ------
    OutputError
        If it is no place of a counter.
    """
    found = _PLACE.fullmatch(written)
    if found is None:
        raise OutputError(
            f"‘{written}’ is no place on a counter", "minutes and seconds, for example: 07:13"
        )
    hours, minutes, seconds = found["hours"] or "0", found["minutes"], found["seconds"]
    return (int(hours) * 60 + int(minutes)) * 60 + Fraction(seconds)
