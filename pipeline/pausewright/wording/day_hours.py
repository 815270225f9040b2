"""Times of the 24-hour clock without a point: `0930`, `1845`, `0900–1030`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.patterns import Late
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_HOUR: Final = r"([01]\d|2[0-3])([0-5]\d)"
_CLOCK: Final = Late(rf"{_HOUR}(?![\w:/.,–-]*\d)(?!\w)", re.ASCII)
_SPAN: Final = Late(rf"{_HOUR}(?:[–-]|[ ]–[ ]){_HOUR}(?![\w:/–-]*\d)(?!\w)", re.ASCII)


def time(scan: Scan, at: int) -> Reading | None:
    """Read a time that the words beside it make one."""
    found = _CLOCK.match(scan.text, at)
    told = scan.decide("hhmm", at, found.end()) if found else None
    if found is None or told is None:
        return None
    return Reading(
        found.end(), _words(scan, found[1], found[2]), "time", because=told.told(found[0])
    )


def span(scan: Scan, at: int) -> Reading | None:
    """Read from one time to a later one."""
    found = _SPAN.match(scan.text, at)
    if found is None or scan.language.tag != "en" or _falls(found):
        return None
    told = scan.decide("hhmm_span", at, found.end())
    if told is None:
        return None
    first, last = _words(scan, found[1], found[2]), _words(scan, found[3], found[4])
    words = f"{first} {scan.language.word('to')} {last}"
    return Reading(found.end(), words, "time", because=told.told(found[0]))


def _falls(found: re.Match[str]) -> bool:
    """Say whether the second time is the earlier one of its day, and no early morning."""
    return found[3][0] != "0" and found[1] + found[2] >= found[3] + found[4]


def _words(scan: Scan, hour: str, minute: str) -> str:
    zero = "zero" if scan.zero == "zero" else "oh"
    head = numbers.whole_words(int(hour), scan.language)
    if hour[0] == "0":
        head = f"{zero} {head}" if int(hour) else f"{zero} {zero}"
    if minute == "00":
        return f"{head} {scan.language.word('hundred_hours')}"
    if minute[0] == "0":
        return f"{head} {zero} {numbers.whole_words(int(minute), scan.language)}"
    return f"{head} {numbers.whole_words(int(minute), scan.language)}"
