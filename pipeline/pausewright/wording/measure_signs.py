"""Signs behind a number that are no unit: `30°–60°–90°`, the remainder of `17 % 5`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.patterns import Late
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan


def angles(scan: Scan, at: int) -> Reading | None:
    """Read `30°–60°–90°`: the angles of a triangle, one after another."""
    found = _ANGLES.match(scan.text, at)
    if found is None or not scan.language.has("units"):
        return None
    said = []
    for one in re.findall(r"\d+", found[0]):
        degree = scan.language.pair("degree", one=one == "1")
        said.append(f"{numbers.whole_words(int(one), scan.language)} {degree}")
    return Reading(found.end(), ", ".join(said), "measure")


_ANGLES: Final = Late(r"\d{1,3}°(?:[–-]\d{1,3}°){2,}", re.ASCII)


def remainder(scan: Scan, at: int, after: int, words: str) -> Reading | None:
    """Read the sign of `17 % 5` as programs have it; where no cue tells, ask."""
    found = _REMAINDER.match(scan.text, after)
    mod, number = scan.language.word("mod"), scan.number(found.end()) if found else None
    if found is None or number is None or not mod:
        return None
    said = (f"{words} {scan.language.word('percent')} ", f"{words} {mod} ")
    told = scan.decide("percent_sign", at, after + 1)
    if told is not None:
        return Reading(found.end(), said[1], "sign", because=told.told(scan.text[at : after + 1]))
    whole = (("", f"{one}{scan.words_of(number)}") for one in said)
    return Reading(found.end(), said[0], "sign", (scan.doubt(at, number.end, *whole),))


_REMAINDER: Final = Late(r"(?<=\d )% (?=\d)")
