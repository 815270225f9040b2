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


def letters(text: str) -> str:
    """Return a word spelled out: "C, A, T"; hyphens in it only part the letters."""
    return ", ".join(sign.upper() for sign in text if sign.isalnum())


def year(written: str) -> str:
    """Return a year in words: "nineteen oh five"."""
    from num2words import num2words  # noqa: PLC0415  only years need it

    words = str(num2words(int(written.replace(",", "")), to="year"))
    return words.replace("oh-", "oh ")
