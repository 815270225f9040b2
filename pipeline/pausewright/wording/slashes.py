"""A slash between words or after an amount: `true/false`, `eggs/wk`, `£5/hour`, `km/h`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import units
from pausewright.wording.patterns import Late
from pausewright.wording.scan import LETTER, Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_WORD: Final = Late(rf"{LETTER}+(?:[’']{LETTER}+)?")
_BEFORE: Final = Late(rf"({LETTER}+(?:[’']{LETTER}+)?)[ \u00a0]?$")


def read(scan: Scan, at: int) -> Reading | None:
    """Read a slash that stands at `at`: "per" before a unit, "or" between words."""
    language, text = scan.language, scan.text
    if not language.table("slashes"):
        return None
    table = language.table("slashes")
    following = _WORD.match(text, at + 1) or re.compile(rf"[ \u00a0]({LETTER}+)").match(
        text, at + 1
    )
    if not table or following is None:
        return None
    name = following[0].strip()
    spaced = text[at - 1 : at] == " " and text[at + 1 : at + 2] == " "
    unit = units.unit_at(scan, at + 1 + spaced)
    axis = scan.decide("unit_alone", at + 2, unit[2]) if spaced and unit is not None else None
    if axis is not None and unit is not None:
        words = units.unit_words(scan, unit[0], unit[1])
        return Reading(
            unit[2],
            f"{language.word('in')} {words}",
            "measure",
            because=axis.told(text[at : unit[2]]),
        )
    unit = None if spaced else unit
    before = _BEFORE.search(text[max(0, at - 30) : at])
    head = before[1].lower() if before else ""
    counted = (
        head.endswith("s")
        or text[at - 1 : at].isdigit()
        or text[at - 1 : at] == "×"
        or head in language.listed("slashes", "amounts")
        or (before is not None and before[1] in language.units)
    )
    if unit is not None and counted and unit[2] - at - 1 >= len(name):
        words = units.unit_words(scan, unit[0], unit[1], one=True)
        return Reading(unit[2], f" {language.word('per')} {words}", "measure")
    if counted and name.lower() in language.listed("slashes", "rates"):
        return Reading(following.end(), f" {language.word('per')} {name}", "measure")
    if scan.is_formula and text[at - 1 : at] == " " and before is not None:
        return Reading(at + 1, f" {language.word('over')} ", "sign")
    if (before is None and text[at - 1 : at] in {"%", "°", "C", "F"}) or (
        before and unit is None and len(name) > 1 and len(head) == 1
    ):
        return Reading(at + 1, f" {table['or']} ", "sign")
    if before is None or len(name) == 1 or len(head) == 1:
        return None
    if scan.is_formula and text[at - 1 : at] == " ":
        return Reading(at + 1, f" {language.word('over')} ", "sign")
    pair = f"{head}/{name.lower()}"
    if scan.is_formula and re.search(rf"[=×÷+−] ?{LETTER}+$", text[max(0, at - 30) : at]):
        return Reading(at + 1, f" {language.word('over')} ", "sign")  # tan θ = opp/adj
    if pair in language.listed("slashes", "plain"):
        return Reading(at + 1, f" {table['slash']} ", "sign")
    either = f" {table['or']} "
    start = at - len(before[0])
    if pair in language.listed("slashes", "either"):
        return Reading(at + 1, either, "sign")
    choices = (("", f"{before[1]}{either}{name}"), ("", f"{before[1]} {table['slash']} {name}"))
    return Reading(at + 1, either, "sign", (scan.doubt(start, following.end(), *choices),))


_LISTED: Final = Late(r"(?<![\w/])(?:[A-Z]/)*[A-Z]$")
_LISTED_AFTER: Final = Late(r"[A-Z](?:/[A-Z])*(?![\w/])")


def language_days(scan: Scan) -> tuple[str, ...]:
    """Return the names of days, short ones too, the longest first."""
    days = scan.language.table("calendar").get("days", {})
    return tuple(sorted({*days, *days.values()}, key=len, reverse=True))


def between_measures(scan: Scan, at: int) -> Reading | None:
    """Read the slash of `180 °C/350 °F`, `200 ml/¾ cup` and `Y/N`: "or"."""
    text, table = scan.text, scan.language.table("slashes")
    if not table:
        return None
    if text[at - 1 : at].isdigit() and re.match(r"[£$€]\d", text[at + 1 : at + 3]):
        return Reading(at + 1, f" {scan.language.word('runs_for')} ", "sign")
    if re.search(r"[£$€]\d+(?:\.\d\d)?$", text[max(0, at - 10) : at]) and re.match(
        r"[£$€]\d", text[at + 1 : at + 3]
    ):
        return Reading(at + 1, f" {table['or']} ", "sign")
    if text[max(0, at - 2) : at] == ") " and text[at + 1 : at + 2] == " ":
        return Reading(at + 1, table["or"], "sign")  # "180 °C (fan 160 °C) / gas mark 4"
    if re.search(r"_$|: ?$", text[max(0, at - 2) : at]) and re.match(r" ?\d", text[at + 1 :]):
        return Reading(at + 1, f" {scan.language.word('out_of')} ", "sign")  # "Score: ___/10"
    if (
        not scan.is_formula
        and _LISTED.search(text[max(0, at - 12) : at])
        and _LISTED_AFTER.match(text, at + 1)
        and text.count("/", max(0, at - 6), at + 6) > 1
    ):
        return Reading(at + 1, ", ", "sign")  # M/W/F
    days = "|".join(language_days(scan))
    if (
        days
        and re.search(rf"(?<!\w)(?:{days})\.?$", text[max(0, at - 10) : at])
        and re.match(rf"(?:{days})(?!\w)", text[at + 1 :])
    ):
        return Reading(at + 1, ", ", "sign")
    rate = units.unit_at(scan, at + 1)
    rated = re.search(r"\d[ \u00a0]?(?:°[CF]|[℃℉%])$", text[max(0, at - 5) : at]) is not None
    every = _WORD.match(text, at + 1) if rated else None
    if every is not None and every[0] in scan.language.listed("slashes", "rates"):
        return Reading(every.end(), f" {scan.language.word('per')} {every[0]}", "measure")
    if rate is not None and (
        (text[at - 1 : at].isdigit() and rate[2] - at > 2 and not scan.is_formula) or rated
    ):
        words = units.unit_words(scan, rate[0], rate[1], one=True)
        end = rate[2] + (re.match(r"\.[ \u00a0][a-z]", text[rate[2] : rate[2] + 3]) is not None)
        return Reading(end, f" {scan.language.word('per')} {words}", "measure")
    measured = re.search(rf"°[CF]$|\d[ \u00a0]?{LETTER}{{2,}}$", text[max(0, at - 12) : at])
    letters = re.search(r"(?<!\w)[A-Z]$", text[max(0, at - 2) : at]) and re.match(
        r"[A-Z](?!\w)", text[at + 1 :]
    )
    if (measured and re.match(r"[£$€]?[\d½¼¾⅓⅔]", text[at + 1 :])) or (
        letters and not scan.is_formula
    ):
        return Reading(at + 1, f" {table['or']} ", "sign")
    return None
