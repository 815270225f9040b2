"""Figures whose kind the author gives: `[1905]{as="year"}`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from pausewright.wording import code_digits, dates, numbers, pairs, times_of_day

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.wording.scan import Scan


def words_as(kind: str, scan: Scan) -> str | None:
    """Return the words of the whole text read as `kind`, or None if it is none of that kind."""
    text = scan.text.strip()
    reader = _READERS.get(kind)
    return reader(text, scan) if reader is not None and scan.language.tag else None


def _number(text: str, scan: Scan) -> str | None:
    minus = text[:1] in {"−", "-"}
    number = numbers.number_at(text, 1 if minus else 0, scan.language)
    if number is None or number.end != len(text) or len(number.whole) > numbers.MOST_DIGITS:
        return None
    words = scan.words_of(number)
    return f"{scan.language.word(scan.style('negative'))} {words}" if minus else words


def _year(text: str, scan: Scan) -> str | None:
    if not re.fullmatch(r"[1-9]\d{1,3}", text) or scan.language.tag != "en":
        return None
    return dates.year_words(text, scan.language)


def _code(text: str, scan: Scan) -> str | None:
    if not re.search(r"[0-9]", text) or re.search(r"[^0-9A-Za-z \-–()./]", text):
        return None
    return code_digits.code_words(scan, text)


def _phone(text: str, scan: Scan) -> str | None:
    if not re.fullmatch(r"\+?[0-9 \-–()./\u00a0]*[0-9][0-9 \-–()./\u00a0]*", text):
        return None
    return code_digits.phone_words(scan, text)


def _score(text: str, scan: Scan) -> str | None:
    found = re.fullmatch(r"(\d{1,3})\s*[–:\-−]\s*(\d{1,3})", text)
    if found is None or scan.language.tag != "en":
        return None
    return pairs.score_words(scan, found[1], found[2])


def _ratio(text: str, scan: Scan) -> str | None:
    parts = [part.strip() for part in re.split(r"[:/]", text)]
    numbered = [numbers.number_at(part, 0, scan.language) for part in parts]
    if len(parts) < 2 or any(
        number is None or number.end != len(part)
        for number, part in zip(numbered, parts, strict=True)
    ):
        return None
    return pairs.ratio_words(scan, ":".join(parts))


def _time(text: str, scan: Scan) -> str | None:
    if not scan.language.has("clock"):
        return None
    time = times_of_day.time_at(text, 0)
    return (
        times_of_day.time_words(time, scan) if time is not None and time.end == len(text) else None
    )


def _date(text: str, scan: Scan) -> str | None:
    if not scan.language.has("calendar"):
        return None
    for read in (dates.read, dates.read_month):
        found = read(scan, len(scan.text) - len(scan.text.lstrip()))
        if found is not None and found.end == len(scan.text.rstrip()):
            return found.words
    return dates.short_date(scan, text)


_READERS: dict[str, Callable[[str, Scan], str | None]] = {
    "number": _number,
    "year": _year,
    "code": _code,
    "phone": _phone,
    "score": _score,
    "ratio": _ratio,
    "time": _time,
    "date": _date,
}
