"""Recurring decimals: `0.3̇`, `0.1̇42857̇`, `0.2̅7̅`; dots stand over the first and last figure."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.patterns import Late
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_DOT, _LINE = "\u0307", "\u0305"
_RECURRING: Final = Late(rf"(\d*)[.·](\d*?)((?:\d[{_DOT}{_LINE}])(?:\d[{_DOT}{_LINE}]?)*)(?!\d)")
_BRACKETED: Final = Late(r"(\d*)\.(\d*)\((\d+)\)")
_ELLIPSIS: Final = Late(r"(\d+)\.(\d+)(?:…|\.\.\.)")


def recurring_words(text: str, scan: Scan) -> str | None:
    """Return the words of a whole text that is a recurring decimal; else None."""
    found = _RECURRING.fullmatch(unicodedata.normalize("NFD", text).replace("\u0304", _LINE))
    return None if found is None else _words(found, scan)


def read(scan: Scan, at: int) -> Reading | None:
    """Read a recurring decimal in plain text."""
    found = _RECURRING.match(scan.text, at)
    if found is None:
        bracketed = _BRACKETED.match(scan.text, at)
        if bracketed is None or not scan.mentions("recurring"):
            return None
        marked = "".join(f"{figure}{_LINE}" for figure in bracketed[3])
        again = _RECURRING.fullmatch(f"{bracketed[1]}.{bracketed[2]}{marked}")
        words = _words(again, scan) if again else None
        return None if words is None else Reading(bracketed.end(), words, "number")
    words = _words(found, scan)
    return None if words is None else Reading(found.end(), words, "number")


def _words(found: re.Match[str], scan: Scan) -> str | None:
    word = scan.language.word("recurring")
    if not word:
        return None
    whole, fixed, marked = found.groups()
    figures = re.findall(rf"\d[{_DOT}{_LINE}]?", marked)
    last_marked = max(at for at, one in enumerate(figures) if len(one) == 2)
    if last_marked != len(figures) - 1:
        return None
    digits = fixed + "".join(one[0] for one in figures)
    number = numbers.Number(0, whole, digits)
    if len(whole) > numbers.MOST_DIGITS:
        return None
    words = scan.words_of(number)
    if len(figures) == 1:
        return f"{words} {word}"
    tail = numbers.number_words(
        numbers.Number(0, "", "".join(one[0] for one in figures)),
        scan.language, scan.zero, scan.zero_after_point,
    ).removeprefix(f"{scan.language.word('point')} ")  # fmt: skip
    if not fixed:
        return f"{words} {word}"
    if len(figures) == 2:
        the, and_ = scan.language.word("the"), scan.language.word("and")
        pair = f" {and_} ".join(f"{the} {one}" for one in tail.split(" "))
        return f"{words}, {scan.language.word('with')} {pair} {word}"
    return f"{words}, {scan.language.word('with')} {tail} {word}"
