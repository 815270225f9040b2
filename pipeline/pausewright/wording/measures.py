"""Measures: a number and its unit, percentages, temperatures, angles.

Unit names follow BIPM, SI Brochure, and NIST SP 330: singular for exactly 1, plural for all other
values, 0.6 too ("nought point six miles", Swan, Practical English Usage).
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.wording import fractions, measure_signs, numbers
from pausewright.wording.attributive import is_attribute
from pausewright.wording.patterns import Late
from pausewright.wording.scan import BLANK, OPERATORS, Reading
from pausewright.wording.units import Term, per_words, product, unit_at

if TYPE_CHECKING:
    from pausewright.wording.scan import Doubt, Scan

_SPACED: Final = Late(r"[1-9]\d{0,2}(?: \d{3})+(?=[ \u00a0]?[a-zA-Zµ°%])(?! \d)", re.ASCII)


_CLOSED_PART: Final = Late(r"\d{0,3}[½¼¾⅓⅔⅛](?=[a-z]{2}(?![a-z]))")
_GAP: Final = Late(f"{BLANK}?")


_DASH: Final = Late(rf"{BLANK}?[–-]{BLANK}?")


@frozen
class Quantity:
    """A number, fraction or mixed number before a unit."""

    end: int
    words: str
    is_one: bool
    fraction: fractions.Fraction | None = None
    written: str = ""


def quantity_at(scan: Scan, at: int) -> Quantity | None:
    """Return the number, fraction or mixed number that begins at `at`."""
    found = fractions.fraction_at(scan.text, at) if scan.language.has("ordinals") else None
    closed = _CLOSED_PART.match(scan.text, at) if found is None else None
    if closed is not None and scan.language.has("ordinals"):
        found = fractions.fraction_at(scan.text[: closed.end()], at)
    if found is not None:
        words = fractions.fraction_words(found, scan)
        return Quantity(found.end, words, is_one=False, fraction=found)
    spaced = _SPACED.match(scan.text, at)
    if spaced is not None and scan.language.tag == "en":
        value = numbers.whole_words(int(spaced[0].replace(" ", "")), scan.language)
        return Quantity(spaced.end(), value, is_one=False, written=spaced[0])
    number = scan.number(at)
    if number is None:
        return None
    return Quantity(
        number.end, scan.words_of(number), is_one=number.is_one, written=scan.text[at : number.end]
    )


def read(scan: Scan, at: int) -> Reading | None:
    """Read a number with a unit, a per cent sign or a degree sign, or a range of such."""
    if not scan.language.has("units") and not scan.language.word("percent"):
        return None
    first = quantity_at(scan, at)
    if first is None:
        return None
    if (angles := measure_signs.angles(scan, at)) is not None:
        return angles
    dash = _DASH.match(scan.text, first.end)
    if dash is not None:
        second = quantity_at(scan, dash.end())
        if second is not None and (found := _measured(scan, at, second)) is not None:
            words = f"{first.words} {scan.language.word('to')} {found.words}"
            return Reading(found.end, words, found.kind, found.doubts)
    found = _of_a_named_unit(scan, at, first) or _measured(scan, at, first)
    return None if found is None else _to_another(scan, found)


def _to_another(scan: Scan, found: Reading) -> Reading:
    """Read `5 %–10 %`: a dash and another measure after the first."""
    dash = _DASH.match(scan.text, found.end)
    second = quantity_at(scan, dash.end()) if dash else None
    last = _measured(scan, dash.end(), second) if dash and second else None
    if last is None:
        return found
    words = f"{found.words} {scan.language.word('to')} {last.words}"
    return Reading(last.end, words, last.kind, (*found.doubts, *last.doubts))


def _measured(scan: Scan, at: int, quantity: Quantity) -> Reading | None:
    text, language = scan.text, scan.language
    gap = _GAP.match(text, quantity.end)
    after = gap.end() if gap else quantity.end
    sign = text[after : after + 1]
    if (
        sign == "%"
        and (found := measure_signs.remainder(scan, at, after, quantity.words)) is not None
    ):
        return found
    if sign in {"%", "‰"} and language.word("percent"):
        name = language.word("percent" if sign == "%" else "permille")
        if name:
            return Reading(after + 1, f"{quantity.words} {name}", "measure")
    if not language.has("units"):
        return None
    if (
        sign in {'"', "″", "”"}
        and "in" in language.units
        and quantity.fraction is not None
        and not _is_quoted(text, at, sign)
    ):
        inch = language.units["in"]
        if quantity.fraction.is_proper and not is_attribute(scan, at, after + 1):
            return Reading(after + 1, _part_of(scan, quantity, inch.one), "measure")
        before_noun = quantity.fraction.is_proper
        name = inch.one if before_noun else inch.many
        part = fractions.attribute_words(quantity.fraction, scan) if before_noun else ""
        return Reading(after + 1, f"{part or quantity.words} {name}", "measure")
    if text[after : after + 2] in {"C°", "F°"}:
        degrees = language.pair("degree", one=quantity.is_one)
        scale = "Celsius" if sign == "C" else "Fahrenheit"
        return Reading(after + 2, f"{quantity.words} {degrees} {scale}", "measure")
    heat = _HEAT.match(text, after)
    if heat is not None and quantity.written.isdigit() and scan.mentions("heat"):
        scale = "Celsius" if heat[1] == "C" else "Fahrenheit"
        degrees = language.pair("degree", one=quantity.is_one or is_attribute(scan, at, heat.end()))
        return Reading(heat.end(), f"{quantity.words} {degrees} {scale}", "measure")
    spaced = re.compile(r"(?:°|deg\.?)[ \u00a0]([CF])(?!\w)").match(text, after)
    if spaced is not None:
        degrees = language.pair(
            "degree", one=quantity.is_one or is_attribute(scan, at, spaced.end())
        )
        scale = "Celsius" if spaced[1] == "C" else "Fahrenheit"
        return Reading(spaced.end(), f"{quantity.words} {degrees} {scale}", "measure")
    molar = _MOLAR.match(text, after) if language.has("elements") else None
    if molar is not None:
        return Reading(after + 1, f"{quantity.words} {language.word('molar')}", "measure")
    if sign == "°" and text[after + 1 : after + 2] not in {"C", "F"}:
        return _angle(scan, at, after, quantity)
    if sign in {"°", "℃", "℉"}:
        return _temperature(scan, at, after, quantity)
    return _with_unit(scan, at, after, quantity)


_HEAT: Final = Late(r"([CF])(?![\w’'])")
_MOLAR: Final = Late(
    r"M(?=[ \u00a0](?:(?:[A-Z][a-z]?[₀-₉\d]*){2,}(?!\w)|solutions?\b|acid\b|(?:hydrochloric|"
    r"sulfuric|"
    r"sulphuric|nitric|ethanoic) acid|sodium|potassium|ammonia))"
)
"""A capital M before a substance: moles in a litre."""


def _is_quoted(text: str, at: int, sign: str) -> bool:
    """Say whether a quotation is open that the sign could close."""
    head = text[:at]
    return bool(head.count('"') % 2) if sign == '"' else head.count("“") > head.count("”")


# ---- angles and temperatures


def _angle(scan: Scan, at: int, after: int, quantity: Quantity) -> Reading:
    """Read degrees, minutes and seconds of angle, and a point of the compass."""
    language, text, end = scan.language, scan.text, after + 1
    one = quantity.is_one or is_attribute(scan, at, end)
    name = language.pair("degree", one=one)
    words = f"{quantity.words} {name}"
    if quantity.fraction is not None and quantity.fraction.is_proper:
        words = _part_of(scan, quantity, language.pair("degree", one=True))
    for mark, unit in (("′'’", "minute_of_angle"), ('″"”', "second_of_angle")):
        gap = _GAP.match(text, end)
        number = scan.number(gap.end() if gap else end)
        if number is None or text[number.end : number.end + 1] not in tuple(mark):
            break
        part = language.pair(unit, one=number.is_one)
        words += f" {scan.words_of(number)} {part}"
        end = number.end + 1
    compass = re.compile(rf"{BLANK}?([NSEW]{{1,2}})(?!\w)").match(text, end)
    if compass and compass[1] in language.table("compass"):
        return Reading(compass.end(), f"{words} {language.table('compass')[compass[1]]}", "measure")
    return Reading(end, words, "measure")


def _temperature(scan: Scan, at: int, after: int, quantity: Quantity) -> Reading | None:
    text, language = scan.text, scan.language
    is_celsius = text[after] == "℃" or text[after : after + 2] == "°C"
    end = after + (1 if text[after] in "℃℉" else 2)
    if text[end : end + 1].isalnum():
        return None
    words = quantity.words
    if quantity.written == "0":
        words = language.word("zero_temperature")
    degrees = language.pair("degree", one=quantity.is_one or is_attribute(scan, at, end))
    style = scan.style("temperature")
    if style == "below-zero" and is_celsius and _is_negative(scan, at):
        return Reading(end, f"{words} {degrees} {language.word('below_zero')}", "below zero")
    if not is_celsius:
        return Reading(end, f"{words} {degrees} Fahrenheit", "measure")
    scale = {"celsius": " Celsius", "centigrade": " centigrade"}.get(style, "")
    return Reading(end, f"{words} {degrees}{scale}", "measure")


def _is_negative(scan: Scan, at: int) -> bool:
    return scan.text[:at].rstrip()[-1:] in {"−", "-"}


# ---- units


def _with_unit(scan: Scan, at: int, after: int, quantity: Quantity) -> Reading | None:
    if scan.language.tag != "en" and scan.text[after : after + 1] in {"°", "℃", "℉"}:
        return None
    hyphened = after == quantity.end and scan.text[after : after + 1] == "-"
    found = unit_at(scan, after + hyphened)
    if found is None:
        return None
    terms, divisors, end, per = found
    points = scan.decide("points", at, end) if terms[0].symbol in {"pt", "pts"} else None
    if points is not None:
        point = scan.language.units["points"]
        end += re.match(r"\.[ \u00a0][a-z]", scan.text[end : end + 3]) is not None
        one = quantity.is_one or hyphened or is_attribute(scan, at, end)
        words = f"{quantity.words} {point.one if one else point.many}"
        return Reading(end, words, "number", because=points.told(scan.text[at:end]))
    if hyphened:
        return _hyphened(scan, quantity, found)
    if re.match(r"\.[a-z]", scan.text[end : end + 2]):
        return None  # "2 d.p."
    if terms[0].symbol == "m" and end - after == 1 and measure_signs.is_minutes(scan, at, end):
        minute = scan.language.units["min"]
        name = minute.one if quantity.is_one else minute.many
        return Reading(end, f"{quantity.words} {name}", "measure")
    if terms[0].symbol == "m" and end - after == 1:
        other = measure_signs.no_metres(scan, at, end, quantity.words, one=quantity.is_one)
        if other is not None:
            return other
    if len(terms[0].symbol) == 1 and re.match(r"['’]s(?!\w)", scan.text[end : end + 3]):
        return None  # "3 B's"
    if _is_no_unit(scan, at, quantity, after, end, terms):
        return None
    if scan.language.tag != "en" and any(term.exponent != 1 for term in (*terms, *divisors)):
        return None
    gender = scan.language.table("units").get("gender", {}).get(terms[0].symbol, "m")
    if scan.language.tag != "en" and (number := scan.number(at)) and not number.places:
        quantity = replace(quantity, words=scan.words_of(number, gender))
    tail = per_words(scan, divisors, per)
    one_of = quantity.fraction is not None and quantity.fraction.is_proper
    attributive = is_attribute(scan, at, end)
    singular = quantity.is_one or attributive or one_of
    name = product(scan, terms, one=singular) + tail
    words = f"{quantity.words} {name}"
    fraction = quantity.fraction
    if fraction is not None and attributive and fraction.is_proper:
        words = f"{fractions.attribute_words(fraction, scan)} {name}"
    if one_of and fraction is not None and not attributive:
        words = _part_of(scan, quantity, name)
    doubts, because = _unit_doubts(scan, at, after, end, quantity, terms, words)
    slip, end = _slip_and_dot(scan, after, end, terms)
    return Reading(end, words, "measure", doubts, because=because, slip=slip)


def _hyphened(
    scan: Scan, quantity: Quantity, found: tuple[list[Term], list[Term], int, str]
) -> Reading | None:
    """Read `a 5-km run`: before a noun a unit has no plural."""
    terms, divisors, end, per = found
    if (
        len(terms[0].symbol) == 1
        and not (terms[0].symbol in "VWA" and re.match(r"[,;.)]", scan.text[end : end + 1]))
        and not re.match(r"[ \u00a0](?:[a-z]|[AD]C\b)", scan.text[end : end + 4])
    ):
        return None
    following = scan.text[end : end + 2]
    if terms[0].symbol in tuple("HCFBST"):
        return None
    if terms[0].symbol in {"d", "u", "st", "T"} and following[:1] != ".":
        return None
    if terms[0].symbol == "in" and not re.match(r"[ \u00a0][a-z]|\.", following):
        return None
    if scan.text[end : end + 1] == "." and re.match(r"\.[ \u00a0][a-z]", scan.text[end : end + 3]):
        end += 1
    name = product(scan, terms, one=True) + per_words(scan, divisors, per)
    words = quantity.words
    if quantity.fraction is not None and quantity.fraction.is_proper:
        words = fractions.attribute_words(quantity.fraction, scan)
    return Reading(end, f"{words} {name}", "measure")


def _slip_and_dot(
    scan: Scan, after: int, end: int, terms: list[Term]
) -> tuple[tuple[int, int, str] | None, int]:
    """Return what is typed wrongly in a unit, and its end with a full stop that belongs to it."""
    lists = scan.language.table("units")
    written = scan.text[after:end]
    slip = None
    meant = lists.get("slips", {}).get(written)
    if meant:
        slip = (after, end, meant)
    if scan.text[end : end + 1] == "." and terms[0].symbol in lists.get("lists", {}).get(
        "dotted", ()
    ):
        following = scan.text[end + 1 : end + 3]
        if re.match(r"[ \u00a0][a-z\d=×+<>≈(–:]|[,;:)]", following):
            if (
                scan.language.day_first
                and slip is None
                and terms[0].symbol in {"sec", "secs", "kg", "cm", "mm", "km", "g", "ml", "m"}
            ):
                slip = (after, end + 1, {"sec": "s", "secs": "s"}.get(written, written))
            end += 1
    return slip, end


def _part_of(scan: Scan, quantity: Quantity, name: str) -> str:
    """Return "three quarters of a mile", "half an hour"."""
    a = "an" if name[0] in "aeio" or name.startswith("hour") else "a"
    fraction = quantity.fraction
    if fraction is not None and (fraction.top, fraction.bottom) == (1, 2):
        return f"{scan.language.word('half_a' if a == 'a' else 'half_an')} {name}"
    if fraction is not None and fraction.top == 1 and fraction.bottom > 100:
        part = numbers.ordinal_words(fraction.bottom, scan.language)
        return f"{numbers.whole_words(1, scan.language)} {part} of {a} {name}"
    return f"{quantity.words} of {a} {name}"


def _of_a_named_unit(scan: Scan, at: int, quantity: Quantity) -> Reading | None:
    """Read "¾ hour": a part of one unit, its name in full."""
    name = scan.word_after(quantity.end)
    if quantity.fraction is None or not quantity.fraction.is_proper or not name:
        return None
    if name not in scan.language.unit_names:
        return None
    end = quantity.end + scan.text[quantity.end :].index(name) + len(name)
    if is_attribute(scan, at, end):
        return Reading(
            end, f"{fractions.attribute_words(quantity.fraction, scan)} {name}", "measure"
        )
    return Reading(end, _part_of(scan, quantity, name), "measure")


def _is_no_unit(
    scan: Scan, at: int, quantity: Quantity, after: int, end: int, terms: list[Term]
) -> bool:
    """Say whether what looks like a doubtful unit is a word or a letter here."""
    symbol = terms[0].symbol
    squared = len(terms) == 1 and terms[0].exponent in {2, 3}
    if squared and after == quantity.end and symbol in tuple("tghdulL") and scan.is_formula:
        return True
    if len(terms) == 1 and terms[0].exponent != 1 and symbol in tuple("ydhtguLANJWV"):
        return True  # "9y²"
    if symbol == "y" and len(terms) > 1:
        return True
    if len(terms) > 1 or terms[0].exponent != 1:
        return False
    if _ANSWERS.match(scan.text, at) and measure_signs.are_answers(_ANSWERS.finditer(scan.text)):
        return True
    if len(symbol) == 1 and symbol.isupper() and measure_signs.is_tally(scan, at, end):
        return True
    if (
        symbol == "m"
        and after == quantity.end
        and scan.mentions("algebra")
        and (scan.beside_operator(at, end))
    ):
        return True
    if (
        len(symbol) == 1
        and symbol.isupper()
        and scan.is_formula
        and scan.sign_after(end) in OPERATORS - {"=", ","}
    ):
        return True
    if symbol in {"N", "S", "W", "E"} and re.match(
        r"\.[ \u00a0](?:[A-Z]|\d+(?:st|nd|rd|th))|[ \u00a0][A-Z][a-z]+[ \u00a0](?:St|Ave|Rd|Blvd|"
        r"Dr|Street|Avenue|Road)\b",
        scan.text[end : end + 40],
    ):
        return True
    if symbol == "in":
        following = scan.text[end:]
        if _AFTER_FEET.search(scan.text[max(0, at - 12) : at]):
            return False
        if re.match(r"\.[ \u00a0,;:)]", following):
            return False
        if measure_signs.is_size_of(scan, at, end):
            return False
        measured = re.match(r"\.?\s*(?:$|[,;)/×?!]|by |long|wide|high|tall|deep|thick)", following)
        return measured is None
    closed_up = after == quantity.end
    if symbol == "y":
        return closed_up or scan.is_formula or not scan.mentions("ages")
    if symbol == "st" and closed_up:
        return re.match(r" ?\d{1,2} ?lbs?(?!\w)", scan.text[end : end + 8]) is None
    if len(symbol) == 1 and symbol.isupper():
        told = scan.decide("letter_unit", at, end)
        plainly = not closed_up or told is None or told.reads == "letter" or symbol in "NVWJL"
        if told is not None and (plainly or told.cue):
            return told.reads == "letter"
    if closed_up and symbol in {"A", "B", "C", "F", "H", "K", "S", "T"}:
        return True
    if closed_up and len(symbol) == 1 and symbol.isalpha():
        return _is_algebra(scan, at, end)
    if not scan.language.units[symbol].doubtful:
        return False
    return closed_up or scan.word_before(at).strip(".,:;") in scan.language.listed(
        "measures", "named"
    )


_ANSWERS: Final = Late(r"(?<![\d.,])(\d{1,2}) ([a-h])(?=[,.;]|$)")
"""Answers by their letters: "1 b, 2 a, 3 d"."""
_AFTER_FEET: Final = Late(r"\d ?(?:ft|feet|foot|′)\.?,? ?$")


def _is_algebra(scan: Scan, at: int, end: int) -> bool:
    """Say whether a letter right after a figure stands in a formula: `4m + 3n = 10`."""
    beside = scan.beside_operator(at, end)
    return beside and bool(
        re.search(r"(?<![^\W\d_])[^\W\d_](?![^\W\d_])", scan.text[end:] + " " + scan.text[:at])
    )


def _unit_doubts(
    scan: Scan, at: int, after: int, end: int, quantity: Quantity, terms: list[Term], words: str
) -> tuple[tuple[Doubt, ...], str]:
    """Doubt a single letter that may be a unit, or say which cue made it one: `4m`, `5 A`."""
    symbol = terms[0].symbol
    if len(terms) > 1 or len(symbol) > 1 or terms[0].exponent != 1:
        return (), ""
    closed_up = after == quantity.end
    if symbol == "L":
        return (), ""
    if symbol == "h" and re.match(r",? ?\d{1,2} ?m(?:in|ins)?(?!\w)", scan.text[end : end + 9]):
        return (), ""
    if not closed_up and (not terms[0].unit.doubtful or symbol in "VNWLJy"):
        return (), ""
    told = scan.decide("letter_unit", at, end)
    if told is not None and told.reads == "unit":
        return (), told.told(scan.text[at:end])
    if closed_up and symbol.islower():
        told = scan.decide("small_unit", at, end)
        if told is not None:
            return (), told.told(scan.text[at:end])
    return (scan.doubt(at, end, ("", words), ("", f"{quantity.words} {symbol}")),), ""
