"""Codes of one form each: years of accounts, teams, pages, roads, cells of a sheet."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.code_digits import code_words, phone_words, short
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_CELLS: Final = Late(r"\$?([A-Z]{1,2})\$?(\d{1,4}):\$?([A-Z]{1,2})\$?(\d{1,4})(?!\w)", re.ASCII)


_FISCAL: Final = Late(r"(FY|AY|SY)[ \u00a0]?((?:19|20)\d\d)(?:[–/-](\d\d))?(?![\w–-])", re.ASCII)
_TEAM: Final = Late(
    r"U(\d{1,2})(?:s|(?= (?:girls|boys|teams?|squads?|match|matches|cup|sides?|players?|football|"
    r"rugby|hockey|netball|cricket|league|final|trials?)\b)|"
    r"(?= [A-D] (?:team|side|v)\b)|(?=[A-D]? v U\d))(?![e-zE-Z\d])",
    re.ASCII,
)
_CLOSED: Final = Late(r"(pp|Yrs?|yr)(\d{1,4})(?:[–-](\d{1,4}))?(?!\w)", re.ASCII)
_ABOUT: Final = Late(r"c((?:1[0-9]|20)\d\d)(?![\w,]*\d)(?!\w)", re.ASCII)
_LENS: Final = Late(r"[x×](\d{1,4})(?!\w)", re.ASCII)
_EXTENSION: Final = Late(r"x(\d{2,5})(?!\w)", re.ASCII)
_BASED: Final = Late(r"([0-9A-F]{1,8})(₁₆)")
_INSURED: Final = Late(r"([A-Z]{2}) (\d\d) (\d\d) (\d\d) ([A-D])(?!\w)", re.ASCII)
_AGED: Final = Late(r"C(\d{1,2})(?!\w)", re.ASCII)
_DOTTED_CODE: Final = Late(r"([A-Z])\.(\d{1,2}(?:\.\d{1,2})*)(?![\w.]*\w)", re.ASCII)
_DECIMAL_CODE: Final = Late(r"([A-Z]{1,3})(\d{1,3}\.\d{1,3})(?![\w.]*\w)", re.ASCII)
_ALSO_ASKED: Final = Late(
    r"\b(?:[Ss]ee|[Aa]nswer|[Aa]ttempt|[Dd]o|[Tt]ry|[Cc]omplete|[Ss]kip|[Ff]or) "
    r"(?:Q\d{1,2}(?:, | and | or | to |, and |, or ))+$"
)
_ASKED: Final = Late(r"Q(\d{1,2})(?![\w.]|[ ]?=)", re.ASCII)


def read(scan: Scan, at: int) -> Reading | None:
    """Read a code that begins with letters and has a form of its own."""
    for form in _FORMS:
        found = form(scan, at)
        if found is not None:
            return found
    return None


def _cells(scan: Scan, at: int) -> Reading | None:
    """Read `A1:B9`, the cells of a sheet from one to another."""
    found = _CELLS.match(scan.text, at)
    to = scan.language.word("to")
    if found is None or not to:
        return None
    first, last = (
        f"{' '.join(letters)} {numbers.whole_words(int(figure), scan.language)}"
        for letters, figure in ((found[1], found[2]), (found[3], found[4]))
    )
    return Reading(found.end(), named(f"{first} {to} {last}"), "code")


def fiscal(scan: Scan, at: int) -> Reading | None:
    """Read `FY2019`: a year of accounts."""
    found = _FISCAL.match(scan.text, at)
    if found is not None:
        year = numbers.year(found[2], british=bool(scan.language.table("numbers")["and"]))
        if found[3] and found[3][0] != "0":
            last = numbers.whole_words(int(found[3]), scan.language)
            year = f"{year} {scan.language.word('to')} {last}"
        return Reading(found.end(), named(f"{' '.join(found[1])} {year}"), "date")
    return None


def _team(scan: Scan, at: int) -> Reading | None:
    """Read `U21s`: a team by age."""
    team = _TEAM.match(scan.text, at)
    if team is not None:
        age = numbers.whole_words(int(team[1]), scan.language)
        if team[0].endswith("s"):
            age = age.removesuffix("y") + "ies" if age.endswith("y") else f"{age}s"
        return Reading(team.end(), f"{scan.language.word('under')} {age}", "code")
    return None


def _closed(scan: Scan, at: int) -> Reading | None:
    """Read `pp12-15` and `Yr9`."""
    closed = _CLOSED.match(scan.text, at)
    if closed is not None:
        name = {"pp": "pages", "Yr": "Year", "yr": "year", "Yrs": "Years"}[closed[1]]
        words = f"{name} {numbers.whole_words(int(closed[2]), scan.language)}"
        if closed[3]:
            words += (
                f" {scan.language.word('to')} {numbers.whole_words(int(closed[3]), scan.language)}"
            )
        return Reading(closed.end(), words, "code")
    return None


def _about(scan: Scan, at: int) -> Reading | None:
    """Read `c1800`."""
    about = _ABOUT.match(scan.text, at)
    if about is not None:
        year = numbers.year(about[1], british=bool(scan.language.table("numbers")["and"]))
        words = scan.language.table("abbreviations_before_figures")["c."]
        return Reading(about.end(), f"{words} {year}", "date")
    return None


def _lens(scan: Scan, at: int) -> Reading | None:
    """Read `x10` of a lens."""
    lens = _LENS.match(scan.text, at)
    if lens is not None and (
        scan.mentions("lenses") or scan.decide("repeated_x", at, lens.end()) is not None
    ):
        words = numbers.whole_words(int(lens[1]), scan.language)
        return Reading(lens.end(), f"{scan.language.table('signs')['×']} {words}", "number")
    return None


def _extension(scan: Scan, at: int) -> Reading | None:
    """Read `x4521` of a telephone."""
    extension = _EXTENSION.match(scan.text, at)
    if extension is not None and scan.mentions("telephones"):
        return Reading(extension.end(), named(f"x {phone_words(scan, extension[1])}"), "code")
    return None


def _based(scan: Scan, at: int) -> Reading | None:
    """Read `FF₁₆`."""
    based = _BASED.match(scan.text, at)
    if based is not None:
        base = f"{scan.language.table('formula')['base']} {numbers.whole_words(16, scan.language)}"
        return Reading(based.end(), f"{code_words(scan, based[1])} {base}", "code")
    return None


def _insured(scan: Scan, at: int) -> Reading | None:
    """Read a National Insurance number."""
    insured = _INSURED.match(scan.text, at)
    if insured is not None:
        pairs = ", ".join(code_words(scan, insured[n]) for n in (2, 3, 4))
        return Reading(
            insured.end(), named(f"{' '.join(insured[1])}, {pairs}, {insured[5]}"), "code"
        )
    return None


def _aged(scan: Scan, at: int) -> Reading | None:
    """Read "late C18"."""
    aged = _AGED.match(scan.text, at)
    if aged is not None and re.search(
        r"(?:[Ee]arly|[Ll]ate|[Mm]id)[ -]$", scan.text[max(0, at - 6) : at]
    ):
        ordinal = numbers.ordinal_words(int(aged[1]), scan.language)
        return Reading(aged.end(), f"{ordinal} {scan.language.word('century')}", "date")
    return None


def _century(scan: Scan, at: int) -> Reading | None:
    """Read `C19th`."""
    century = re.compile(r"C(\d{1,2})(?:st|nd|rd|th)(?!\w)").match(scan.text, at)
    if century is not None:
        ordinal = numbers.ordinal_words(int(century[1]), scan.language)
        return Reading(century.end(), f"{ordinal} {scan.language.word('century')}", "date")
    return None


def _road(scan: Scan, at: int) -> Reading | None:
    """Read `A1(M)`."""
    road = re.compile(r"([AM])(\d{1,4})\(([MT])\)").match(scan.text, at)
    if road is not None:
        return Reading(road.end(), named(f"{road[1]} {short(scan, road[2])} {road[3]}"), "code")
    return None


def _dotted(scan: Scan, at: int) -> Reading | None:
    """Read `B.2`."""
    dotted = _DOTTED_CODE.match(scan.text, at)
    if dotted is not None:
        point = scan.language.word("point")
        parts = (
            code_words(scan, one) if one[0] == "0" else numbers.whole_words(int(one), scan.language)
            for one in dotted[2].split(".")
        )
        return Reading(
            dotted.end(), named(f"{dotted[1]} {point} {f' {point} '.join(parts)}"), "code"
        )
    return None


def _decimal(scan: Scan, at: int) -> Reading | None:
    """Read `PM2.5`."""
    decimal = _DECIMAL_CODE.match(scan.text, at)
    if decimal is not None and (number := scan.number(decimal.start(2))) is not None:
        return Reading(
            decimal.end(), named(f"{' '.join(decimal[1])} {scan.words_of(number)}"), "code"
        )
    return None


def _asked(scan: Scan, at: int) -> Reading | None:
    """Read `Q4(b)`: a question."""
    asked = _ASKED.match(scan.text, at)
    if asked is not None and (
        scan.text[asked.end() : asked.end() + 1] == "("
        or _ALSO_ASKED.search(scan.text[:at])
        or scan.word_before(at)
        in {"see", "answer", "attempt", "do", "try", "complete", "skip", "for"}
    ):
        several = re.match(r"[–-]\d", scan.text[asked.end() : asked.end() + 2])
        name = scan.language.table("abbreviations_before_figures")["Qs" if several else "Q"]
        words = f"{name} {numbers.whole_words(int(asked[1]), scan.language)}"
        return Reading(asked.end(), words, "code")
    return None


_APERTURE: Final = Late(r"f/(\d{1,2}(?:\.\d)?)(?![\w/]|\.\d)", re.ASCII)
_ISOTOPE: Final = Late(r"([A-Z][a-z])-(\d{1,3})(?![\w-])", re.ASCII)


def _aperture(scan: Scan, at: int) -> Reading | None:
    """Read `f/2.8` of a lens: "f two point eight"."""
    found = _APERTURE.match(scan.text, at)
    number = scan.number(found.start(1)) if found and not scan.is_formula else None
    if found is None or number is None:
        return None
    return Reading(found.end(), named(f"f {scan.words_of(number)}"), "code")


def _isotope(scan: Scan, at: int) -> Reading | None:
    """Read `Cl-37`: the letters of an element and the number of one of its isotopes."""
    found = _ISOTOPE.match(scan.text, at)
    if found is None or found[1] not in scan.language.table("elements"):
        return None
    if not 3 <= int(found[2]) <= 300:
        return None
    letters = " ".join(found[1].upper())
    return Reading(found.end(), named(f"{letters} {short(scan, found[2])}"), "code")


_FORMS: Final = (
    _aperture,
    _isotope,
    _cells,
    fiscal,
    _team,
    _closed,
    _about,
    _lens,
    _extension,
    _based,
    _insured,
    _aged,
    _century,
    _road,
    _dotted,
    _decimal,
    _asked,
)
