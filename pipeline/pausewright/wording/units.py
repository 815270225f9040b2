"""Units as they are written: symbols, powers, products, quotients; and their words.

Unit names follow BIPM, SI Brochure, and NIST SP 330.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.wording import numbers
from pausewright.wording.patterns import Late
from pausewright.wording.scan import BLANK

if TYPE_CHECKING:
    from pausewright.wording.language import Unit
    from pausewright.wording.scan import Scan

_UP: Final = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")


_EXPONENT: Final = Late(r"([⁻]?[¹²³⁴⁵⁶⁷⁸⁹])|\^([-−]?[1-9])(?!\d)|([-−–][123]|[23])(?!\w|\.\d)")


_TYPED_POWERS: Final = frozenset(
    {"m", "cm", "mm", "km", "dm", "s", "ft", "in", "yd", "mi", "mol", "kg", "h"}
)
"""Units behind which a plain 2 or 3 is typed for a power."""


_SYMBOL: Final = Late(r"°[CF]|[A-Za-zΩµμ℃℉]+")


_LONG: Final = Late(
    r"(?:sq|cu)\.? (?:ft|in|yd|mi|m|km|cm|mm)(?![a-zA-Z])|fl\.? oz(?![a-zA-Z])|"
    r"ft[ -]lb(?![a-zA-Z])|mm Hg(?!\w)|"
    r"[cT]\.(?= [a-z])"
)


_PER_NUMBER: Final = Late(rf"(\d+){BLANK}?")


@frozen
class Term:
    """One unit with its exponent."""

    symbol: str
    unit: Unit
    exponent: int
    is_slashed: bool = False
    """Whether a second slash stands before it: m/s/s."""


def unit_at(scan: Scan, at: int) -> tuple[list[Term], list[Term], int, str] | None:
    """Return the unit at `at`: factors, divisors, its end, and a number after "per" ("100")."""
    text = scan.text
    first = _term(scan, at)
    joined = _joined(scan, at)
    if joined is not None:
        return joined
    if first is None:
        return None
    factors, divisors, end, per = [first[0]], list[Term](), first[1], ""
    products = set(scan.language.table("units").get("lists", {}).get("products", ()))
    while True:
        if text[end : end + 2] == "./":
            end += 1
        sign = text[end : end + 1]
        if sign in {"·", "⋅"} and (found := _term(scan, end + 1)):
            factors.append(found[0])
            end = found[1]
        elif sign == "." and (found := _term(scan, end + 1)) and found[0].exponent < 0:
            divisors.append(Term(found[0].symbol, found[0].unit, -found[0].exponent))
            end = found[1]
        elif sign in {" ", "\u00a0", "\u202f"} and (found := _term(scan, end + 1)):
            pair = f"{factors[-1].symbol} {found[0].symbol}"
            if divisors and found[0].exponent == 1 and found[0].symbol in {"K", "°C", "°F"}:
                divisors.append(found[0])
                end = found[1]
                continue
            if pair not in products and found[0].exponent > 0:
                break
            if found[0].exponent < 0:
                divisors.append(Term(found[0].symbol, found[0].unit, -found[0].exponent))
            else:
                factors.append(found[0])
            end = found[1]
        elif sign == "/" and not divisors:
            divided = _divisors(scan, end + 1)
            if divided is None:
                break
            divisors, end, per = divided
        elif (sign == "°" and divisors and (found := _term(scan, end))) or (
            sign == "/" and divisors and (found := _term(scan, end + 1))
        ):
            divisors.append(replace(found[0], is_slashed=sign == "/"))
            end = found[1]
        else:
            break
    if text[end : end + 1] == "/" and re.match(
        r"/(?:[\d½¼¾⅓⅔]|(?:day|week|month|year|person|head|night|hour|minute|second|serving|portion|dose|"
        r"meal|decade|century|pupil|student|child|adult|household|game|match|lap|plant|cell|litre|"
        r"liter)(?!\w))",
        text[end : end + 12],
    ):
        return factors, divisors, end, per
    if text[end : end + 1].isalnum() or text[end : end + 1] in {"/", "^", "_"}:
        return None
    return factors, divisors, end, per


def _divisors(scan: Scan, at: int) -> tuple[list[Term], int, str] | None:
    """Return what is divided by after a slash, its end, and a number before it: "100"."""
    text = scan.text
    bracket = text[at : at + 1] == "("
    number = _PER_NUMBER.match(text, at)
    found = _term(scan, (number.end() if number else at) + bracket)
    if found is None:
        return None
    divisors, end = [found[0]], found[1]
    if bracket:
        while text[end : end + 1] in {" ", "·", "⋅"} and (more := _term(scan, end + 1)):
            divisors.append(more[0])
            end = more[1]
        if text[end : end + 1] != ")":
            return None
        end += 1
    return divisors, end, number[1] if number else ""


def _joined(scan: Scan, at: int) -> tuple[list[Term], list[Term], int, str] | None:
    """Read `ms⁻¹` and `kgm⁻³`: two units without a blank between them."""
    found = _SYMBOL.match(scan.text, at)
    table = scan.language.table("units").get("joined", {})
    power = _EXPONENT.match(scan.text, found.end()) if found and found[0] in table else None
    if found is None or power is None:
        return None
    written = (power[1] or power[2] or power[3]).translate(_UP).replace("−", "-").replace("–", "-")
    if not written.startswith("-"):
        return None
    units = scan.language.units
    first, second = table[found[0]]
    return (
        [Term(first, units[first], 1)],
        [Term(second, units[second], -int(written))],
        power.end(),
        "",
    )


def _term(scan: Scan, at: int) -> tuple[Term, int] | None:
    found = _LONG.match(scan.text, at) or _SYMBOL.match(scan.text, at)
    if found is None:
        return None
    if found[0] not in scan.language.units:
        slips = scan.language.table("units").get("slips", {})
        meant = slips.get(found[0])
        if meant not in scan.language.units or not scan.text[:at].rstrip(" \u00a0")[-1:].isdigit():
            return None
        return Term(meant, scan.language.units[meant], 1), found.end()
    end, exponent = found.end(), 1
    power = _EXPONENT.match(scan.text, end)
    if (
        power
        and not (found[0] == "in" and power[3] and len(power[3]) > 1)
        and not (power[3] and found[0] not in _TYPED_POWERS)
    ):
        exponent = int(
            (power[1] or power[2] or power[3]).translate(_UP).replace("−", "-").replace("–", "-")
        )
        end = power.end()
    return Term(found[0], scan.language.units[found[0]], exponent), end


def product(scan: Scan, terms: list[Term], *, one: bool) -> str:
    """Return the names of units that are multiplied; `one` is for the singular."""
    last = len(terms) - 1
    return " ".join(
        _powered(scan, term, one=one or index < last) for index, term in enumerate(terms)
    )


def _powered(scan: Scan, term: Term, *, one: bool) -> str:
    language = scan.language
    if term.exponent < 0:
        plain = Term(term.symbol, term.unit, -term.exponent)
        return f"{language.word('per')} {_powered(scan, plain, one=True)}"
    name = term.unit.one if one else term.unit.many
    if term.exponent == 1:
        return name
    if term.exponent in {2, 3}:
        if term.unit.is_length:
            return f"{language.word('square' if term.exponent == 2 else 'cubic')} {name}"
        return f"{name} {language.word('squared' if term.exponent == 2 else 'cubed')}"
    exponent = numbers.whole_words(term.exponent, language)
    return f"{name} {language.word('power')} {exponent}"


def per_words(scan: Scan, divisors: list[Term], number: str) -> str:
    """Return " per …" for units that are divided by; `number` stands before them."""
    if not divisors:
        return ""
    cut = next((n for n, term in enumerate(divisors) if n and term.is_slashed), len(divisors))
    words = product(scan, divisors[:cut], one=not number)
    words += per_words(scan, [replace(t, is_slashed=False) for t in divisors[cut:]], "")
    amount = ""
    if number:
        amount = numbers.whole_words(int(number), scan.language).removeprefix("one ") + " "
    return f" {scan.language.word('per')} {amount}{words}"


def unit_words(
    scan: Scan, factors: list[Term], divisors: list[Term], *, one: bool = False, per: str = ""
) -> str:
    """Return the name of a unit without a figure: "kilograms per cubic metre".

    `per` is a number before the divisors: "100" of `l/100 km`.
    """
    return product(scan, factors, one=one) + per_words(scan, divisors, per)
