"""Pieces of the grammar of caption files: WebVTT as in the W3C's draft, and the common form of SRT.

For those who read such files: an author's, with line and column, and a delivered one, to be judged.
"""

from __future__ import annotations

import re
from typing import Final

STAMP: Final = r"(?:(\d{2,9}):)?([0-5]\d):([0-5]\d)\.(\d{3})"
SRT_STAMP: Final = r"(\d{2,9}):([0-5]\d):([0-5]\d),(\d{3})"
SETTINGS: Final = {
    "vertical": re.compile(r"rl|lr"),
    "line": re.compile(r"(-?\d{1,9}|\d{1,3}(\.\d{1,9})?%)(,(start|center|end))?", re.ASCII),
    "position": re.compile(r"\d{1,3}(\.\d{1,9})?%(,(line-left|center|line-right))?", re.ASCII),
    "size": re.compile(r"\d{1,3}(\.\d{1,9})?%", re.ASCII),
    "align": re.compile(r"start|center|end|left|right"),
    "region": re.compile(r"\S+"),
}
"""Settings of a cue by name, each with its values; a percentage must also be 100 at most."""
TAG: Final = re.compile(r"<(/?)([^<>]*)>")
TAG_NAMES: Final = frozenset({"c", "i", "b", "u", "v", "lang", "ruby", "rt"})
REFERENCE: Final = re.compile(r"&(#\d{1,7}|#[xX][0-9A-Fa-f]{1,6}|[A-Za-z][A-Za-z0-9]{1,31});")


def milliseconds(hours: str | None, minutes: str, seconds: str, rest_ms: str) -> int:
    """Return the time that a stamp says, by its groups."""
    return ((int(hours or 0) * 60 + int(minutes)) * 60 + int(seconds)) * 1000 + int(rest_ms)


def clock_time(time_ms: int, point: str) -> str:
    """Return a time as hours, minutes, seconds and, after `point`, milliseconds."""
    seconds, rest_ms = divmod(time_ms, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}{point}{rest_ms:03d}"
