"""Roman numerals in names: `Henry VIII`, `World War II`, `Part IV`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Doubt, Scan

_ROMAN: Final = re.compile(
    r"(?=[IVXLCM])M{0,3}(?:CM|CD|D?C{0,3})(?:XC|XL|L?X{0,3})(?:IX|IV|V?I{0,3})(?!\w)"
)
_VALUES: Final = {"I": 1, "V": 5, "X": 10, "L": 50, "C": 100, "D": 500, "M": 1000}


def value_of(numeral: str) -> int:
    """Return the value of a Roman numeral."""
    values = [_VALUES[sign] for sign in numeral]
    following = [*values[1:], 0]
    return sum(-v if v < after else v for v, after in zip(values, following, strict=True))


def read(scan: Scan, at: int) -> Reading | None:
    """Read a Roman numeral after a name or a word such as "part"; None where it is none."""
    if not scan.language.has("roman"):
        return None
    found = _ROMAN.match(scan.text, at)
    if found is None or not found[0]:
        return None
    numeral, table = found[0], scan.language.table("roman")
    value = value_of(numeral)
    count = numbers.whole_words(value, scan.language)
    name = numbers.ordinal_words(value, scan.language)
    ordinal = f"{scan.language.word('the')} {name[0].upper()}{name[1:]}"
    before = scan.word_before(at)
    if before in table["counted"]:
        return Reading(found.end(), count, "roman")
    if before in {name.lower() for name in table["rulers"]} and scan.text[at - 1] in " \u00a0":
        doubts: tuple[Doubt, ...] = ()
        if numeral in {"I", "X"}:
            other = numeral
            doubts = (scan.doubt(at, found.end(), ("", ordinal), ("", other)),)
        return Reading(found.end(), ordinal, "roman", doubts)
    if len(numeral) < 2 or (set(numeral) - set("IVX") and (len(numeral) < 4 or value < 1000)):
        return None
    doubt = scan.doubt(at, found.end(), ("", count), ("", ordinal))
    return Reading(found.end(), count, "roman", (doubt,))
