"""Figures: which topic reads them, and those that are plain numbers."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.wording import (
    abbreviations,
    attributive,
    chemistry,
    codes,
    dates,
    day_hours,
    fractions,
    languages_of_templates,
    maths,
    measures,
    money,
    numbers,
    pairs,
    recurring,
    times_of_day,
    units,
    web,
)
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import Reading, Scan
from pausewright.wording.typed_forms import is_decimal_comma

if TYPE_CHECKING:
    from pausewright.wording.language import Language
    from pausewright.wording.scan import Doubt

STARTS: Final = frozenset("0123456789" + fractions.SIGNS)
"""Signs at which a figure may begin."""
_FIGURES: Final = (
    dates.read,
    times_of_day.read,
    money.read,
    chemistry.read,
    codes.read,
    measures.read,
    pairs.read,
    fractions.read,
)
"""Who is asked, in this order, where a figure stands."""
_RAISED_LETTERS: Final = tuple("ˣʸᵃᵇᵏᵐᵗ")
_SIMPLE: Final = Late(
    r"(?!0\d)\d{1,3}(?:,\d{3})*(?:[ ]([a-z]{4,})(?=[ .,;?!]|$)(?![ .]*\d)|[.?!]?$)", re.ASCII
)
"""A number before a plain word or at the end: only the words beside it can make more of it."""
_MAYBE_YEAR: Final = Late(r"(?:1[0-9]|20)\d\d", re.ASCII)
_ROUGHLY: Final = frozenset({"about", "around", "of", "and", "or", "to"})
_FROM_YEAR: Final = Late(r"\b(?:[Bb]etween|[Ff]rom) (?:1[0-9]|20)\d\d (?:and|to) $")
_NO_PLURALS: Final = frozenset({"was", "is", "as", "his", "this", "has", "its", "us", "thus"})
_CROSSED: Final = Late(r"(\d{1,3}|\d{4}(?=x\d{3}))x(\d{1,4})(?![\w.,]\d|\w)", re.ASCII)
_RELAY: Final = Late(r"(\d{1,2})[x×](?=\d{2,4} ?m(?!\w))", re.ASCII)
_ORDINAL: Final = Late(r"(\d{1,3}(?:,\d{3})+|\d+)(st|nd|rd|th)(s?)(?!\w)", re.ASCII)
_FEET: Final = Late(r"(\d{1,3})['′’][ -]?(?:(\d{1,2})([½¼¾])?[\"″”])?(?!\w)")
_CLOSED_FEET: Final = Late(r"([1-9])ft ?(\d{1,2})(?![\w.,])", re.ASCII)
_INCHES: Final = Late(r"(\d{1,3}(?:\.\d)?)([\"″”])(?!\w)")
_SEVERAL: Final = Late(r"(\d{1,3})(?:s|’s|'s)(?!\w)")
_SCALED: Final = Late(r"[ \u00a0]?(bn|tn|mn)(?!\w)")
_CALCULATED: Final = Late(
    r"(\d+(?:\.\d+)?)(?:E|e(?=[+−-])|(?<=\.\d)e)([+−-]?)(\d{1,3})(?!\w)", re.ASCII
)
_LOCATED: Final = Late(r"(\d(?:,\d)+)-(?=[a-z]{4})", re.ASCII)
_RECURS: Final = Late(r"\d*\.\d+(?:r(?!\w)|[ ]rec(?:urr)?\.|[ ]rec(?!\w))", re.ASCII)
_SCREEN: Final = Late(r"(480|720|1080|1440|2160)([pi])(?!\w)", re.ASCII)
_AGES: Final = Late(r"(\d{1,2})[–-](\d{1,2})s(?!\w)", re.ASCII)
_SPACED: Final = Late(r"[1-9]\d{0,2}(?: \d{3})+(?![\w,./]*\d)(?! \d{1,3}(?!\d))", re.ASCII)
_SPACED_ITEM: Final = Late(r"(?<![\d,.])\d{1,3} \d{3}(?=[,.;]|$| and | or )", re.ASCII)
_LIST: Final = Late(
    r"\d{1,2}(?:,\d{1,2}){2,}(?![\w,.:/]*\d)|\d{1,2},\d{1,2}(?=,? (?:and|or) \d)", re.ASCII
)


def read(scan: Scan, at: int) -> Reading | None:
    """Ask the topics in turn to read the figure at `at`; None if nobody can."""
    simple = _SIMPLE.match(scan.text, at) if scan.language.tag == "en" else None
    if simple is not None and simple[1] not in scan.language.units:
        return codes.told(scan, at) or _number(scan, at)
    known = (
        languages_of_templates.read(scan, at)
        or abbreviations.figures(scan, at)
        or _several(scan, at)
        or _calculated(scan, at)
        or _decimals_over(scan, at)
        or _screen(scan, at)
        or times_of_day.strokes(scan, at)
        or day_hours.span(scan, at)
        or _recurs(scan, at)
        or _located(scan, at)
    )
    if known is not None:
        return known
    if (begun := recurring.read(scan, at) or web.version(scan, at)) is not None:
        return begun
    for topic in _FIGURES:
        found = topic(scan, at)
        if found is not None:
            return found
    return (
        _ordinal(scan, at)
        or _crossed(scan, at)
        or maths.over(scan, at)
        or _feet(scan, at)
        or _list(scan, at)
        or _number(scan, at)
    )


@cache
def _weekdays(language: Language) -> frozenset[str]:
    """Return the names of days, short and long, in small letters."""
    days = language.table("calendar").get("days", {})
    return frozenset(one.lower() for one in (*days, *days.values()))


def _ordinal(scan: Scan, at: int) -> Reading | None:
    found = _ORDINAL.match(scan.text, at)
    if found is None or not scan.language.has("ordinals"):
        return None
    value = int(found[1].replace(",", ""))
    if len(str(value)) > numbers.MOST_DIGITS or found[2] != _suffix(value):
        return None
    words = numbers.ordinal_words(value, scan.language) + found[3]
    if scan.word_before(at).strip(".") in _weekdays(scan.language) and not found[3]:
        words = f"{scan.language.word('the')} {words}"  # "Sat. 4th"
    return Reading(found.end(), words, "ordinal")


def _several(scan: Scan, at: int) -> Reading | None:
    """Read "under-16s" and "count in 2s": several of a number, no seconds."""
    ages = _AGES.match(scan.text, at)
    if ages is not None and scan.word_before(at) in {"the", "for"} and scan.language.word("to"):
        first, last = (numbers.whole_words(int(one), scan.language) for one in ages.groups())
        last = last.removesuffix("y") + "ies" if last.endswith("y") else last + "s"
        return Reading(ages.end(), f"{first} {scan.language.word('to')} {last}", "number")
    found = _SEVERAL.match(scan.text, at)
    many = re.compile(r"(10|100|1000)s(?= of |(?<=00s)(?!\w)|, 100s)").match(scan.text, at)
    if many is not None and scan.language.has("ordinals"):
        name = numbers.whole_words(int(many[1]), scan.language).removeprefix("one ")
        return Reading(many.end(), f"{name}s", "number")
    told = scan.decide("plural_s", at, found.end()) if found else None
    if found is None or told is None:
        return None
    value = int(found[1])
    words = numbers.whole_words(value, scan.language) if value else scan.zero
    if words.endswith("y"):
        words = words.removesuffix("y") + "ies"
    else:
        words += "es" if words.endswith("x") else "s"
    return Reading(found.end(), words, "number", because=told.told(found[0]))


def _crossed(scan: Scan, at: int) -> Reading | None:
    """Read `4x4`, where a letter stands for ×."""
    relay = _RELAY.match(scan.text, at)
    if relay is not None and scan.language.word("by"):
        words = numbers.whole_words(int(relay[1]), scan.language)
        leg = measures.read(scan, relay.end())
        if leg is not None:
            return Reading(leg.end, f"{words} {scan.language.word('by')} {leg.words}", "size")
    found = _CROSSED.match(scan.text, at)
    by, times = scan.language.word("by"), scan.language.table("signs").get("×", "")
    if found is None or not by:
        return None
    a, b = (numbers.whole_words(int(one), scan.language) for one in found.groups())
    both = (("", f"{a} {by} {b}"), ("", f"{a} {times} {b}"))
    doubts = () if scan.word_before(at) in {"a", "the"} else (scan.doubt(at, found.end(), *both),)
    return Reading(found.end(), both[0][1], "size", doubts)


def _feet(scan: Scan, at: int) -> Reading | None:
    """Read feet and inches, which look like minutes and seconds: `5′ 6″`, `12'`, `6"`."""
    if "ft" not in scan.language.units:
        return None
    text = scan.text
    closed = _CLOSED_FEET.match(text, at)
    if closed is not None:
        feet = scan.language.units["ft"]
        first, last = (numbers.whole_words(int(one), scan.language) for one in closed.groups())
        return Reading(closed.end(), f"{first} {feet.many} {last}", "measure")
    found = _FEET.match(text, at)
    if found is None or (
        found[2] is None
        and found[0][len(found[1])] != "′"
        and not _is_length(scan, found)
        and not (scan.mentions("durations") and scan.text.count("'") + scan.text.count("’") == 1)
    ):
        return _inches(scan, at)
    if found[2] is not None and scan.decide("seconds", at, found.end()) is not None:
        parts = []
        for value, symbol in ((found[1], "min"), (found[2], "s")):
            length = scan.language.units[symbol]
            called = length.one if value == "1" else length.many
            parts.append(f"{numbers.whole_words(int(value), scan.language)} {called}")
        return Reading(found.end(), " ".join(parts), "time")
    if found[2] is None and (scan.mentions("strands") or ("5′" in scan.text and "3′" in scan.text)):
        prime = scan.language.table("primes")["′"]
        return Reading(
            found.end(), f"{numbers.whole_words(int(found[1]), scan.language)} {prime}", "code"
        )
    if found[2] is None and scan.mentions("durations"):
        minute = scan.language.units["min"]
        called = minute.one if found[1] == "1" else minute.many
        lasting = numbers.whole_words(int(found[1]), scan.language)
        return Reading(found.end(), f"{lasting} {called}", "time")
    words, other = [], []
    for figure, unit, angle in (
        (found[1], "ft", "minute_of_angle"),
        (found[2], "in", "second_of_angle"),
    ):
        if figure is not None:
            name = scan.language.units[unit]
            number = scan.number(at if unit == "ft" else found.start(2))
            value = scan.words_of(number) if number else figure
            if found[3] and unit == "in":
                value = f"{value} {scan.language.word('and')} {_half(scan, found[3])}"
            alone = attributive.is_attribute(scan, at, found.end())
            if alone and found[2] is not None and unit == "in":
                words.append(value)  # "a six foot two man"
                other.append(f"{value} {scan.language.pair(angle, one=figure == '1')}")
                continue
            words.append(f"{value} {name.one if figure == '1' or alone else name.many}")
            other.append(f"{value} {scan.language.pair(angle, one=figure == '1')}")
    said = " ".join(words)
    if "°" not in text:
        return Reading(found.end(), said, "measure")
    doubt = scan.doubt(at, found.end(), ("", said), ("", " ".join(other)))
    return Reading(found.end(), said, "measure", (doubt,))


def _half(scan: Scan, sign: str) -> str:
    whole = fractions.fraction_at("0" + sign, 0)
    words = fractions.fraction_words(whole, scan) if whole else ""
    return words.partition(f" {scan.language.word('and')} ")[2]


def _is_length(scan: Scan, found: re.Match[str]) -> bool:
    """Say whether a straight stroke behind a figure means feet."""
    after = scan.text[found.end() : found.end() + 12]
    return bool(
        re.match(
            r"[ \u00a0]?[×x][ \u00a0]?\d|"
            r"[ \u00a0](?:by|tall|long|wide|high|deep|thick|even|exactly|away)\b",
            after,
        )
        or re.search(r"[×x][ \u00a0]?$", scan.text[: found.start()])
        or (re.match(r"[ \u00a0][a-z]{3,}", after) and len(re.findall("['‘’]", scan.text)) == 1)
    )


def _inches(scan: Scan, at: int) -> Reading | None:
    """Read `6"`, where no quotation is open that the sign could close."""
    found = _INCHES.match(scan.text, at)
    if found is None:
        return None
    head = re.sub(r"(?<=[\d½¼¾⅛⅜⅝⅞])\"", "", scan.text[:at])
    if found[2] == '"' and head.count('"') % 2:
        return None
    if found[2] == "”" and head.count("“") > head.count("”"):
        return None
    number = scan.number(at)
    if number is None:
        return None
    name = scan.language.units["in"]
    one = number.is_one or attributive.is_attribute(scan, at, found.end())
    one |= (
        re.match(r"[ \u00a0](?!across|is|was|less|this)[a-z]{2,}s(?!\w)", scan.text[found.end() :])
        is not None
    )
    return Reading(
        found.end(), f"{scan.words_of(number)} {name.one if one else name.many}", "measure"
    )


def _calculated(scan: Scan, at: int) -> Reading | None:
    """Read `1.2E-5` and `3e8` as calculators show them."""
    found = _CALCULATED.match(scan.text, at)
    words = scan.language.word("ten_power")
    number = scan.number(at) if found else None
    if found is None or number is None or not words:
        return None
    minus = f"{scan.language.word('minus')} " if found[2] and found[2] in "-−" else ""
    power = numbers.whole_words(int(found[3]), scan.language)
    said, end = f"{scan.words_of(number)} {words} {minus}{power}", found.end()
    unit = units.unit_at(scan, end + 1) if scan.text[end : end + 1] in {" ", "\u00a0"} else None
    if unit is not None and scan.text[end + 1 : unit[2]] not in {"in", "a", "at"}:
        return Reading(unit[2], f"{said} {units.unit_words(scan, unit[0], unit[1])}", "measure")
    return Reading(end, said, "number")


def _screen(scan: Scan, at: int) -> Reading | None:
    """Read `1080p`: the lines of a picture, no pence."""
    found = _SCREEN.match(scan.text, at)
    if found is None or not scan.language.has("web"):
        return None
    head, tail = found[1][:-2], found[1][-2:]
    said = " ".join(numbers.whole_words(int(one), scan.language) for one in (head, tail))
    return Reading(found.end(), named(f"{said} {found[2]}"), "code")


def _located(scan: Scan, at: int) -> Reading | None:
    """Read the places of `1,2-dibromoethane`."""
    found = _LOCATED.match(scan.text, at)
    if found is None or not scan.language.has("elements"):
        return None
    said = (numbers.whole_words(int(one), scan.language) for one in found[1].split(","))
    return Reading(found.end(1), ", ".join(said), "list")


def _recurs(scan: Scan, at: int) -> Reading | None:
    """Read `0.3r` and `0.3 rec.`: a decimal that recurs."""
    found = _RECURS.match(scan.text, at)
    number, word = scan.number(at), scan.language.word("recurring")
    if found is None or number is None or not word:
        return None
    ends = "." if found[0].endswith(".") and not scan.text[found.end() :].strip() else ""
    return Reading(found.end(), f"{scan.words_of(number)} {word}{ends}", "number")


def _list(scan: Scan, at: int) -> Reading | None:
    """Read figures with commas and no blanks: `2,4,6`."""
    found = _LIST.match(scan.text, at)
    if found is None or scan.language.tag != "en":
        return None
    if is_decimal_comma(found[0], scan.text[found.end() :]):
        return None
    items = (numbers.number_at(one, 0, scan.language) for one in found[0].split(","))
    return Reading(found.end(), ", ".join(scan.words_of(n) for n in items if n), "list")


_DECIMALS_OVER: Final = Late(r"(?=\d+\.\d|\d+/\d+\.)(\d+(?:\.\d+)?)/(\d+(?:\.\d+)?)(?![\w/]|\.\d)")


def _decimals_over(scan: Scan, at: int) -> Reading | None:
    """Read `3.5/0.7`, a quotient one of whose numbers is a decimal: "over"."""
    found = _DECIMALS_OVER.match(scan.text, at)
    over = scan.language.word("over")
    if found is None or not over or "." not in found[0] or scan.language.tag != "en":
        return None
    top, bottom = (numbers.number_at(one, 0, scan.language) for one in found.groups())
    if top is None or bottom is None:
        return None
    return Reading(found.end(), f"{scan.words_of(top)} {over} {scan.words_of(bottom)}", "number")


def _number(scan: Scan, at: int) -> Reading | None:
    text, number = scan.text, scan.number(at)
    if number is None or len(number.whole) > numbers.MOST_DIGITS:
        return None
    end = number.end
    following = text[end : end + 1]
    if following and following in ".,:/⁄" and text[end + 1 : end + 2].isdigit():
        return None
    if (
        following.isalpha()
        and following not in _RAISED_LETTERS
        and maths.letters(scan, end) is None
    ):
        return None
    if following == "_":
        return None
    words = scan.words_of(number)
    scaled = _SCALED.match(text, end)
    if scaled is not None and scan.language.has("amounts"):
        return Reading(
            scaled.end(), f"{words} {scan.language.table('amounts')[scaled[1]]}", "number"
        )
    written = text[at:end]
    doubts: tuple[Doubt, ...] = ()
    is_sum = scan.beside_operator(at, end)
    if _MAYBE_YEAR.fullmatch(written) and not is_sum and following not in tuple(STARTS):
        return _maybe_year(scan, at, end, words)
    spaced = _SPACED.match(text, at)
    if (
        spaced
        and not number.places
        and not is_sum
        and (
            len(spaced[0]) > len("123 456")
            or not _is_listed(text, spaced)
            or len(_SPACED_ITEM.findall(text)) > 1
        )
    ):
        whole = numbers.whole_words(int(spaced[0].replace(" ", "")), scan.language)
        if len(spaced[0]) != len("123 456") or scan.word_after(spaced.end()).islower():
            return Reading(spaced.end(), whole, "number")
        apart = " ".join(numbers.whole_words(int(one), scan.language) for one in spaced[0].split())
        doubts = (scan.doubt(at, spaced.end(), ("", whole), ("", apart)),)
        return Reading(spaced.end(), whole, "number", doubts)
    going_on = re.match(r"(?:…|\.\.\.)(?!\d)", text[end:])
    if going_on and number.places and scan.language.word("and_so_on"):
        return Reading(end + going_on.end(), f"{words} {scan.language.word('and_so_on')}", "number")
    return Reading(end, words, "number", doubts)


def _maybe_year(scan: Scan, at: int, end: int, words: str) -> Reading:
    """Read four figures that may be a year: by the words beside them, else doubted."""
    written = scan.text[at:end]
    if not scan.language.has("calendar"):
        return Reading(end, words)
    year = dates.year_words(written, scan.language)
    told = scan.decide("four_figures", at, end)
    after = scan.word_after(end)
    counted = after.islower() and after.endswith("s") and after not in _NO_PLURALS
    counted = counted and not _FROM_YEAR.search(scan.text[max(0, at - 20) : at])
    if told is not None and told.reads == "year" and counted and told.cue in _ROUGHLY:
        return Reading(
            end, words, because=f"‘{written}’ read as number: “{after}”: they are counted"
        )
    if told is not None and told.sure:
        said = year if told.reads == "year" else words
        kind = "date" if told.reads == "year" else "number"
        return Reading(end, said, kind, because=told.told(written))
    if written[:2] == "10":
        return Reading(end, words)
    choices = [("number", words), ("year", year)]
    if not counted:
        choices.reverse()
    return Reading(end, choices[0][1], "date", (scan.doubt(at, end, *choices),))


def _is_listed(text: str, found: re.Match[str]) -> bool:
    if re.match(r"[ \u00a0][a-z]{3,}", text[found.end() :]):
        return False  # "…, 9 412 people"
    return text[: found.start()].rstrip().endswith(",") or text[found.end() :].startswith(",")


def _suffix(value: int) -> str:
    if value % 100 in {11, 12, 13}:
        return "th"
    return {1: "st", 2: "nd", 3: "rd"}.get(value % 10, "th")
