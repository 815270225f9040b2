"""Signs behind a number that are no unit: `30°–60°–90°`, the remainder of `17 % 5`."""

from __future__ import annotations

import itertools
import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.patterns import Late
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from collections.abc import Iterable

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


def no_metres(scan: Scan, at: int, end: int, words: str, *, one: bool) -> Reading | None:
    """Read the m of `a population of 3 m` and of `the A2 for 2 m`: millions and miles."""
    told = scan.decide("small_unit", at, end)
    if told is None or told.reads not in {"million", "miles"}:
        return None
    if told.reads == "million":
        said = f"{words} {scan.language.table('amounts')['million']}"
        return Reading(end, said, "number", because=told.told(scan.text[at:end]))
    mile = scan.language.units["mi"]
    said = f"{words} {mile.one if one else mile.many}"
    return Reading(end, said, "measure", because=told.told(scan.text[at:end]))


def are_answers(found: Iterable[re.Match[str]]) -> bool:
    """Say whether the numbers before letters count on, as answers do: "1 b, 2 a, 3 d"."""
    pairs = [(int(one[1]), one[2]) for one in found]
    counted = [number for number, _ in pairs]
    if len(counted) < 2 or {letter for _, letter in pairs} <= {"d", "h"}:
        return False
    return all(b == a + 1 for a, b in itertools.pairwise(counted))


def is_tally(scan: Scan, at: int, end: int) -> bool:
    """Say whether figures stand between letters that name them: "P 10 W 6 D 2 L 2"."""
    return bool(
        re.search(r"(?<!\w)[A-Z] $", scan.text[max(0, at - 3) : at])
        and re.match(r" \d", scan.text[end : end + 2])
    )


def is_minutes(scan: Scan, at: int, end: int) -> bool:
    """Say whether m stands for minutes: after hours, or before seconds: `2h 15m`, `3m 20s`."""
    return bool(
        re.search(r"\d ?(?:h|hr|hrs|hours?)\.?,?(?: and)? ?$", scan.text[max(0, at - 16) : at])
        or re.match(r" ?[0-5]?\d ?s(?:ecs?)?(?!\w)", scan.text[end : end + 9])
    )


_INCHES_OF: Final = Late(
    r" (?:cake |baking |square |round |deep )?(?:pan|tin|pipe|board|screen|bolt|nail|ruler|dish|"
    r"plate|hole|cube|pot|rod|gap|cake|wheel|strip|skillet|pizza|square|circle|line)\b"
)


def is_size_of(scan: Scan, at: int, end: int) -> bool:
    """Say whether "in" stands for inches between an article and what has that size."""
    has_article = re.search(r"\b[Aa]n? $", scan.text[max(0, at - 3) : at]) is not None
    return has_article and _INCHES_OF.match(scan.text, end) is not None
