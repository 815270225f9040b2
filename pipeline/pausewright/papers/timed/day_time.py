"""Times of day: when the track starts, and so when everything else on it is."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from pausewright.problems import OutputError

_DAY_S: Final = 24 * 60 * 60
_HINT: Final = "for example: --start 09:30"


@dataclass(frozen=True, slots=True)
class DayTime:
    """A time of day."""

    since_midnight_s: int

    def after(self, at_s: Fraction) -> str:
        """Return the time of day so much later: whole seconds gone by, as a counter shows them."""
        seconds = (self.since_midnight_s + int(at_s)) % _DAY_S
        hours, rest = divmod(seconds, 60 * 60)
        return f"{hours:02d}:{rest // 60:02d}:{rest % 60:02d}"

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
