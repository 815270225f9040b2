"""Times of day on papers: counted from the start of the track, as a counter shows seconds."""

from __future__ import annotations

from fractions import Fraction

import pytest
from pausewright.papers.timed.day_time import read_day_time
from pausewright.problems import OutputError

# worked by hand: 09:15 is 33,300 s after midnight
ROWS = (
    ("09:15", "0", "09:15:00", "09:15"),
    ("09:15", "59.999", "09:15:59", "09:16"),
    ("9:15", "754.2", "09:27:34", "09:28"),
    ("23:59", "60", "00:00:00", "00:00"),
    ("23:59", "61", "00:00:01", "00:01"),
)


@pytest.mark.parametrize(("start", "at_s", "clock", "minute"), ROWS)
def test_a_time_of_day_so_much_later(start: str, at_s: str, clock: str, minute: str) -> None:
    """Seconds are those gone by; minutes are rounded up, since nobody is free before."""
    day = read_day_time(start)

    assert (day.after(Fraction(at_s)), day.minute_after(Fraction(at_s))) == (clock, minute)


@pytest.mark.parametrize("start", ["", "9", "24:00", "09:60", "09:7", "x:30", "-1:00", "9.30"])
def test_what_is_no_time_of_day(start: str) -> None:
    """It is refused with an example."""
    with pytest.raises(OutputError, match="no time of day"):
        read_day_time(start)
