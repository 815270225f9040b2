"""Code numbers, telephone numbers, and names made of letters and figures: `A4`, `7B`, `M25`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import code_forms, day_hours, numbers, units
from pausewright.wording.code_digits import FEW, code_words, phone_words, short
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_PHONE: Final = Late(
    r"(?:\+\d{1,3}[ \u00a0-]?)?(?:\(0\)[ \u00a0]?)?\(?(?P<lead>\d{2,5})\)?"
    r"(?:[ \u00a0-]\d{2,8}){1,4}(?![\w.,/–-]*\d)(?![\w°%])",
    re.ASCII,
)
_AMERICAN: Final = Late(
    r"(?:(?:\+?1[ \u00a0.-])?\d{3}[ \u00a0.-]\d{3}[ \u00a0.-]\d{4}|1-\d{3}-[A-Z]{4,7})"
    r"(?![\w.,/–-]*\d)(?!\w)",
    re.ASCII,
)
_TOLL_FREE: Final = Late(r"\+?1[ \u00a0.-]800[ \u00a0.-]")
_BRACKETED: Final = Late(r"\(\d{3,5}\)[ \u00a0]?\d{3,4}[ \u00a0-]?\d{3,4}(?!\w)", re.ASCII)
_LOCAL: Final = Late(r"[1-9]\d{2}[ \u00a0]\d{4}(?![\w.,:/–-]*\d)(?![\w°%])", re.ASCII)
_LOCAL_HYPHEN: Final = Late(r"[1-9]\d{2}-\d{4}(?![\w.,:/–-]*\d)(?![\w°%])", re.ASCII)
_DIGITS: Final = Late(r"\d+(?:[ \u00a0]\d{2,})*(?![\w:/–]*\d)(?!\.\d|,\d)(?![\w°%²³])", re.ASCII)
_SINGLE: Final = Late(r"\d+(?![\w:/–-]*\d)(?!\.\d|,\d)(?![\w%²³])", re.ASCII)
_HYPHENED: Final = Late(r"\d+(?:-\d+)+(?![\w/-])(?!\.\d)", re.ASCII)
_TIMES: Final = Late(r"(?:(\d+(?:\.\d+)?)(?:[–-]|[ ]to[ ]))?(\d+(?:\.\d+)?)[x×](?![\w×])", re.ASCII)
_BINARY: Final = Late(r"[01]{2,}(?=₂)|[01]{2,}(?![\d:/]|[.,]\d)(?!\w)|\d{2,}(?=₈)", re.ASCII)
_BINARY_LED: Final = Late(r"(?<![\d.,])(?<!\d[ \u00a0])0[01]{2,}(?![\d.,])|[01]{2}₂")
_CENTURY: Final = Late(
    r"(\d{1,2})(?:st|nd|rd|th)(?:[Cc](?!\w)\.?|(?:[ \u00a0]|-)(?:[Cc](?:\.|(?!\w))|cent\.))"
)
_STATE: Final = Late(r"([A-Z]{2})(?:[ \u00a0](\d{5}(?:-\d{4})?))?(?![\w-])", re.ASCII)
_QUADRANT: Final = Late(r"([NS])[ \u00a0]?(\d{1,2}(?:\.\d)?)°[ \u00a0]?([EW])(?!\w)", re.ASCII)
_TRIPLE: Final = Late(r"\d{1,2}(?:[-–]\d{1,2}){2,3}(?![\w–-])", re.ASCII)
_GROUPS: Final = Late(r"\d{1,7}(?:-\d{1,7}){2,}(?![\w/°%-])(?!\.\d)", re.ASCII)
_OPEN_GROUPS: Final = Late(r"\d{2,7}(?:-\d{1,7})*-(?![\wΩµμ°–-])", re.ASCII)
_PADDED: Final = Late(r"\d{2,}[-/]0\d+(?![\w/°%-])(?!\.\d)", re.ASCII)
_LETTERED: Final = Late(r"(\d{3,8})[-/]([A-Z]{1,3})(?![\w-])", re.ASCII)
_ZERO_LED: Final = Late(r"0\d+(?![\w.,:/°%]*\d)(?![\w°])", re.ASCII)
_LETTERS_FIRST: Final = Late(
    r"(?P<letters>[A-Z]{1,4})(?P<mark>[- \u00a0]?)(?P<figure>\d{1,6})"
    r"(?P<last>(?:[A-Z]{0,2}|[a-d]))(?![\w/°%])(?!\.\d)",
    re.ASCII,
)
_POSTCODE: Final = Late(r"([A-Z]{1,2})(\d[A-Z]|\d{1,2})[ \u00a0](\d)([A-Z]{2})(?!\w)", re.ASCII)
_MIXED: Final = Late(
    r"(?=[A-Z0-9/-]*\d)(?=[A-Z0-9/-]*[A-Z])[A-Z0-9]+(?:[-/][A-Z0-9]+)*(?![\w])", re.ASCII
)
_GRID: Final = Late(r"(?!HW|LW)([A-HJ-Z]{2})[ \u00a0]?(\d{2,5})[ \u00a0]?(\d{2,5})(?!\w)", re.ASCII)
_FIGURE_FIRST: Final = Late(
    r"(?P<figure>\d{1,4})(?P<letters>[A-Z]{1,3}|[a-h])(?P<more>\d*)(?![\w/°%²³₀-₉])", re.ASCII
)
_SMALL_FIRST: Final = Late(r"([A-Za-z][a-z]{2,})(\d{1,6})(?![\w.-])", re.ASCII)
"""A word with figures behind it, as in passwords: `cat123`."""
_YEARS: Final = frozenset({"1", "2", "3", "4", "5", "6", "8"})
"""Years to which a school goes from kindergarten on: K-5."""
_BEFORE_DATE: Final = frozenset({"on", "by", "due", "until", "till", "before", "after", "since"})
_PHONE_DIGITS: Final = 9
"""With so many figures that begin with 0 or + there is no other reading."""


def read(scan: Scan, at: int) -> Reading | None:
    """Read a telephone number, or figures that are said one by one."""
    if scan.language.tag != "en":
        return None
    return (
        _century(scan, at)
        or _following(scan, at)
        or _phone(scan, at)
        or told(scan, at)
        or _grouped(scan, at)
        or _hexadecimal(scan, at)
        or _zero_led(scan, at)
        or _mixed(scan, at)
        or _figure_first(scan, at)
    )


def _following(scan: Scan, at: int) -> Reading | None:
    """Read `12ff.`: a page and those that follow."""
    found = _FOLLOWING.match(scan.text, at)
    following = scan.language.word("and_following")
    if found is None or not following:
        return None
    ends = "." if not scan.text[found.end() :].strip("\"”’') ") else ""
    said = numbers.whole_words(int(found[1]), scan.language)
    return Reading(found.end(), f"{said} {following}{ends}", "code")


_FOLLOWING: Final = Late(r"(\d{1,4})ff\.?(?!\w)", re.ASCII)


def _century(scan: Scan, at: int) -> Reading | None:
    """Read `17thC` and `12th C.`; a sentence may end with its full stop."""
    found = _CENTURY.match(scan.text, at)
    if found is None:
        return None
    ordinal = numbers.ordinal_words(int(found[1]), scan.language)
    ends = "." if found[0][-1] == "." and not scan.text[found.end() :].strip("\"”’') ") else ""
    return Reading(found.end(), f"{ordinal} {scan.language.word('century')}{ends}", "date")


def bracketed_phone(scan: Scan, at: int) -> Reading | None:
    """Read `(555) 555-0134`."""
    found = _BRACKETED.match(scan.text, at) if scan.language.tag == "en" else None
    return (
        None
        if found is None
        else Reading(found.end(), phone_words(scan, found[0].strip("(")), "code")
    )


def _phone(scan: Scan, at: int) -> Reading | None:
    american = _AMERICAN.match(scan.text, at) or _BRACKETED.match(scan.text, at)
    if american:
        words = phone_words(scan, american[0])
        if _TOLL_FREE.match(american[0]):  # a freephone number's "eight hundred"
            words = re.sub(r"eight (?:zero|oh) (?:zero|oh)", "eight hundred", words, count=1)
        return Reading(american.end(), words, "code")
    phone = _PHONE.match(scan.text, at)
    if phone and (phone["lead"][0] == "0" or phone[0][0] == "+"):
        words = phone_words(scan, phone[0])
        told = scan.decide("figures", at, phone.end())
        if told is not None and told.reads == "code":
            return Reading(
                phone.end(), code_words(scan, phone[0]), "code", because=told.told(phone[0])
            )
        if (
            len(re.findall(r"\d", phone[0])) >= _PHONE_DIGITS
            or phone[0][0] == "+"
            or told is not None
        ):
            return Reading(phone.end(), words, "code")
        code = code_words(scan, phone[0].lstrip("+"))
        doubt = scan.doubt(at, phone.end(), ("phone", words), ("code", code))
        return Reading(phone.end(), words, "code", (doubt,))
    for pattern in (_LOCAL_HYPHEN, _LOCAL):
        local = pattern.match(scan.text, at)
        if local is None:
            continue
        words = phone_words(scan, local[0])
        told = scan.decide("dash", at, local.end()) or scan.decide("figures", at, local.end())
        if told is not None and told.reads == "phone":
            return Reading(local.end(), words, "code", because=told.told(local[0]))
        if told is not None or scan.is_formula:
            continue
        apart = " ".join(
            numbers.whole_words(int(one), scan.language) for one in re.split("[ \u00a0-]", local[0])
        )
        doubt = scan.doubt(at, local.end(), ("phone", words), ("", apart))
        return Reading(local.end(), words, "code", (doubt,))
    return None


def told(scan: Scan, at: int) -> Reading | None:
    """Read figures that the words beside them make a code or a telephone number."""
    triple = _TRIPLE.match(scan.text, at)
    if triple and (
        (scan.word_before(at) in {"combination", "is", "code"} and scan.mentions("locks"))
        or scan.word_after(triple.end())
        in {"triangle", "triangles", "split", "formation", "record"}
        or scan.word_before(at) in {"record", "formation"}
        or (triple[0].count("–") > 1 and not scan.is_formula)
        or re.search(r"\brecord (?:is|was|of) $", scan.text[:at])
    ):
        parts = [
            numbers.whole_words(int(one), scan.language) for one in re.split("[-–]", triple[0])
        ]
        return Reading(triple.end(), ", ".join(parts), "code")
    if (clock := day_hours.time(scan, at)) is not None:
        return clock
    times = _TIMES.match(scan.text, at)
    if times is not None and (cue := scan.decide("times_x", at, times.end())) is not None:
        number, first = scan.number(times.start(2)), scan.number(at)
        words = f"{scan.words_of(number)} {scan.language.table('signs')['×']}" if number else ""
        if times[1] and first is not None:
            words = f"{scan.words_of(first)} {scan.language.word('to')} {words}"
        return Reading(times.end(), words, "number", because=cue.told(times[0])) if words else None
    binary = _BINARY.match(scan.text, at)
    if binary is not None and (
        (len(binary[0]) > FEW and _BINARY_LED.search(scan.text))
        or (scan.mentions("binaries") and scan.word_before(at) not in {"to", "into"})
        or scan.text[binary.end() : binary.end() + 1] in tuple("₂₈")
    ):
        return Reading(binary.end(), code_words(scan, binary[0]), "code")
    for pattern in (_HYPHENED, _DIGITS, _SINGLE):
        found = pattern.match(scan.text, at)
        if found is None or _is_measured(scan, found.end()):
            continue
        cue = scan.decide("figures", at, found.end())
        if cue is None:
            if re.fullmatch(r"1[1-9]\d\d|20\d\d", found[0]):
                cue = scan.decide("four_figures", at, found.end())
                cue = cue if cue is not None and cue.reads == "code" else None
            if cue is None:
                continue
        if cue.reads == "bearing":
            end = found.end()
            return Reading(end, code_words(scan, found[0]), "code", because=cue.told(found[0]))
        if len(found[0]) <= FEW and found[0][0] != "0":
            return None
        words = (phone_words if cue.reads == "phone" else code_words)(scan, found[0])
        return Reading(found.end(), words, "code", because=cue.told(found[0]))
    return None


def _is_measured(scan: Scan, end: int) -> bool:
    """Say whether a unit stands behind figures: "a train 120 m long" names no train."""
    if scan.text[end : end + 1] not in {" ", "\u00a0"}:
        return False
    unit = units.unit_at(scan, end + 1)
    if unit is None:
        return False
    symbol = scan.text[end + 1 : unit[2]]
    return symbol not in {"in", "at", "d", "u", "st", "a"} and not symbol.isupper()


def _grouped(scan: Scan, at: int) -> Reading | None:
    padded = _PADDED.match(scan.text, at)
    dated = "/" in (padded[0] if padded else "") and scan.word_before(at) in _BEFORE_DATE
    if padded is not None and not dated and not scan.beside_operator(at, padded.end()):
        return Reading(padded.end(), code_words(scan, padded[0]), "code")
    lettered = _LETTERED.match(scan.text, at)
    if lettered is not None and not scan.is_formula and lettered[2] not in tuple("VWAKNJ"):
        letters = " ".join(lettered[2])
        return Reading(lettered.end(), f"{code_words(scan, lettered[1])} {named(letters)}", "code")
    groups = _GROUPS.match(scan.text, at) or _OPEN_GROUPS.match(scan.text, at)
    if groups is None or scan.beside_operator(at, groups.end()):
        return None
    return Reading(groups.end(), code_words(scan, groups[0]), "code")


def _hexadecimal(scan: Scan, at: int) -> Reading | None:
    """Read `0x1F` and `0b101`."""
    found = re.compile(r"0[xb]([0-9A-Fa-f]{1,16})(?!\w)", re.ASCII).match(scan.text, at)
    if found is None:
        return None
    digits = numbers.digits(found[0], "zero", language=scan.language).replace(",", "")
    return Reading(found.end(), named(digits), "code")


def _zero_led(scan: Scan, at: int) -> Reading | None:
    zero_led = _ZERO_LED.match(scan.text, at)
    if zero_led is None:
        return None
    words = code_words(scan, zero_led[0])
    return Reading(zero_led.end(), words, "code")


def _figure_first(scan: Scan, at: int) -> Reading | None:
    """Read `7B` and `3D`."""
    found = _FIGURE_FIRST.match(scan.text, at)
    if found is None or scan.beside_operator(at, found.end()):
        return None
    if found["letters"] in {"g", "h"} and scan.word_before(at) not in scan.language.listed(
        "measures", "named"
    ):
        return None
    if found["letters"] == "L" and not found["more"]:
        told = scan.decide("letter_unit", at, found.end())
        if told is None or told.reads == "unit":
            return None
    if found["letters"] in {"KB", "MB", "GB", "TB"} and not found["more"]:
        return None
    if found["letters"] in {"C", "F"} and len(found["figure"]) > 1 and scan.mentions("heat"):
        return None
    if len(found["letters"]) == 1 and found["letters"] in "NVWJLA":
        told = scan.decide("letter_unit", at, found.end())
        if (
            told is not None
            and told.reads == "unit"
            and (scan.word_after(found.end()) != "" or found["letters"] in "VWNJA")
        ):
            return None
    letters = " ".join(found["letters"].upper())
    words = f"{short(scan, found['figure'])} {letters}"
    if found["more"]:
        words += f" {short(scan, found['more'])}"
    return Reading(found.end(), named(words), "code")


def _mixed(scan: Scan, at: int) -> Reading | None:
    """Read a code of capitals and figures in turn: `7K4-QP2`, `XJ9-441`."""
    found = _MIXED.match(scan.text, at)
    if found is None or scan.beside_operator(at, found.end()):
        return None
    if len(re.findall(r"\d+|[A-Z]+", found[0])) < 3:
        return None
    groups = []
    for group in re.split("[-/]", found[0]):
        runs = re.findall(r"\d+|[A-Z]+", group)
        groups.append(" ".join(short(scan, r) if r.isdigit() else " ".join(r) for r in runs))
    return Reading(found.end(), named(", ".join(groups)), "code")


def read_letters(scan: Scan, at: int) -> Reading | None:
    """Read a code that begins with letters: `A4`, `B12`, `M25`, `A303`, `LS1 4AB`, `SK 205 770`."""
    if scan.language.tag != "en":
        return None
    quadrant = _QUADRANT.match(scan.text, at)
    names = scan.language.table("compass")
    if quadrant is not None and names and (number := scan.number(quadrant.start(2))) is not None:
        degrees = scan.language.pair("degree", one=number.is_one)
        words = f"{names[quadrant[1]]} {scan.words_of(number)} {degrees} {names[quadrant[3]]}"
        return Reading(quadrant.end(), words, "measure")
    state = _STATE.match(scan.text, at)
    states = scan.language.table("states")
    if (
        state is not None
        and state[1] in states
        and ((state[2] and state[1] != "ID") or re.search(r"[a-z],[ \u00a0]$", scan.text[:at]))
    ):
        words = states[state[1]]
        if state[2]:
            words += f" {code_words(scan, state[2])}"
        return Reading(state.end(), words, "code")
    postcode = _POSTCODE.match(scan.text, at)
    if postcode:
        outer = " ".join(
            short(scan, r) if r.isdigit() else r for r in re.findall(r"\d+|[A-Z]", postcode[2])
        )
        inner = f"{short(scan, postcode[3])} {' '.join(postcode[4])}"
        return Reading(postcode.end(), named(f"{' '.join(postcode[1])} {outer}, {inner}"), "code")
    grid = _GRID.match(scan.text, at)
    if (fiscal := code_forms.fiscal(scan, at)) is not None:
        return fiscal
    if grid and len(grid[2]) == len(grid[3]) and (" " in grid[0] or scan.mentions("grids")):
        letters = " ".join(grid[1])
        return Reading(
            grid.end(),
            named(f"{letters}, {code_words(scan, grid[2])}, {code_words(scan, grid[3])}"),
            "code",
        )
    small = _SMALL_FIRST.match(scan.text, at)
    if small is not None and scan.mentions("passwords"):
        return Reading(small.end(), f"{small[1]} {code_words(scan, small[2])}", "code")
    if (known := code_forms.read(scan, at)) is not None:
        return known
    found = _LETTERS_FIRST.match(scan.text, at)
    if found is None:
        return _mixed(scan, at) if scan.text[at].isascii() and scan.text[at].isupper() else None
    if found["last"].isupper() and re.match(r"-\d", scan.text[found.end() : found.end() + 2]):
        return _mixed(scan, at)
    if found["letters"] == "K" and found["mark"] == "-" and found["figure"] in _YEARS:
        last = numbers.whole_words(int(found["figure"]), scan.language)
        return Reading(found.end(), named(f"K {scan.language.word('to')} {last}"), "code")
    if found["mark"].strip("-") and not _is_spaced_code(scan, at, found):
        return None
    letters = " ".join(found["letters"])
    last = " " + " ".join(found["last"].upper()) if found["last"] else ""
    return Reading(found.end(), named(f"{letters} {short(scan, found['figure'])}{last}"), "code")


def grade(scan: Scan, at: int) -> Reading | None:
    """Read the minus of "A- grade"."""
    text = scan.text
    if not re.match(r"[-−–](?=[\s,.;:)?!]|$)", text[at:]) or not scan.language.word("minus"):
        return None
    lone = re.search(r"(?<!\w)[A-F]$", text[max(0, at - 2) : at])
    if lone is None or not (
        scan.mentions("grades") or re.search(r"(?<!\w)[A-F]\+(?!\w)", scan.text)
    ):
        return None
    return Reading(at + 1, f" {scan.language.word('minus')}", "sign")


def _is_spaced_code(scan: Scan, at: int, found: re.Match[str]) -> bool:
    """Say whether capitals, a blank and figures are one code: "flight BA 207"."""
    return len(found["letters"]) > 1 and scan.word_before(at) in scan.language.listed(
        "codes", "spaced"
    )
