"""Numbers in words: whole numbers, decimals, digits one by one, years.

The words of whole numbers and years come from `num2words` (its commas left out); what it leaves
out (trailing noughts after the point, house style of nought) is ours. `inflect` gave the same
words for every number tried and takes 1.6 s to import against 0.05 s: it is the second opinion
in the tests.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from pausewright.script.model import Settings

_DIGITS: Final = (
    "oh", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
)  # fmt: skip
NUMBER: Final = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?")
"""A whole number or decimal as written, thousands marked by commas or not at all."""

MOST_DIGITS: Final = 15


def cardinal(number: int, *, british: bool = True) -> str:
    """Return a whole number of at most 15 digits in words: "one hundred and one"."""
    if number == 0:
        return "zero"
    from num2words import num2words  # noqa: PLC0415  not needed for a script without figures

    words = str(num2words(abs(number))).replace(",", "")
    if not british:
        words = words.replace(" and ", " ")
    return f"minus {words}" if number < 0 else words


def spoken_number(written: str, settings: Settings, *, british: bool) -> str:
    """Return a number as written (`1,250`, `0.05`) in words.

    Before the point 0 is read in the script's house style (`zero:`); after it digits are read
    one by one, 0 as "oh" in the styles `nought` and `oh` and as "zero" in the style `zero`
    (published sources differ: Swan, Basic English Usage §227, gives "nought point …"; school
    handbooks give "oh" after the point).
    """
    whole, _, places = written.replace(",", "").partition(".")
    head = settings.zero if int(whole) == 0 else cardinal(int(whole), british=british)
    if not places:
        return head
    oh = "zero" if settings.zero == "zero" else "oh"
    tail = " ".join(oh if d == "0" else _DIGITS[int(d)] for d in places)
    return f"{head} point {tail}"


def digits(text: str, zero: str = "oh") -> str:
    """Return digits one by one, in groups as written: "oh one one five"."""
    groups = re.findall(r"\d+|[A-Za-z]", text)
    return ", ".join(" ".join(zero if d == "0" else _digit(d) for d in group) for group in groups)


def _digit(sign: str) -> str:
    return _DIGITS[int(sign)] if sign.isdigit() else sign.upper()


_SPELLED_SIGNS: Final = {"'": "apostrophe", "’": "apostrophe", "-": "hyphen"}


def letters(text: str, *, british: bool = True) -> str:
    """Return a word spelled out: "C, A, T".

    Hyphens that part every letter (`C-A-T`) are not said, others are; digits are said as words.
    The embedded voices say capital letters between commas by their names; only Z has two.
    """
    parted = all(len(piece) == 1 for piece in text.split("-")) and "-" in text
    signs = [s for s in text if not s.isspace() and not (parted and s == "-")]
    return ", ".join(_letter(sign, british=british) for sign in signs)


def _letter(sign: str, *, british: bool) -> str:
    if sign in _SPELLED_SIGNS:
        return _SPELLED_SIGNS[sign]
    if sign in "0123456789":
        return "zero" if sign == "0" else _DIGITS[int(sign)]
    upper = sign.upper()
    return "zed" if upper == "Z" and british else upper


def unspellable(text: str, *, english: bool) -> str:
    """Return the first sign of `text` that `letters` has no name for; "" if there is none."""
    known = {*"0123456789", *_SPELLED_SIGNS} if english else {"-"}
    for sign in text:
        if not (sign.isalpha() or sign.isspace() or sign in known):
            return sign
    return ""


def year(written: str, *, british: bool = True) -> str:
    """Return a year in words: "nineteen oh five"."""
    from num2words import num2words  # noqa: PLC0415  only years need it

    words = str(num2words(int(written), to="year")).replace("oh-", "oh ")
    return words if british else words.replace(" and ", " ")
