"""What an instruction states in words: "twice", "the second", "six seconds", "twenty-four".

English in words (numbers to 999), any language in figures. Used to compare instructions with
what is in force. The way back, from numbers to words, is `wording.numbers`; the tests compare
the two for every number to 999.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

_TIMES: Final = {"once": 1, "twice": 2, "thrice": 3}
_UNITS: Final = {"second": 1, "minute": 60, "hour": 3600, "s": 1, "min": 60, "h": 3600}
_HALVES: Final = {
    " and a half": Fraction(1, 2),
    " and a quarter": Fraction(1, 4),
    " and three quarters": Fraction(3, 4),
}
_SIGNS: Final = {"¼": Fraction(1, 4), "½": Fraction(1, 2), "¾": Fraction(3, 4)}
_DURATION: Final = re.compile(
    r"\b(?:(?P<number>[a-z0-9.¼½¾ -]+?)\s+)?(?P<unit>seconds?|minutes?|hours?|min|s)\b"
)
_COUNTED: Final = re.compile(
    r"\b(twice|thrice|(?:two|three|four|five|six|seven|eight|nine|\d)\s+times)\b", re.IGNORECASE
)
_TIMED: Final = re.compile(
    r"\b((?:[a-z]+-)?[a-z]+|\d+(?:\.\d+)?)\s+(?:seconds?|minutes?)\b", re.IGNORECASE
)
_NAMES: Final = """
zero one two three four five six seven eight nine ten
eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen
twenty thirty forty fifty sixty seventy eighty ninety
"""
SMALL: Final = tuple(_NAMES.split()[:20])
"""English names of 0 to 19."""
TENS: Final = tuple(_NAMES.split()[20:])
"""English names of 20, 30 … 90."""
_ODD_ORDINALS: Final = """
first=one second=two third=three fifth=five eighth=eight ninth=nine twelfth=twelve
"""
_ORDINALS: Final = dict(pair.split("=") for pair in _ODD_ORDINALS.split())


def _whole(plain: str) -> int | None:
    """Return the number to 999 that plain words name ("two hundred and five"), or None."""
    if plain in {"a", "an"}:
        return 1
    head, hundred, tail = plain.partition(" hundred")
    if hundred:
        hundreds = _whole(head)
        rest = tail.removeprefix(" and").strip()
        small = _whole(rest) if rest else 0
        if hundreds is None or small is None or hundreds > 9 or small > 99:
            return None
        return hundreds * 100 + small
    if plain in SMALL:
        return SMALL.index(plain)
    ten, _, unit = plain.partition(" ")
    if ten not in TENS or (unit and unit not in SMALL[1:10]):
        return None
    return (TENS.index(ten) + 2) * 10 + (SMALL.index(unit) if unit else 0)


def _ordinal(plain: str) -> int | None:
    """Return the number that a plain ordinal names, or None."""
    head, _, last = plain.rpartition(" ")
    if last in _ORDINALS:
        last = _ORDINALS[last]
    elif last.endswith("ieth"):
        last = last.removesuffix("ieth") + "y"
    elif last.endswith("th"):
        last = last.removesuffix("th")
    else:
        return None
    return _whole(f"{head} {last}".strip())


def _plain(words: str) -> str:
    return re.sub(r"[\s-]+", " ", words.lower()).strip()


def number(words: str) -> Fraction | None:
    """Return the number that `words` state, or None."""
    plain = _plain(words.replace("−", "-"))
    if re.fullmatch(r"\d{1,18}(\.\d{1,18})?", plain):
        return Fraction(plain)
    signed = re.fullmatch(r"(\d{0,18}) ?([¼½¾])", plain)
    if signed:
        return Fraction(signed[1] or 0) + _SIGNS[signed[2]]
    for half, extra in _HALVES.items():
        if plain.endswith(half):
            whole = _whole(plain.removesuffix(half))
            return None if whole is None else whole + extra
    if plain in {"half a", "half an"}:
        return Fraction(1, 2)
    if plain in {"a quarter of a", "three quarters of a"}:
        return Fraction(1 if plain.startswith("a") else 3, 4)
    found = _whole(plain)
    return None if found is None else Fraction(found)


def duration_s(words: str) -> Fraction | None:
    """Return the time that `words` state in seconds, or None."""
    plain = _plain(words)
    total: Fraction | None = None
    for piece in re.split(r",? and (?!a half|a quarter|three quarters)|, ", plain):
        found = _DURATION.fullmatch(piece.strip())
        if found is None:
            continued = re.fullmatch(
                r"(.+) (seconds?|minutes?|hours?) (and (?:a half|a quarter|three quarters))", piece
            )
            if continued is None:
                return None
            value = number(f"{continued[1]} {continued[3]}")
            unit = continued[2]
        else:
            value = number(found["number"] or "a")
            unit = found["unit"]
        if value is None:
            return None
        key = unit if unit in _UNITS else unit.removesuffix("s")
        total = (total or Fraction(0)) + value * _UNITS[key]
    return total


def times(words: str) -> int | None:
    """Return how often, from "twice", "three times", "three" or "3"."""
    plain = _plain(words)
    if plain in _TIMES:
        return _TIMES[plain]
    value = number(plain.removesuffix(" times").removesuffix(" time"))
    return int(value) if value is not None and value.denominator == 1 else None


def ordinal(words: str) -> int | None:
    """Return the number of an ordinal such as "second", "2nd" or "last"; None if it is none."""
    plain = _plain(words)
    figures = re.fullmatch(r"(\d{1,18})(st|nd|rd|th)?", plain)
    return int(figures[1]) if figures else _ordinal(plain)


def durations_in(text: str) -> list[tuple[int, int]]:
    """Return where plain text names a time in seconds or minutes: offsets, half-open."""
    return [(m.start(), m.end()) for m in _TIMED.finditer(text) if number(m[1]) is not None]


def counts_in(text: str) -> list[tuple[int, int]]:
    """Return where plain text names a number of readings: offsets, half-open."""
    return [(m.start(), m.end()) for m in _COUNTED.finditer(text)]
