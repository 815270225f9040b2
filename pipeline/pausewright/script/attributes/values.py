"""Values as authors write them: durations, lists of durations, counts, shares, clock values.

Every reader here takes the text of one value and returns it, or raises `ValueProblem` with a
sentence and a hint; where the value stands is known to the caller. Numbers with a unit become
exact fractions; nothing passes through a float.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final, TypeVar

Word = TypeVar("Word", bound=str)

_SECONDS: Final = {
    "ms": Fraction(1, 1000),
    "s": Fraction(1),
    "min": Fraction(60),
    "h": Fraction(3600),
}
_LONG_UNITS: Final = {
    "ms": ("millisecond", "milliseconds"),
    "s": ("sec", "secs", "second", "seconds"),
    "min": ("m", "mins", "minute", "minutes"),
    "h": ("hour", "hours"),
}
_WORD_UNITS: Final = {word: unit for unit, words in _LONG_UNITS.items() for word in words}
_DURATION: Final = re.compile(r"([-−+]?)(\d{1,12}(?:\.\d{1,12})?)\s*([A-Za-z]*)")
_CLOCK: Final = re.compile(r"(?:(\d{1,12}):)?(\d{1,2}):(\d{2}(?:\.\d{1,12})?)")
"""Hours, minutes, seconds as in SMIL's clock values; there minutes always have two figures."""
_BLANKS: Final = re.compile(r"[\s\u00a0]+")

LONGEST_S: Final = Fraction(24 * 3600)
"""No single silence or test is longer than a day."""

_PICTURES: Final = (".svg", ".png", ".jpg", ".jpeg", ".gif", ".webp", ".tif", ".tiff", ".pdf")


class ValueProblem(Exception):  # noqa: N818  it becomes a Problem with a place
    """A value cannot be read."""

    def __init__(self, message: str, hint: str = "") -> None:
        """Keep the sentence and what to type instead."""
        super().__init__(message)
        self.message = message
        self.hint = hint


def tidy_blanks(text: str) -> str:
    """Return `text` with runs of blanks, no-break spaces included, as one blank."""
    return _BLANKS.sub(" ", text).strip()


def duration_s(text: str, example: str = "6 s") -> Fraction:
    """Return a duration such as `6 s`, `1.5 min` or `500 ms` in seconds."""
    found = _DURATION.fullmatch(tidy_blanks(text))
    if not found:
        raise ValueProblem(
            f"‘{text}’ is not a length of time",
            f"write a number and a unit (ms, s, min or h), for example: {example}",
        )
    sign, digits, unit = found.groups()
    if sign:
        raise ValueProblem(
            f"‘{text}’ has a sign; a length of time has none", f"for example: {example}"
        )
    if not unit:
        raise ValueProblem(f"‘{text}’ has no unit", f"write seconds, for example: {digits} s")
    if unit not in _SECONDS:
        known = _WORD_UNITS.get(unit.lower())
        raise ValueProblem(
            f"the unit ‘{unit}’ is not known",
            f"write ms, s, min or h, for example: {digits} {known or 's'}",
        )
    value_s = Fraction(digits) * _SECONDS[unit]
    if value_s > LONGEST_S:
        raise ValueProblem(f"‘{text}’ is longer than a day", f"for example: {example}")
    return value_s


def spaced_duration(text: str) -> str:
    """Return a duration with one blank between number and unit; anything else as it stands."""
    written = tidy_blanks(text)
    found = _DURATION.fullmatch(written)
    return f"{found[2]} {found[3]}" if found and not found[1] and found[3] else written


def growing_s(text: str) -> tuple[Fraction, Fraction]:
    """Return first and last of a phrase time: `4 s to 11 s`, or one value twice."""
    parts = re.split(r"\s+to\s+", tidy_blanks(text))
    if len(parts) == 1:
        value_s = duration_s(parts[0], "4 s to 11 s")
        return value_s, value_s
    if len(parts) != 2:
        raise ValueProblem(f"‘{text}’ is not one time or two", "for example: 4 s to 11 s")
    first_s, last_s = (duration_s(part, "4 s to 11 s") for part in parts)
    return first_s, last_s


def position_s(text: str) -> Fraction:
    """Return a place in a sound file: a clock value (`1:02.5`) or a duration (`62.5 s`)."""
    found = _CLOCK.fullmatch(tidy_blanks(text))
    if not found:
        if re.fullmatch(r"\d+(\.\d+)?", text.strip()):
            raise ValueProblem(
                f"‘{text}’ has no unit", f"write {text.strip()} s, or minutes and seconds as 1:02.5"
            )
        if ":" in text:
            raise ValueProblem(
                f"‘{text}’ is not a position in a sound",
                "write hours, minutes and two figures of seconds: 1:02.5 or 1:15:00",
            )
        return duration_s(text, "1:02.5")
    hours, minutes, seconds = found.groups()
    if Fraction(seconds) >= 60 or int(minutes) >= 60:
        raise ValueProblem(f"‘{text}’ has more than 59 minutes or seconds", "for example: 1:02.5")
    return int(hours or 0) * 3600 + int(minutes) * 60 + Fraction(seconds)


MOST_PLACES: Final = 12
"""Places in a sound that one list may name."""


def positions_s(text: str) -> tuple[Fraction, ...]:
    """Return places in a sound file with commas between them: one for each reading."""
    found = tuple(position_s(one) for one in text.split(","))
    if len(found) > MOST_PLACES:
        raise ValueProblem(
            f"{len(found)} places are named, and {MOST_PLACES} are read at most",
            "name a place for each reading",
        )
    return found


def count(text: str, *, least: int = 1, most: int = 999) -> int:
    """Return a whole number within [least, most]."""
    stripped = text.strip()
    if not re.fullmatch(r"[0-9]{1,9}", stripped):
        raise ValueProblem(f"‘{text}’ is not a whole number", f"for example: {max(least, 2)}")
    value = int(stripped)
    if not least <= value <= most:
        raise ValueProblem(f"{value} is not between {least} and {most}", f"for example: {least}")
    return value


def share(text: str) -> Fraction:
    """Return a pace such as `85 %` as a fraction of 1."""
    found = re.fullmatch(r"(\d{1,12}(?:\.\d{1,12})?)\s*%", tidy_blanks(text))
    if not found:
        raise ValueProblem(f"‘{text}’ is not a share in per cent", "for example: 85 %")
    value = Fraction(found[1]) / 100
    if not Fraction(1, 2) <= value <= 2:
        raise ValueProblem(f"a pace of {text} is not between 50 % and 200 %", "for example: 85 %")
    return value


def words_a_minute(text: str, *, least: int = 60, most: int = 240) -> Fraction:
    """Return a rate such as `140 words/min`, within [least, most]."""
    found = re.fullmatch(
        r"(\d{1,12}(?:\.\d{1,12})?)\s*(?:words?\s*(?:/|a|per)\s*min(?:ute)?)", tidy_blanks(text)
    )
    example = "for example: 140 words/min" if most > 100 else "for example: 20 words/min"
    if not found:
        raise ValueProblem(f"‘{text}’ is not a rate in words a minute", example)
    value = Fraction(found[1])
    if not least <= value <= most:
        raise ValueProblem(f"{found[1]} words a minute is not between {least} and {most}", example)
    return value


def question_numbers(text: str) -> tuple[int, ...]:
    """Return the numbers meant by `1-4, 7`."""
    numbers: list[int] = []
    for part in text.split(","):
        found = re.fullmatch(r"(\d{1,4})(?:\s*[-–]\s*(\d{1,4}))?", tidy_blanks(part))
        if not found:
            raise ValueProblem(f"‘{text}’ is not a list of question numbers", "for example: 1-4, 7")
        first, last = int(found[1]), int(found[2] or found[1])
        if last < first:
            raise ValueProblem(f"{first} to {last} runs backwards", f"for example: {last}-{first}")
        numbers += range(first, last + 1)
        if len(numbers) > 999:
            raise ValueProblem("these are more than 999 questions", "for example: 1-4, 7")
    if len(set(numbers)) != len(numbers):
        raise ValueProblem(f"‘{text}’ names a question twice", "name each question once")
    return tuple(numbers)


def word_list(text: str, known: tuple[Word, ...], what: str) -> tuple[Word, ...]:
    """Return a list of known words, such as the order of readings; `what` it is, for messages."""
    words = {str(word): word for word in known}
    parts = [part.strip() for part in text.split(",")]
    if any(part not in words for part in parts):
        hint = f"write whole, {known[-1]}, whole"
        raise ValueProblem(f"‘{text}’ is not {what}", hint)
    return tuple(words[part] for part in parts)


def frequency_hz(text: str) -> Fraction:
    """Return a frequency such as `660 Hz`."""
    found = re.fullmatch(r"(\d{1,12}(?:\.\d{1,12})?)\s*(k?)Hz", tidy_blanks(text))
    if not found:
        raise ValueProblem(f"‘{text}’ is not a frequency", "for example: 660 Hz")
    value = Fraction(found[1]) * (1000 if found[2] else 1)
    if not 100 <= value <= 8000:
        raise ValueProblem(f"{text} is not between 100 Hz and 8 kHz", "for example: 660 Hz")
    return value


def width(text: str) -> str:
    """Return a width on paper such as `16 cm`, checked."""
    found = re.fullmatch(r"(\d{1,12}(?:\.\d{1,12})?)\s*(mm|cm|%)", tidy_blanks(text))
    if not found:
        raise ValueProblem(f"‘{text}’ is not a width", "for example: 16 cm")
    return f"{found[1]} {found[2]}"


def plain_duration(value_s: Fraction) -> str:
    """Return a duration as an author would write it: `6 s`, `1.5 s`, `90 s`, `2 min`."""
    if value_s >= 120 and value_s % 60 == 0:
        return f"{value_s // 60} min"
    return f"{decimal(value_s)} s"


def decimal(value: Fraction, places: int = 3) -> str:
    """Return a fraction in figures, rounded half up to `places`, without trailing zeros."""
    scaled = abs(value) * 10**places
    whole = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    digits = f"{whole // 10**places}.{whole % 10**places:0{places}d}".rstrip("0").rstrip(".")
    return ("−" if value < 0 and whole else "") + digits


def is_picture(path: str) -> bool:
    """Say whether a file name is that of a picture."""
    return path.lower().endswith(_PICTURES)


def is_language(tag: str) -> bool:
    """Say whether this looks like a BCP 47 language tag such as `en-GB` or `es`."""
    return re.fullmatch(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*", tag) is not None
