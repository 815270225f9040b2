"""Dates, ordinals and clock times of languages whose files give a template for them.

English has modules of its own. What a file does not give has no words, and is refused.
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.scan import BLANK, Reading

if TYPE_CHECKING:
    from pausewright.wording.language import Language
    from pausewright.wording.scan import Scan

_DAYS: Final = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def read(scan: Scan, at: int) -> Reading | None:
    """Read a date, a clock time, an ordinal or a fraction in another language than English."""
    if scan.language.tag == "en":
        return None
    return _date(scan, at) or _time(scan, at) or _ordinal(scan, at) or _fraction(scan, at)


def ordinal_words(number: int, language: Language, gender: str = "") -> str:
    """Return an ordinal in words, by the library; its end agrees with a feminine noun."""
    table = language.table("ordinal_words")
    words = numbers.by_library(number, table["library"], "ordinal")
    if gender == "f":
        for ending, becomes in table.get("feminine", ()):
            if words.endswith(ending):
                return words.removesuffix(ending) + str(becomes)
    return words


@cache
def _date_pattern(language: Language) -> re.Pattern[str] | None:
    dates = language.table("dates")
    if not dates:
        return None
    names = "|".join((*dates["months"], *dates.get("month_forms", ())))
    joint, year = str(dates.get("joint", " ")).lstrip(), dates.get("year_joint", " ")
    if "after_joint" in dates:
        joint = f"(?:{joint})?"
    return re.compile(
        rf"(?P<day>\d{{1,2}})(?P<mark>{dates.get('day_mark', '')}){BLANK}{joint}"
        rf"(?P<month>{names})(?!\w)(?:{year}(?P<year>[12]\d{{3}})(?!\w))?",
        re.ASCII | re.IGNORECASE,
    )


def _date(scan: Scan, at: int) -> Reading | None:
    pattern = _date_pattern(scan.language)
    found = pattern.match(scan.text, at) if pattern else None
    if found is None:
        return None
    dates, day = scan.language.table("dates"), int(found["day"])
    if not 1 <= day <= _DAYS[_month(dates["months"], found["month"])]:
        return None
    if day == 1 and dates.get("first"):
        said = str(dates["first"])
    elif dates.get("days") == "ordinal":
        said = ordinal_words(day, scan.language)
        before = scan.word_before(at)
        for article, ending in dates.get("endings", {}).items():
            if before == article:
                said += ending
    else:
        said = numbers.whole_words(day, scan.language)
    month = dates.get("after_joint", {}).get(found["month"], found["month"])
    words = f"{said} {dates.get('joint', '').strip()} {month}"
    if found["year"]:
        joint = str(dates.get("year_joint", " ")).strip()
        words += f" {joint} {year_words(found['year'], scan.language)}"
    return Reading(found.end(), " ".join(words.split()), "date")


def _month(months: list[str], written: str) -> int:
    low = written.lower()
    for index, name in enumerate(months):
        if name.lower() == low or name.lower()[1:] == low[1:] or name.lower()[1:] == low[2:]:
            return index
    return 0


def year_words(written: str, language: Language) -> str:
    """Return a year: by the library where it has a form of its own."""
    if language.table("dates").get("years") == "library":
        return numbers.by_library(int(written), language.table("numbers")["library"], "year")
    return numbers.whole_words(int(written), language)


def _time(scan: Scan, at: int) -> Reading | None:
    clock = scan.language.table("clock_words")
    if not clock:
        return None
    found = re.compile(str(clock["pattern"]), re.ASCII).match(scan.text, at)
    if found is None:
        return None
    groups = found.groupdict()
    hour, minute = int(groups["hour"]), int(groups["minute"] or groups.get("minute2") or 0)
    if hour > 24:
        return None
    said = numbers.whole_words(hour, scan.language, str(clock.get("gender", "")))
    name = clock["one" if hour in {0, 1} else "many"]
    words = str(clock["whole" if minute == 0 else "full"]).format(
        hour=said, name=name, minute=numbers.whole_words(minute, scan.language)
    )
    return Reading(found.end(), " ".join(words.split()), "time")


def _ordinal(scan: Scan, at: int) -> Reading | None:
    table = scan.language.table("ordinal_words")
    if not table or not table["marks"]:
        return None
    marks = table["marks"]
    names = "|".join(re.escape(mark) for mark in sorted(marks, key=len, reverse=True))
    found = re.compile(rf"(\d{{1,3}})({names})(?!\w)").match(scan.text, at)
    if found is None or not int(found[1]):
        return None
    return Reading(
        found.end(), ordinal_words(int(found[1]), scan.language, marks[found[2]]), "ordinal"
    )


def _fraction(scan: Scan, at: int) -> Reading | None:
    """Read the commonest fractions, which stand in the file."""
    table = scan.language.table("fractions")
    if not table:
        return None
    found = re.compile(r"(\d{1,2})/(\d{1,3})(?![\w/.,]*\d)|[½¼¾⅓⅔]").match(scan.text, at)
    words = table.get(found[0]) if found else None
    return None if found is None or not words else Reading(found.end(), str(words), "fraction")
