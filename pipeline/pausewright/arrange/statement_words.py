"""Stated values in other words of the same kind: "six seconds" → "seven and a half seconds".

A time comes out as long as it is or a little shorter, never longer: nobody is promised time that
is not there. The author's manner is kept: figures stay figures, seconds stay seconds while they
are few, a capital stays a capital.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from pausewright.script import numbers_in_words
from pausewright.wording import numbers
from pausewright.wording.language import language_for
from pausewright.wording.numbers import cardinal

SHORTEST_SHARE: Final = Fraction(9, 10)
"""A stated time is at least this share of the time that there is."""
FEW_SECONDS_S: Final = 100
"""Times up to this are stated in seconds where the author did so."""
_TIMES: Final = {1: "once", 2: "twice"}
_MOST_ORDINAL: Final = 9
_PARTS: Final = {
    Fraction(0): "",
    Fraction(1, 4): " and a quarter",
    Fraction(1, 2): " and a half",
    Fraction(3, 4): " and three quarters",
}
_PART_SIGNS: Final = {Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾"}
"""How a part of a second or minute is printed: it is read as a person says it."""


def is_exact(words: str, value_s: Fraction) -> bool:
    """Say whether words state a time exactly: what is rounded is shown to the author."""
    return numbers_in_words.duration_s(words) == value_s


def duration_words(
    like: str, value_s: Fraction, *, british: bool, english: bool = True
) -> str | None:
    """Return a time in the manner of `like`; None if no words come near enough to it.

    With `english` False nothing is put into words: figures with a unit's symbol stay figures.
    """
    if not english and not re.fullmatch(r"\s*[\d.,¼½¾]+\s*(?:s|min)\s*", like):
        return None
    in_seconds = not re.search(r"min|hour|\bh\b", like.lower()) and value_s < FEW_SECONDS_S
    for step in (None, Fraction(1, 2), Fraction(1, 4)):
        words = _duration(like, value_s, step, in_seconds=in_seconds, british=british)
        if _is_true(words, value_s):
            return _in_form(like, words)
    words = _counted(_figures(value_s), "seconds")
    return words if _is_true(words, value_s) else None


def _is_true(words: str, value_s: Fraction) -> bool:
    stated_s = numbers_in_words.duration_s(words)
    return stated_s is not None and SHORTEST_SHARE * value_s <= stated_s <= value_s


def _duration(
    like: str, value_s: Fraction, step: Fraction | None, *, in_seconds: bool, british: bool
) -> str:
    if re.search(r"\d", like):
        unit = "s" if re.search(r"\d\s*s\b|min\b", like) else "seconds"
        minute = "min" if unit == "s" else "minutes"
        if in_seconds or value_s < 60:
            return _counted(_figures(value_s), unit)
        whole, rest = divmod(value_s, 60)
        if rest == 0 or (value_s / 60 * 4).denominator == 1:
            return _counted(_figures(value_s / 60), minute)
        return f"{_counted(str(whole), minute)} and {_counted(str(int(rest)), unit)}"
    if in_seconds or value_s < 60:
        return _counted(_spoken(_floor_s(value_s, step), british=british), "seconds")
    whole, rest = divmod(value_s, 60)
    if rest in {15, 30} and whole > 1:
        part = _PARTS[Fraction(int(rest), 60)]
        return f"{cardinal(whole, british=british)}{part} minutes"
    minutes = _counted(cardinal(whole, british=british), "minutes")
    if int(rest) == 0:
        return minutes
    return f"{minutes} and {_counted(cardinal(int(rest), british=british), 'seconds')}"


def _floor_s(value_s: Fraction, step: Fraction | None) -> Fraction:
    """Return the time as it can be said: halves and quarters where they are exact."""
    if step is None:
        is_plain = value_s < 60 and value_s % 1 in _PARTS
        step = Fraction(1, 4) if is_plain else Fraction(1, 2) if value_s < 20 else Fraction(1)
    return value_s - value_s % step


def _spoken(value: Fraction, *, british: bool) -> str:
    whole, part = int(value), value % 1
    if whole == 0 and part == Fraction(1, 2):
        return "half a"
    if whole == 0 and part in _PARTS and part:
        return f"{_PARTS[part].removeprefix(' and ')} of a"
    return cardinal(whole, british=british) + _PARTS.get(part, "")


def _figures(value: Fraction) -> str:
    """Return a number in figures: quarters by their sign, others cut after two places."""
    whole, part = int(value), value % 1
    if part in _PART_SIGNS:
        return f"{whole or ''}{_PART_SIGNS[part]}"
    hundredths = int(value * 100)
    return f"{hundredths // 100}.{hundredths % 100:02d}".rstrip("0").rstrip(".")


def _counted(number: str, unit: str) -> str:
    one = (
        (number in {"1", "one", "½", "¼", "¾"} or number.endswith(" a"))
        and unit.endswith("s")
        and len(unit) > 1
    )
    return f"{number} {unit[:-1] if one else unit}"


def count_words(like: str, value: int, *, british: bool, english: bool = True) -> str | None:
    """Return how often, in the manner of `like`: "twice" → "three times", "two" → "three".

    With `english` False only figures have another form: nothing English is said in other languages.
    """
    plain = like.strip().lower()
    if not english:
        return str(value) if plain.isdigit() else None
    number = str(value) if re.search(r"\d", plain) else cardinal(value, british=british)
    if plain in {"once", "twice", "thrice"} or plain.endswith(("times", "time")):
        if not re.search(r"\d", plain):
            return _in_form(like, _TIMES.get(value, f"{number} times"))
        return f"{number} time{'' if value == 1 else 's'}"
    return _in_form(like, number)


def ordinal_words(like: str, value: int, *, english: bool = True) -> str | None:
    """Return an ordinal in the manner of `like`: "second" → "third", "2nd" → "3rd"."""
    if not english:
        return str(value) if like.strip().isdigit() else None
    if re.search(r"\d", like):
        ending = {1: "st", 2: "nd", 3: "rd"}.get(value if value < 10 else 0, "th")
        return f"{value}{ending}" if re.search(r"\d[a-z]", like) else str(value)
    words = language_for("en")
    if value > _MOST_ORDINAL or words is None:
        return None
    return _in_form(like, numbers.ordinal_words(value, words))


def _in_form(like: str, words: str) -> str:
    """Return words with the author's capital, and with hyphens in "a six-second pause"."""
    if re.search(r"-(second|minute)$", like.strip().lower()):
        words = re.sub(r"(second|minute)s$", r"\1", words).replace(" ", "-")
    return words[:1].upper() + words[1:] if like.lstrip()[:1].isupper() else words
