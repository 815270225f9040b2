"""Dates and years: `5 March`, `March 5, 1905`, `5/3/2026`, `2026-03-05`, `the 1990s`, `AD 79`."""

from __future__ import annotations

import calendar
import re
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.language import Language
    from pausewright.wording.scan import Scan

_SLASHED: Final = Late(
    r"(?P<first>\d{1,2})(?P<mark>[/.-])(?P<second>\d{1,2})(?P=mark)(?P<year>\d{4}|"
    r"\d\d)(?![\w/])(?!\.\d)",
    re.ASCII,
)
_ISO: Final = Late(r"([12]\d{3})-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])(?![\w-])", re.ASCII)
_DECADE: Final = Late(r"(?:(?P<century>1[1-9]|20)|['’])?(?P<ten>\d0)['’]?s(?!\w)", re.ASCII)
_ERA: Final = r"(BCE|BC|CE|AD|B\.C\.E\.|B\.C\.|C\.E\.|A\.D\.)"
_ERA_AFTER: Final = Late(rf"(\d{{1,4}}|\d,\d{{3}}|\d\d,\d{{3}})[ \u00a0]?{_ERA}(?!\w)", re.ASCII)
_ERA_EITHER: Final = Late(rf"(\d{{1,4}})/(\d{{1,4}})[ \u00a0]?{_ERA}(?!\w)", re.ASCII)
_SHORT_PAIR: Final = Late(r"['’‘](\d\d)[/–]['’](\d\d)(?!\w)", re.ASCII)
_ERA_SPAN: Final = Late(
    rf"(\d{{1,4}})[ \u00a0]?{_ERA}?[–-](\d{{1,4}})[ \u00a0]?{_ERA}(?!\w)", re.ASCII
)
_SPAN: Final = Late(
    r"([12]\d{3})(?:[–-]|[ \u00a0]–[ \u00a0])([12]\d{3}|\d\d|(?<=\d[–-])\d)(?!\w|[–-]\d)(?!\.\d)",
    re.ASCII,
)
_NEXT: Final = Late(r"((?:1[5-9]|20)\d\d)/(\d\d?)(?![\w/])(?!\.\d)", re.ASCII)
_SHORT: Final = Late(r"['’](\d\d)(?!\w)", re.ASCII)
YEAR: Final = Late(r"(?:1[1-9]|20)\d\d", re.ASCII)
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
_DECADES: Final = frozenset(
    {"the", "early", "late", "mid", "his", "her", "their", "my", "mid-", "low", "high", "upper",
     "to", "and", "lower", "your", "our"}
)  # fmt: skip
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
    if len(written) == 2 and written[0] == "0" and language.tag == "en":
        return f"{language.table('clock')['oh']} {numbers.whole_words(int(written), language)}"
    if len(written) < 3 or language.tag != "en":
        return numbers.whole_words(int(written), language)
    return numbers.year(written, british=bool(language.table("numbers")["and"]))


def read(scan: Scan, at: int) -> Reading | None:
    """Read a date, a decade, a stretch of years or a year with its era."""
    if not scan.language.has("calendar"):
        return None
    return (
        _day_span(scan, at)
        or _day_first(scan, at)
        or _slashed(scan, at)
        or _roman_month(scan, at)
        or _slashed_span(scan, at)
        or _either_day(scan, at)
        or _hyphened(scan, at)
        or _iso(scan, at)
        or _decade(scan, at)
        or _era(scan, at)
        or _span(scan, at)
        or _short_year(scan, at)
    )


def read_month(scan: Scan, at: int) -> Reading | None:
    """Read a date that begins with the name of its month, or the month short of its name."""
    if not scan.language.has("calendar"):
        return None
    found = _patterns(scan.language)[1].match(scan.text, at)
    if found is None:
        return None
    asked = scan.language.table("calendar").get("asked")
    if asked and re.match(asked, scan.text[at:]):
        return None  # "May 5 pupils leave early?"
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
    span = _TO_DAY.match(scan.text, found.end()) if not found["year"] else None
    if span is not None and day < int(span[1]) <= _DAYS[month - 1]:
        the = f"{scan.language.word('the')} " if style != "march-fifth" else ""
        words = date_words(scan, day, month, "", style)
        last = numbers.ordinal_words(int(span[1]), scan.language)
        words += f" {scan.language.word('to')} {the}{last}"
        year = re.compile(r",?[ \u00a0]([12]\d{3})(?![\w,./–-]*\d)", re.ASCII).match(
            scan.text, span.end()
        )
        if year is not None:
            return Reading(year.end(), f"{words} {year_words(year[1], scan.language)}", "date")
        return Reading(span.end(), words, "date")
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


def _day_span(scan: Scan, at: int) -> Reading | None:
    """Read `12–14 March`: the twelfth to the fourteenth of March."""
    head = _DAY_DASH.match(scan.text, at)
    if head is None:
        return None
    last = _day_first(scan, head.end())
    first = int(head[1])
    if last is None or not 1 <= first <= 31 or first >= int(head[2]):
        return None
    ordinal = numbers.ordinal_words(first, scan.language)
    has_article = scan.word_before(at) == "the"
    article = (
        ""
        if has_article or scan.style("dates") == "march-fifth"
        else f"{scan.language.word('the')} "
    )
    if scan.style("dates") == "march-fifth":
        month = last.words.partition(" ")
        return Reading(
            last.end, f"{month[0]} {ordinal} {scan.language.word('to')} {month[2]}", "date"
        )
    return Reading(last.end, f"{article}{ordinal} {scan.language.word('to')} {last.words}", "date")


_DAY_DASH: Final = Late(
    r"(\d{1,2})(?:st|nd|rd|th)?(?:[–-]|[ \u00a0]–[ \u00a0])(?=(\d{1,2})(?:st|nd|rd|th)?[ \u00a0])",
    re.ASCII,
)
_TO_DAY: Final = Late(
    r"(?:[–-]|[ \u00a0]–[ \u00a0])(\d{1,2})(?:st|nd|rd|th)?(?![\w:/%°])(?!\.\d)", re.ASCII
)


def _slashed(scan: Scan, at: int) -> Reading | None:
    found = _SLASHED.match(scan.text, at)
    if found is None or (
        found["mark"] != "/"
        and len(found["year"]) != 4
        and re.fullmatch(r"\d\d\.\d\d\.\d\d", found[0]) is None
        and not scan.mentions("dated")
        and scan.decide("dotted_date", at, found.end()) is None
    ):
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
    day, month = readings[0]
    because = ""
    if len(dict.fromkeys(readings)) > 1:
        order = "the day first" if scan.language.day_first else "the month first"
        because = f"‘{found[0]}’ read as a date with {order}: so the script’s language has it"
    told = scan.decide("short_year", at, found.end()) if len(year) == 2 and year < "50" else None
    if told is not None:
        year, because = f"20{year}", because or told.told(found[0])
    return Reading(found.end(), date_words(scan, day, month, year), "date", because=because)


def _hyphened(scan: Scan, at: int) -> Reading | None:
    """Read `5-Nov-1605`."""
    found = _HYPHENED.match(scan.text, at)
    months = scan.language.table("calendar").get("short_months", ())
    if found is None or found[2] not in months:
        return None
    day, month = int(found[1]), list(months).index(found[2]) + 1
    if not 1 <= day <= _DAYS[month - 1]:
        return None
    return Reading(found.end(), date_words(scan, day, month, found[3] or ""), "date")


_HYPHENED: Final = Late(r"(\d{1,2})-([A-Z][a-z]{2})(?:-(\d{4}|\d\d))?(?![\w-])", re.ASCII)


def _either_day(scan: Scan, at: int) -> Reading | None:
    """Read `2/3 May`: the night from one day to the next."""
    found = _EITHER_DAY.match(scan.text, at)
    last = _day_first(scan, found.end()) if found else None
    if found is None or last is None or int(found[2]) != int(found[1]) + 1:
        return None
    first = numbers.ordinal_words(int(found[1]), scan.language)
    the = "" if scan.word_before(at) == "the" else f"{scan.language.word('the')} "
    return Reading(last.end, f"{the}{first} {scan.language.word('to')} {last.words}", "date")


_FRACTIONS: Final = Late(r"[1-9]/(?:2|3|4|5|6|8)[ ]?–[ ]?[1-9]/(?:2|3|4|5|6|8)")
_EITHER_DAY: Final = Late(r"(\d{1,2})/(?=(\d{1,2})[ \u00a0][A-Z])", re.ASCII)


def _slashed_span(scan: Scan, at: int) -> Reading | None:
    """Read `25/12–1/1`: from one day to another."""
    found = _SLASHED_SPAN.match(scan.text, at)
    if found is None or scan.is_formula or _FRACTIONS.fullmatch(found[0]):
        return None
    first, last = short_date(scan, found[1]), short_date(scan, found[2])
    if first is None or last is None:
        return None
    return Reading(found.end(), f"{first} {scan.language.word('to')} {last}", "date")


_SLASHED_SPAN: Final = Late(r"(\d{1,2}/\d{1,2})[ ]?–[ ]?(\d{1,2}/\d{1,2})(?![\w/])", re.ASCII)


def _roman_month(scan: Scan, at: int) -> Reading | None:
    """Read `5.xi.1605`: the month in Roman numerals."""
    found = _ROMAN_MONTH.match(scan.text, at)
    if found is None or scan.language.tag != "en":
        return None
    months = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii")
    if found["month"].lower() not in months:
        return None
    day, month = int(found["day"]), months.index(found["month"].lower()) + 1
    if not 1 <= day <= _DAYS[month - 1]:
        return None
    return Reading(found.end(), date_words(scan, day, month, found["year"]), "date")


_ROMAN_MONTH: Final = Late(
    r"(?P<day>\d{1,2})(?P<mark>[./-])(?P<month>[ivx]{1,4}|[IVX]{1,4})(?P=mark)"
    r"(?P<year>\d{4}|\d\d)(?![\w./-]*\w)",
    re.ASCII,
)


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
    early = re.compile(r"([1-9])00s(?!\w)", re.ASCII).match(scan.text, at)
    if early is not None and scan.word_before(at) in _DECADES:
        return Reading(
            early.end(), f"{numbers.whole_words(int(early[1]), scan.language)} hundreds", "date"
        )
    found = _DECADE.match(scan.text, at)
    if found is None:
        return None
    century, ten = found["century"] or "", found["ten"]
    before = scan.text[max(0, at - 5) : at]
    is_decade = scan.word_before(at) in _DECADES or before.endswith(("mid-", "s–", "s-"))
    if not century and found[0][0].isdigit() and not is_decade:
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
    span = _ERA_SPAN.match(scan.text, at)
    if span is not None:
        first = f"{year_words(span[1], scan.language)} {_era_words(span[2])}".strip()
        last = f"{year_words(span[3], scan.language)} {_era_words(span[4])}"
        return Reading(span.end(), f"{first} {scan.language.word('to')} {last}", "date")
    either = _ERA_EITHER.match(scan.text, at)
    if either is not None:
        first, last = (year_words(either[n], scan.language) for n in (1, 2))
        either_word = scan.language.table("slashes")["or"]
        return Reading(
            either.end(), f"{first} {either_word} {last} {_era_words(either[3])}", "date"
        )
    found = _ERA_AFTER.match(scan.text, at)
    if found is None:
        return None
    digits = found[1].replace(",", "")
    year = (
        numbers.whole_words(int(digits), scan.language)
        if "," in found[1]
        else year_words(digits, scan.language)
    )
    ends = "." if found[2].endswith(".") and not scan.text[found.end() :].strip("\"”’') ") else ""
    return Reading(found.end(), f"{year} {_era_words(found[2])}{ends}", "date")


def _era_words(era: str | None) -> str:
    return named(" ".join((era or "").replace(".", "")))


def _short_year(scan: Scan, at: int) -> Reading | None:
    """Read `’69` and `2023/24`."""
    pair = _SHORT_PAIR.match(scan.text, at)
    if pair is not None:
        said = (numbers.whole_words(int(one), scan.language) for one in pair.groups())
        return Reading(pair.end(), " ".join(said), "date")
    short = _SHORT.match(scan.text, at)
    if short is not None and not scan.text[at - 1 : at].isalnum():
        value = int(short[1])
        words = numbers.whole_words(value, scan.language)
        head = f"{scan.language.table('clock')['oh']} " if short[1][0] == "0" else ""
        return Reading(short.end(), head + words, "date")
    found = _NEXT.match(scan.text, at)
    if found is None or int(found[2]) != (int(found[1]) + 1) % 10 ** len(found[2]):
        return None
    last = numbers.whole_words(int(found[2]), scan.language)
    if found[2][0] == "0":
        last = f"{scan.language.table('clock')['oh']} {last}"
    return Reading(found.end(), f"{year_words(found[1], scan.language)} {last}", "date")


def read_era(scan: Scan, at: int) -> Reading | None:
    """Read "AD 79"."""
    found = re.compile(
        r"(?:AD|A\.D\.)[ \u00a0](\d{1,4})(?:([–/-])(\d{1,4}))?(?![\w,]\d)", re.ASCII
    ).match(scan.text, at)
    if found is None or not scan.language.has("calendar"):
        return None
    words = year_words(found[1], scan.language)
    if found[2]:
        joint = "" if found[2] == "/" else f" {scan.language.word('to')}"
        words += f"{joint} {year_words(found[3], scan.language)}"
    return Reading(found.end(), named(f"A D {words}"), "date")


def _is_told(scan: Scan, at: int) -> bool:
    """Say whether the words beside four figures make them a year."""
    told = scan.decide("four_figures", at, at + 4)
    return told is not None and told.reads == "year"


def _span(scan: Scan, at: int) -> Reading | None:
    """Read "1914–18": years, though it might be a stretch of numbers."""
    found = _SPAN.match(scan.text, at)
    if found is None:
        return None
    language = scan.language
    full = len(found[2]) == 4
    early = full and found[1][:2] == "10" and (scan.text[at - 1 : at] == "(" or _is_told(scan, at))
    if not (early or YEAR.fullmatch(found[1])):
        return None
    last = int(found[2] if full else found[1][: 4 - len(found[2])] + found[2])
    if last <= int(found[1]):
        return None
    told = scan.decide("four_figures", at, found.end())
    if told is not None and told.reads == "number":
        return None
    words = f"{year_words(found[1], language)} {language.word('to')} "
    if full:
        return Reading(found.end(), words + year_words(found[2], language), "date")
    second = numbers.whole_words(int(found[2]), language)
    if found[2][0] == "0":
        second = f"{language.table('clock')['oh']} {second}"
    return Reading(found.end(), words + second, "date")


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
