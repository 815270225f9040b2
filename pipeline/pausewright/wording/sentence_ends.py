"""Where a sentence ends: not after titles, initials or abbreviations, nor before small letters."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.wording.language import language_for
from pausewright.wording.patterns import Late

if TYPE_CHECKING:
    from collections.abc import Iterator

_BOUNDARY: Final = Late(r"(?<=[.?!])[\"”’')]*(?:\s+|$)")
_ENDED: Final = Late(r"[.?!][\"”’')]*$")
_CLOSING: Final = "\"”’')"
_INITIAL: Final = Late(r"(?:^|[\s(“\"‘'])(?:[A-Z]|(?:[A-Za-z]\.)+[A-Za-z])\.$")
"""Initials and dotted letters end no sentence."""
_LAST: Final = Late(r"[^\s(“\"‘'/–-]+$")
_DAY: Final = Late(r"(?:^|\s)\d{1,2}\.$")
"""A day with the full stop of its ordinal, as German writes it: "am 5. März"."""
_NUMERAL: Final = Late(r"[£$€(=—]|['’‘]\d|\d|[IVXLC]+(?!\w)|[A-Z]{1,4}[/ -]?\d")
_MEASURED: Final = Late(r"\d[ \u00a0]?[A-Za-z]{1,4}\.$")
"""A unit with a full stop behind a figure: "1 hr. 15 min."."""
_LETTER_NAMED: Final = Late(
    r"\b(?:letter|letters|option|options|answer|answers|choice|part|point|box|column|row|group|"
    r"vitamin|or|and|is)\s[A-Z]\.$",
    re.IGNORECASE,
)
"""A capital that is named as a letter is no initial: "Choose option B. Then stop." """
_HALF_OF_DAY: Final = Late(r"\d\s?[ap]\.m\.$")
"""After "3 p.m." a capital begins a sentence …"""
_GOES_ON: Final = Late(
    r"Mon|Tue|Wed|Thu|Fri|Sat|Sun|Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec|[A-Z]{3}\b|\d"
)
"""… unless it is that of a day, a month or a time zone: "6 a.m. Monday"."""
_COUNTY: Final = Late(r"(?:^|\b(?:in|of|from|to|near|through|across|and|for|at|into|around) )Co\.$")
"""County before its name; after a name "Co." is a company, and may end a sentence."""
_ROAD: Final = Late(r"\b(?:St|Ave|Rd|Blvd|Dr|Ln|Pl|Ct)\.$")
_QUARTER: Final = Late(r"(?:NW|NE|SW|SE|[NSEW])(?![\w’'])")
"""Part of a town behind a road: "1600 Birch Ave. NW"."""
_AHEAD: Final = 12
"""How many signs of what follows are looked at."""
_SIGNS_OF_SUMS: Final = frozenset("+−×÷=≠≈<>≤≥/")
"""Before one of these a question mark stands for a number: "5 + ? = 9"."""


@cache
def _months(language: str) -> tuple[str, ...]:
    """Return the first letters of months in a language whose days have a full stop; else none."""
    known = language_for(language)
    dates = {} if known is None else known.table("dates")
    if "\\." not in dates.get("day_mark", ""):
        return ()
    return tuple(name[:4] for name in dates["months"])


@cache
def _never(language: str) -> tuple[frozenset[str], frozenset[str]]:
    """Return what ends no sentence, and what ends none before a figure, from a language's file."""
    known = language_for(language)
    if known is None:
        return frozenset(), frozenset()
    rules, calendar = known.table("abbreviation_rules"), known.table("calendar")
    short = {
        f"{name}."
        for name in (*calendar.get("short_months", ()), *calendar.get("days", ()), "Sept")
    }
    dotted = {one for one in known.table("abbreviations") if one.endswith(".")}
    figures = {
        *(dotted - {"etc.", "et al.", "a.m.", "p.m.", "Jr.", "Sr."}),
        *known.table("abbreviations_before_figures"),
        *rules.get("also_before_figures", ()),
        *short,
    }
    return frozenset(rules.get("never_end", ())), frozenset(figures)


def sentence_end(text: str, at: int, before: str, language: str = "en") -> int | None:
    """Return the offset after the first sentence of `text[at:]`, or None if it does not end.

    `before` is what stands before `text[at:]` in the same sentence. The last word of a text with
    nothing after its full stop ends no sentence yet: more may follow.
    """
    for found in _BOUNDARY.finditer(text, at):
        if found.end() == len(text) and not found[0]:
            return None
        if _ends(
            before + text[at : found.start()], text[found.end() : found.end() + _AHEAD], language
        ):
            return found.end()
    return None


def inner_ends(text: str) -> Iterator[int]:
    """Yield the offset after each sentence of a text but the last."""
    at = 0
    while (end := sentence_end(text, at, "")) is not None and end < len(text):
        yield end
        at = end


def is_ended(text: str, following: str, language: str = "en") -> bool:
    """Say whether `text` ends a sentence, `following` being the next word after a blank."""
    return _ENDED.search(text) is not None and _ends(text, following, language)


def _ends(text: str, following: str, language: str) -> bool:
    words = text.rstrip(_CLOSING)
    first = following[:1]
    if (
        first.islower()
        or first in {"&", "+", "/", "=", ":", "×", "÷", "≈", "≤", "≥"}
        or (words.endswith(("?", "!")) and first in _SIGNS_OF_SUMS)
    ):
        return False
    if _DAY.search(words) and following.startswith(_months(language)):
        return False
    never, before_figures = _never(language)
    last = _LAST.search(words)
    if last is not None and last[0] in never:
        return False
    if _NUMERAL.match(following) and (
        (last is not None and last[0] in before_figures) or _MEASURED.search(words)
    ):
        return False
    if _COUNTY.search(words):
        return False
    if _ROAD.search(words) and _QUARTER.match(following):
        return False
    if _HALF_OF_DAY.search(words):
        return _GOES_ON.match(following) is None
    if _LETTER_NAMED.search(words):
        return True
    return not _INITIAL.search(words)
