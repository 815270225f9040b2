"""Figures: which topic reads them, and those that are plain numbers."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import (
    abbreviations,
    codes,
    dates,
    fractions,
    maths,
    measures,
    money,
    numbers,
    pairs,
    times_of_day,
)
from pausewright.wording.scan import Reading, Scan

if TYPE_CHECKING:
    from pausewright.wording.scan import Doubt

STARTS: Final = frozenset("0123456789" + fractions.SIGNS)
"""Signs at which a figure may begin."""
_FIGURES: Final = (
    dates.read,
    times_of_day.read,
    money.read,
    codes.read,
    measures.read,
    pairs.read,
    fractions.read,
)
"""Who is asked, in this order, where a figure stands."""
_MAYBE_YEAR: Final = re.compile(r"(?:1[1-9]|20)\d\d", re.ASCII)
_YEARS: Final = re.compile(r"(?:1[1-9]|20)\d\d (?:to|and|or|until) $", re.ASCII)
_CROSSED: Final = re.compile(r"(\d{1,3})x(\d{1,3})(?![\w.,]\d|\w)", re.ASCII)
_ORDINAL: Final = re.compile(r"(\d{1,3}(?:,\d{3})+|\d+)(st|nd|rd|th)(?!\w)", re.ASCII)
_FEET: Final = re.compile(r"(\d{1,3})['′’] ?(?:(\d{1,2})[\"″”])?(?!\w)", re.ASCII)
_LIST: Final = re.compile(r"\d{1,2}(?:,\d{1,2}){2,}(?![\w,.:/]*\d)", re.ASCII)


def read(scan: Scan, at: int) -> Reading | None:
    """Ask the topics in turn to read the figure at `at`; None if nobody can."""
    known = abbreviations.figures(scan, at)
    if known is not None:
        return known
    for topic in _FIGURES:
        found = topic(scan, at)
        if found is not None:
            return found
    return (
        _ordinal(scan, at)
        or _crossed(scan, at)
        or maths.over(scan, at)
        or _feet(scan, at)
        or _list(scan, at)
        or _number(scan, at)
    )


def _ordinal(scan: Scan, at: int) -> Reading | None:
    found = _ORDINAL.match(scan.text, at)
    if found is None or not scan.language.has("ordinals"):
        return None
    value = int(found[1].replace(",", ""))
    if len(str(value)) > numbers.MOST_DIGITS or found[2] != _suffix(value):
        return None
    return Reading(found.end(), numbers.ordinal_words(value, scan.language), "ordinal")


def _crossed(scan: Scan, at: int) -> Reading | None:
    """Read `4x4`, where a letter stands for ×."""
    found = _CROSSED.match(scan.text, at)
    by, times = scan.language.word("by"), scan.language.table("signs").get("×", "")
    if found is None or not by:
        return None
    a, b = (numbers.whole_words(int(one), scan.language) for one in found.groups())
    both = (("", f"{a} {by} {b}"), ("", f"{a} {times} {b}"))
    return Reading(found.end(), both[0][1], "size", (scan.doubt(at, found.end(), *both),))


def _feet(scan: Scan, at: int) -> Reading | None:
    """Read feet and inches, which look like minutes and seconds: `5′ 6″`."""
    found = _FEET.match(scan.text, at)
    if found is None or (found[2] is None and found[0][len(found[1])] != "′"):
        return None
    feet, inches = found[1], found[2]
    if not scan.language.has("units"):
        return None
    words, other = [], []
    for figure, unit, angle in ((feet, "ft", "minute_of_angle"), (inches, "in", "second_of_angle")):
        if figure is not None:
            name = scan.language.units[unit]
            value = numbers.whole_words(int(figure), scan.language)
            words.append(f"{value} {name.one if figure == '1' else name.many}")
            other.append(f"{value} {scan.language.pair(angle, one=figure == '1')}")
    doubt = scan.doubt(at, found.end(), ("", " ".join(words)), ("", " ".join(other)))
    return Reading(found.end(), " ".join(words), "measure", (doubt,))


def _list(scan: Scan, at: int) -> Reading | None:
    """Read figures with commas and no blanks: `2,4,6`."""
    found = _LIST.match(scan.text, at)
    if found is None or scan.language.tag != "en":
        return None
    items = (numbers.number_at(one, 0, scan.language) for one in found[0].split(","))
    return Reading(found.end(), ", ".join(scan.words_of(n) for n in items if n), "list")


def _number(scan: Scan, at: int) -> Reading | None:
    text, number = scan.text, scan.number(at)
    if number is None or len(number.whole) > numbers.MOST_DIGITS:
        return None
    end = number.end
    following = text[end : end + 1]
    if following and following in ".,:/⁄" and text[end + 1 : end + 2].isdigit():
        return None
    if following.isalpha() and maths.letters(scan, end) is None:
        return None
    if following == "_":
        return None
    words = scan.words_of(number)
    written = text[at:end]
    doubts: tuple[Doubt, ...] = ()
    is_sum = scan.beside_operator(at, end)
    if _MAYBE_YEAR.fullmatch(written) and not is_sum and following not in tuple(STARTS):
        return _maybe_year(scan, at, end, words)
    spaced = re.compile(r"[1-9]\d{0,2}(?: \d{3})+(?![\w,./]*\d)", re.ASCII).match(text, at)
    if spaced and not number.places and not is_sum and not _is_listed(text, spaced):
        whole = numbers.whole_words(int(spaced[0].replace(" ", "")), scan.language)
        apart = " ".join(numbers.whole_words(int(one), scan.language) for one in spaced[0].split())
        doubts = (scan.doubt(at, spaced.end(), ("", whole), ("", apart)),)
        return Reading(spaced.end(), whole, "number", doubts)
    return Reading(end, words, "number", doubts)


def _maybe_year(scan: Scan, at: int, end: int, words: str) -> Reading:
    """Read four figures that may be a year: as one after "in" and the like."""
    written = scan.text[at:end]
    if not scan.language.has("calendar"):
        return Reading(end, words)
    year = dates.year_words(written, scan.language)
    after = scan.word_after(end)
    stretch = _YEARS.search(scan.text[:at])  # "from 1900 to 1950"
    before = scan.word_before(stretch.start() if stretch else at)
    if before == "year" or before in {m.lower() for m in scan.language.table("calendar")["months"]}:
        return Reading(end, year, "date")
    choices = [("number", words), ("year", year)]
    if before in scan.language.table("calendar")["year_words"] and not (
        after.islower() and after.endswith("s") and after not in {"was", "is", "as", "his", "this"}
    ):
        choices.reverse()
    return Reading(end, choices[0][1], "date", (scan.doubt(at, end, *choices),))


def _is_listed(text: str, found: re.Match[str]) -> bool:
    return text[: found.start()].rstrip().endswith(",") or text[found.end() :].startswith(",")


def _suffix(value: int) -> str:
    if value % 100 in {11, 12, 13}:
        return "th"
    return {1: "st", 2: "nd", 3: "rd"}.get(value % 10, "th")
