"""A cause in one sentence: what is wrong, how much it moved, and how much follows from it."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

from pausewright.checker.result.naming import seconds

if TYPE_CHECKING:
    from pausewright.checker.result.causes import Cause

_NAMES: Final = (
    ("chapter", "marker", "markers"),
    ("caption", "caption", "captions"),
    ("countdown", "time of a countdown", "times of a countdown"),
    ("transcript", "time on paper", "times on paper"),
    ("silence", "silence", "silences"),
    ("", "other finding", "other findings"),
)


def told(cause: Cause) -> str:
    """Return a cause in one sentence, without a full stop.

    "question 8 is not on the track; everything after it is 24.600 s early; 14 markers follow from
    it".
    """
    parts = [cause.head.sentence]
    if cause.shift_s:
        how = "early" if cause.shift_s > 0 else "late"
        parts.append(f"everything after it is {seconds(abs(cause.shift_s))} s {how}")
    follows = followers(cause)
    if follows:
        parts.append(f"{follows} follow{'' if len(cause.follows) > 1 else 's'} from it")
    return "; ".join(parts)


def followers(cause: Cause) -> str:
    """Return what follows from a cause, counted: "14 markers and 2 captions"; "" for nothing."""
    counts = Counter(
        next(row for row in _NAMES if finding.code.startswith(row[0])) for finding in cause.follows
    )
    named = [
        f"{counts[row]} {row[1] if counts[row] == 1 else row[2]}" for row in _NAMES if counts[row]
    ]
    return " and ".join((", ".join(named[:-1]), named[-1])) if len(named) > 1 else "".join(named)
