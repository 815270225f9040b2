"""Dates and years: `5 March`, `March 5, 1905`, `5/3/2026`, `2026-03-05`, `the 1990s`, `AD 79`."""

from __future__ import annotations

import calendar
import re
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.letters import named
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.language import Language
    from pausewright.wording.scan import Scan

_SLASHED: Final = re.compile(
    r"(?P<first>\d{1,2})(?P<mark>[/.-])(?P<second>\d{1,2})(?P=mark)(?P<year>\d{4}|\d\d)(?![\w/])(?!\.\d)",
    re.ASCII,
)
_ISO: Final = re.compile(r"([12]\d{3})-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])(?![\w-])", re.ASCII)
_DECADE: Final = re.compile(r"(?:(?P<century>1[1-9]|20)|['’])?(?P<ten>\d0)s(?!\w)", re.ASCII)
_ERA_AFTER: Final = re.compile(r"(\d{1,4}) ?(BCE|BC|CE|AD)(?!\w)", re.ASCII)
_SPAN: Final = re.compile(r"([12]\d{3})[–-]([12]\d{3}|\d\d)(?![\w.–-])(?!\.\d)", re.ASCII)
YEAR: Final = re.compile(r"(?:1[1-9]|20)\d\d", re.ASCII)
_TENS: Final = {
    "10": "tens",
    "20": "twenties",
    "30": "thirties",
    "40": "forties",
    "50": "fifties",
    "60": "sixties",
    "70": "seventies",
    "80": "eighties",
    "90": "nineties",
}
_DECADES: Final = frozenset({"the", "early", "late", "mid", "his", "her", "their", "my"})
_DAYS: Final = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@cache
def _patterns(language: Language) -> tuple[re.Pattern[str], re.Pattern[str]]:
    table = language.table("calendar")
    months = "|".join([*table["months"], *table["short_months"], "Sept"])
    year = r"(?P<year>[12]\d{3})(?![\w,./–-]*\d)"
    day = r"(?P<day>\d{1,2})(?P<suffix>st|nd|rd|th)?"
    day_first = (
        rf"{day}[ \u00a0](?:(?P<of>of)[ \u00a0])?(?P<month>{months})(?!\w)\.?(?:,?[ \u00a0]{year})?"
    )
    month_first = (
        rf"(?P<month>{months})\b\.?[ \u00a0](?:{day}(?![\w/:%°])(?!\.\d)(?!,\d)"
        rf"(?:,?[ \u00a0]{year})?|{year.replace('year', 'only')})"
    )
    return re.compile(day_first, re.ASCII), re.compile(month_first, re.ASCII)


def year_words(written: str, language: Language) -> str:
    """Return a year in words."""
    if len(written) < 3 or language.tag != "en":
        return numbers.whole_words(int(written), language)
    return numbers.year(written, british=bool(language.table("numbers")["and"]))


def read(scan: Scan, at: int) -> Reading | None:
    """Read a date, a decade, a stretch of years or a year with its era."""
    if not scan.language.has("calendar"):
        return None
    return (
        _day_first(scan, at)
        or _slashed(scan, at)
        or _iso(scan, at)
        or _decade(scan, at)
        or _era(scan, at)
        or _span(scan, at)
    )


def read_month(scan: Scan, at: int) -> Reading | None:
    """Read a date that begins with the name of its month, or the month short of its name."""
    if not scan.language.has("calendar"):
        return None
    found = _patterns(scan.language)[1].match(scan.text, at)
    if found is None:
        return None
    month = _month(scan, found["month"])
    if found["only"]:
        words = f"{scan.language.table('calendar')['months'][month - 1]} "
        return Reading(found.end(), words + year_words(found["only"], scan.language), "date")
    day = int(found["day"])
    if not 1 <= day <= _DAYS[month - 1]:
        return None
    style = scan.styles.get("dates")
    if not style:
        style = "march-the-fifth" if scan.language.day_first else "march-fifth"
    return Reading(found.end(), date_words(scan, day, month, found["year"] or "", style), "date")


def _month(scan: Scan, name: str) -> int:
    table = scan.language.table("calendar")
    return 1 + next(i for i, short in enumerate(table["short_months"]) if name.startswith(short))


def date_words(
    scan: Scan, day: int, month: int, year: str, style: str = "", *, article: bool = True
) -> str:
    """Return a date in words; `article` False leaves out a "the" that is written already."""
    language = scan.language
    name = language.table("calendar")["months"][month - 1]
    ordinal = numbers.ordinal_words(day, language)
    style = style or scan.style("dates")
    if style == "the-fifth-of-march":
        the = f"{language.word('the')} " if article else ""
        words = f"{the}{ordinal} {language.word('of')} {name}"
    elif style == "march-the-fifth":
        words = f"{name} {language.word('the')} {ordinal}"
    else:
        words = f"{name} {ordinal}"
    return f"{words} {year_words(year, language)}" if year else words


def _day_first(scan: Scan, at: int) -> Reading | None:
    found = _patterns(scan.language)[0].match(scan.text, at)
    if found is None:
        return None
    day, month = int(found["day"]), _month(scan, found["month"])
    if not 1 <= day <= _DAYS[month - 1]:
        return None
    has_article = scan.word_before(at) == "the"
    style = "the-fifth-of-march" if has_article or found["of"] else ""
    article = not has_article and not found["of"]
    words = date_words(scan, day, month, found["year"] or "", style, article=article)
    return Reading(found.end(), words, "date")


def _slashed(scan: Scan, at: int) -> Reading | None:
    found = _SLASHED.match(scan.text, at)
    if found is None or (found["mark"] != "/" and len(found["year"]) != 4):
        return None
    first, second, year = int(found["first"]), int(found["second"]), found["year"]
    readings = [
        (day, month)
        for day, month in ((first, second), (second, first))
        if 1 <= month <= 12 and 1 <= day <= _DAYS[month - 1]
    ]
    if not readings:
        return None
    if not scan.language.day_first and len(readings) == 2:
        readings.reverse()
    if len(year) == 2:
        year = ("20" if int(year) < 50 else "19") + year
    words = [date_words(scan, day, month, year) for day, month in dict.fromkeys(readings)]
    doubts = (
        (scan.doubt(at, found.end(), ("date", words[0]), ("", words[1])),) if len(words) > 1 else ()
    )
    return Reading(found.end(), words[0], "date", doubts)


def _iso(scan: Scan, at: int) -> Reading | None:
    found = _ISO.match(scan.text, at)
    if found is None:
        return None
    year, month, day = (int(part) for part in found.groups())
    if day > calendar.monthrange(year, month)[1]:
        return None
    return Reading(found.end(), date_words(scan, day, month, found[1]), "date")


def _decade(scan: Scan, at: int) -> Reading | None:
    """Read "the 1990s" and "the 60s"."""
    found = _DECADE.match(scan.text, at)
    if found is None:
        return None
    century, ten = found["century"] or "", found["ten"]
    if not century and found[0][0].isdigit() and scan.word_before(at) not in _DECADES:
        return None  # "20s" is twenty seconds
    if ten == "00":
        if not century:
            return None
        head = numbers.whole_words(int(century), scan.language)
        return Reading(
            found.end(), "two thousands" if century == "20" else f"{head} hundreds", "date"
        )
    head = numbers.whole_words(int(century), scan.language) + " " if century else ""
    return Reading(found.end(), head + _TENS[ten], "date")


def _era(scan: Scan, at: int) -> Reading | None:
    found = _ERA_AFTER.match(scan.text, at)
    if found is None:
        return None
    era = named(" ".join(found[2]))
    return Reading(found.end(), f"{year_words(found[1], scan.language)} {era}", "date")


def read_era(scan: Scan, at: int) -> Reading | None:
    """Read "AD 79"."""
    found = re.compile(r"AD[ \u00a0](\d{1,4})(?![\w,]\d)", re.ASCII).match(scan.text, at)
    if found is None or not scan.language.has("calendar"):
        return None
    return Reading(found.end(), named(f"A D {year_words(found[1], scan.language)}"), "date")


def _span(scan: Scan, at: int) -> Reading | None:
    """Read "1914–18": years, though it might be a stretch of numbers."""
    found = _SPAN.match(scan.text, at)
    if found is None or not YEAR.fullmatch(found[1]):
        return None
    language = scan.language
    full = len(found[2]) == 4
    if int(found[2] if full else found[1][:2] + found[2]) <= int(found[1]):
        return None
    to = language.word("to")
    second = (
        year_words(found[2], language) if full else numbers.whole_words(int(found[2]), language)
    )
    words = f"{year_words(found[1], language)} {to} {second}"
    first_number = numbers.whole_words(int(found[1]), language)
    plain = f"{first_number} {to} {numbers.whole_words(int(found[2]), language)}"
    doubt = scan.doubt(at, found.end(), ("", words), ("", plain))
    return Reading(found.end(), words, "date", (doubt,))


def short_date(scan: Scan, text: str) -> str | None:
    """Return the words of a day and month in figures: `1/2`; None if it is no date."""
    found = re.fullmatch(r"(\d{1,2})[/.](\d{1,2})", text)
    if found is None:
        return None
    pair = [int(found[1]), int(found[2])]
    if not scan.language.day_first:
        pair.reverse()
    day, month = pair
    if not (1 <= month <= 12 and 1 <= day <= _DAYS[month - 1]):
        return None
    return date_words(scan, day, month, "")
