"""Fractions and mixed numbers: `3/4`, `¾`, `2 ¾`, `2 3/4`."""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.wording import dates, music, numbers
from pausewright.wording.patterns import Late
from pausewright.wording.scan import BLANK, Reading

if TYPE_CHECKING:
    from pausewright.wording.cues import Decision
    from pausewright.wording.language import Language
    from pausewright.wording.scan import Scan

SIGNS: Final = "½¼¾⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞⅐⅑⅒"
_FRACTION: Final = Late(
    rf"(?:(?P<whole>\d{{1,9}}|\d{{1,3}}(?:,\d{{3}})+)(?:{BLANK}?(?=[{SIGNS}])|"
    rf"{BLANK}(?=\d+[/⁄]\d)))?"
    rf"(?:(?P<sign>[{SIGNS}])|(?P<top>\d{{1,9}})[/⁄](?P<bottom>\d{{1,9}}))(?![\w/⁄])(?!\.\d)",
    re.ASCII,
)
_PLAIN: Final = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉", "01234567890123456789")
_RAISED: Final = Late(r"(\d{1,3})?([⁰¹²³⁴⁵⁶⁷⁸⁹]{1,3})[⁄/]([₀₁₂₃₄₅₆₇₈₉]{1,3})")
_HYPHEN_MIXED: Final = Late(
    r"(\d{1,2})-([1-9]\d?)/(2|3|4|8|16|32)(?=[ -](?!and|or|is|to)[a-z]|[\"″])", re.ASCII
)
"""A mixed number with a hyphen, as American recipes have it: `1-1/2 cups`."""
_WHOLE_DENOMINATORS: Final = frozenset(
    {*range(2, 21), *range(30, 101, 10), 24, 25, 32, 64, 1000, 10_000, 1_000_000}
)
"""Denominators that are said as ordinals; others after "over" (Swan, Practical English Usage)."""


@frozen
class Fraction:
    """A fraction or mixed number as written."""

    end: int
    whole: int | None
    top: int
    bottom: int

    @property
    def is_proper(self) -> bool:
        """Whether it is less than one, without a whole number before it."""
        return self.whole is None and 0 < self.top < self.bottom


@cache
def _parts(sign: str) -> tuple[int, int]:
    top, _, bottom = unicodedata.decomposition(sign).removeprefix("<fraction> ").partition(" 2044 ")
    return tuple("".join(chr(int(code, 16)) for code in half.split()) for half in (top, bottom))  # type: ignore[return-value]


def fraction_at(text: str, at: int) -> Fraction | None:
    """Return the fraction or mixed number that begins at `at`."""
    raised = _RAISED.match(text, at)
    if raised is not None:
        top, bottom = (int(one.translate(_PLAIN)) for one in (raised[2], raised[3]))
        return Fraction(raised.end(), int(raised[1]) if raised[1] else None, top, bottom)
    hyphened = _HYPHEN_MIXED.match(text, at)
    if hyphened is not None:
        first, top, bottom = (int(part) for part in hyphened.groups())
        return Fraction(hyphened.end(), first, top, bottom) if top < bottom else None
    found = _FRACTION.match(text, at)
    if found is None:
        return None
    if found["sign"]:
        top, bottom = (int(part) for part in _parts(found["sign"]))
    else:
        top, bottom = int(found["top"]), int(found["bottom"])
    whole = int(found["whole"].replace(",", "")) if found["whole"] else None
    if whole is not None and not found["sign"] and not top < bottom:
        return None  # "2 7/3" is no mixed number
    return Fraction(found.end(), whole, top, bottom)


def fraction_words(fraction: Fraction, scan: Scan) -> str:
    """Return the words of a fraction: "three quarters", "six and one eighth"."""
    language = scan.language
    if fraction.whole is None:
        return _simple(fraction.top, fraction.bottom, scan)
    whole = scan.zero if fraction.whole == 0 else numbers.whole_words(fraction.whole, language)
    part = _simple(fraction.top, fraction.bottom, scan)
    if fraction.top == 1 and fraction.bottom in {2, 4}:
        part = f"{language.word('a')} {_denominator(fraction.bottom, scan, one=True)}"
    return f"{whole} {language.word('and')} {part}"


def _simple(top: int, bottom: int, scan: Scan) -> str:
    language = scan.language
    head = scan.zero if top == 0 else numbers.whole_words(top, language)
    if bottom not in _WHOLE_DENOMINATORS or (top > 100 and bottom > 20):
        tail = scan.zero if bottom == 0 else numbers.whole_words(bottom, language)
        return f"{head} {language.word('over')} {tail}"
    return f"{head} {_denominator(bottom, scan, one=top == 1)}"


def _denominator(bottom: int, scan: Scan, *, one: bool) -> str:
    language: Language = scan.language
    if bottom == 2:
        return language.pair("half", one=one)
    if bottom == 4:
        return language.pair(scan.style("quarters"), one=one)
    name = numbers.ordinal_words(bottom, language).removeprefix("one ")
    return name if one else f"{name}s"


def read(scan: Scan, at: int) -> Reading | None:
    """Read a fraction that stands for itself."""
    found = fraction_at(scan.text, at) if scan.language.has("ordinals") else None
    typed = _TYPED_ORDINAL.match(scan.text, at) if found is None else None
    if typed is not None and scan.language.has("ordinals"):
        plain = Fraction(typed.end(), None, int(typed[1]), int(typed[2]))
        return Reading(typed.end(), fraction_words(plain, scan), "fraction")
    several = _SEVERAL.match(scan.text, at) if found is None else None
    if several is not None and scan.language.has("ordinals"):
        return Reading(several.end(), _denominator(int(several[1]), scan, one=False), "fraction")
    if found is None:
        return _before_letter(scan, at)
    if found.whole is None and scan.text[at].isdigit():
        told = scan.decide("slash", at, found.end)
        special = _as_told(scan, at, found, told) if told is not None else None
        if special is not None:
            return special
    if (
        found.whole is None
        and scan.text[found.end : found.end + 1] == "("
        and scan.text[at].isdigit()
    ):
        top, bottom = (numbers.whole_words(one, scan.language) for one in (found.top, found.bottom))
        return Reading(found.end, f"{top} {scan.language.word('over')} {bottom}", "fraction")
    if found.is_proper and _HYPHENED.match(scan.text, found.end):
        return Reading(found.end, attribute_words(found, scan), "fraction")
    if (
        found.whole is None
        and (found.top, found.bottom) != (1, 2)
        and scan.word_after(found.end) in {"time", "metre", "meter"}
        and (scan.mentions("music") or scan.mentions("meters"))
    ):
        pair = f"{found.top}/{found.bottom}"
        return Reading(found.end, music.signature_words(scan, pair), "fraction")
    words = fraction_words(found, scan)
    following = scan.word_after(found.end)
    if found.whole is None and (found.top, found.bottom) == (1, 4) and following in {"past", "to"}:
        words = words.removeprefix("one ")  # "¼ past 4"
    is_half = found.whole is None and (found.top, found.bottom) == (1, 2)
    if is_half and (following in scan.language.listed("halves") or following in {"a", "an"}):
        words = scan.language.pair("half", one=True)
    return Reading(found.end, words, "fraction")


_HYPHENED: Final = Late(r"-[a-z]{2,}")


def attribute_words(fraction: Fraction, scan: Scan) -> str:
    """Return a fraction before its noun: "half" of "a half-inch gap", "three quarter"."""
    name = _denominator(fraction.bottom, scan, one=True)
    if fraction.top == 1:
        return name
    return f"{numbers.whole_words(fraction.top, scan.language)} {name}"


def _as_told(scan: Scan, at: int, found: Fraction, told: Decision) -> Reading | None:
    """Return a time signature, marks or a date, if the words beside it make it one."""
    written = scan.text[at : found.end]
    if told.reads in {"time signature", "address"}:
        words = music.signature_words(scan, written)
    elif told.reads == "marks":
        out_of = scan.language.word("out_of")
        pair = (numbers.whole_words(one, scan.language) for one in (found.top, found.bottom))
        words = f" {out_of} ".join(pair)
    elif told.reads == "odds":
        pair = (numbers.whole_words(one, scan.language) for one in (found.top, found.bottom))
        words = f" {scan.language.word('to')} ".join(pair)
    elif told.reads == "cricket":
        pair = (numbers.whole_words(one, scan.language) for one in (found.top, found.bottom))
        words = f" {scan.language.word('runs_for')} ".join(pair)
    elif told.reads == "date":
        words = dates.short_date(scan, written) or ""
    else:
        return None
    return Reading(found.end, words, "fraction", because=told.told(written)) if words else None


_TYPED_ORDINAL: Final = Late(r"(\d{1,3})/(\d{1,3})(?:st|nd|rd|th)s?(?!\w)", re.ASCII)
_SEVERAL: Final = Late(r"1/([2-9]|1[0-9]|100)(?:s|’s|'s)(?!\w)", re.ASCII)
_WITH_LETTER: Final = Late(rf"(?P<whole>\d{{1,3}})?(?P<sign>[{SIGNS}])(?=[a-zA-Zπ(])")


def _before_letter(scan: Scan, at: int) -> Reading | None:
    """Read the fraction of `½x` or `½mv²`, whose letters are read in their turn."""
    found = _WITH_LETTER.match(scan.text, at)
    if found is None or not scan.language.has("ordinals"):
        return None
    top, bottom = (int(part) for part in _parts(found["sign"]))
    whole = int(found["whole"]) if found["whole"] else None
    return Reading(found.end(), fraction_words(Fraction(0, whole, top, bottom), scan), "fraction")
