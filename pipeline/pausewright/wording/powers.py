"""Powers, indices, roots and what else stands beside a term: `x²`, `u₁`, `√2`, `n!`, `a/b`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import fractions, numbers, units
from pausewright.wording.formula_brackets import open_formula_bracket
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import LETTER, Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_UP: Final = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺ⁿˣʸᵃᵇᵏᵐᵗ", "0123456789-+nxyabkmt")


_DOWN: Final = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")


POWER: Final = Late(
    r"(?=[⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻]*[ˣʸᵃᵇᵏᵐᵗⁿ])[⁻⁺]?[⁰¹²³⁴⁵⁶⁷⁸⁹]*[ˣʸᵃᵇᵏᵐᵗⁿ]+(?:[⁺⁻][⁰¹²³⁴⁵⁶⁷⁸⁹ⁿˣʸᵃᵇᵏᵐᵗ]+)?|"
    r"[⁻⁺]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+ⁿ?|[⁻⁺]?[ⁿˣʸᵃᵇᵏᵐᵗ]|\^[−-]?\d+(?:\.\d+)?[a-z]?(?!\w)|"
    r"\^[−-]?[a-zA-Zθπ](?!\w)|"
    r"\^\{?[−-]?\w{1,3}\}"
)


_PART_POWER: Final = Late(r"\^([−-]?)([½⅓⅔¼¾⅕])")
_NEGATIVE: Final = Late(r"[−-]\d")
_BRACED_PART: Final = Late(r"\^\{([−-]?)(\d{1,2})/(\d{1,2})\}")
SUB: Final = Late(
    r"[₀-₉]+(?:[₊₋][₀-₉]+)?|[ₐₑₕᵢⱼₖₗₘₙₒₚᵣₛₜᵤᵥₓ]+(?:[₊₋][₀-₉]+)?|_(?:\d+|[A-Za-z]{1,4})(?!\w)|"
    r"_\{[A-Za-z0-9 ]{1,6}(?:[+−-][A-Za-z0-9 ]{1,3})?\}|"
    r"_\([A-Za-z0-9]{1,3} ?[+−-] ?[A-Za-z0-9]{1,3}\)"
)


_SMALL_SUBS: Final = dict(zip("ₐₑₕᵢⱼₖₗₘₙₒₚᵣₛₜᵤᵥₓ₊₋", "aehijklmnoprstuvx+-", strict=True))


_BLANKS: Final = frozenset(" \u00a0\u202f\u2009")


_RAISED_TERM: Final = Late(r"\^\([−-]?(?:\d{1,3}|[½⅓⅔¼¾⅕]|\d{1,2}/\d{1,2}|\d?[a-z])\)")
"""One term in brackets as an exponent: `16^(3/4)`."""
_SINGLE: Final = Late(r"\((?:\d+(?:\.\d+)?|\d*[a-zπ])\)(?![²³⁴⁵⁶⁷⁸⁹^])")
"""One number or letter in brackets: under a root they are not needed."""


_ROOTS: Final = {"√": "square_root", "∛": "cube_root", "∜": "fourth_root"}


def power(scan: Scan, at: int) -> Reading | None:
    """Read an exponent or index that stands right after a term."""
    if not scan.language.word("squared"):
        return None
    raised = _RAISED_TERM.match(scan.text, at)
    if raised is not None:
        scan.silent.add(raised.end() - 1)
        return Reading(at + 2, f" {scan.language.word('power')} ", "power")
    if scan.text[at] == "^" and scan.text[at + 1 : at + 2] == "(":
        if not open_formula_bracket(scan, at + 1):
            return None
        words = f" {scan.language.word('power')} {scan.language.word('open_bracket')} "
        return Reading(at + 2, words, "power")
    braced = _BRACED_PART.match(scan.text, at)
    if braced is not None:
        minus = f"{scan.language.word('minus')} " if braced[1] else ""
        value = fractions.Fraction(0, None, int(braced[2]), int(braced[3]))
        said = fractions.fraction_words(value, scan)
        return Reading(braced.end(), f" {scan.language.word('power')} {minus}{said}", "power")
    part = _PART_POWER.match(scan.text, at)
    half = fractions.fraction_at(part[2], 0) if part else None
    if part is not None and half is not None:
        minus = f"{scan.language.word('minus')} " if part[1] else ""
        said = fractions.fraction_words(half, scan)
        return Reading(part.end(), f" {scan.language.word('power')} {minus}{said}", "power")
    charge = re.compile("[⁺⁻](?![⁰¹²³⁴⁵⁶⁷⁸⁹ⁿˣʸᵃᵇᵏᵐᵗ])").match(scan.text, at)
    if charge and scan.text[at - 1 : at].isalpha():
        word = scan.language.word("plus" if charge[0] == "⁺" else "minus")
        return Reading(charge.end(), f" {word}", "power")
    found = POWER.match(scan.text, at)
    if found:
        written = found[0].lstrip("^").strip("{}").translate(_UP).replace("−", "-")
        before = scan.text[max(0, at - 7) : at]
        if written == "-1" and re.search(r"(?:(?<![a-zA-Z])[fgh]|sin|cos|tan)$", before):
            words = f" {scan.language.word('inverse')}"
        else:
            words = f" {_exponent_words(scan, written)}"
        end = found.end()
        unit = units.unit_at(scan, end + 1) if scan.text[end : end + 1] in _BLANKS else None
        if unit and scan.text[at - 1 : at].isdigit() and scan.text[end + 1 : unit[2]] != "in":
            factors, divisors, end, _ = unit
            words += f" {units.unit_words(scan, factors, divisors)}"
        return Reading(end, words, "power")
    index = SUB.match(scan.text, at)
    if index and scan.text[at - 1 : at].isdigit():
        word = scan.language.table("formula").get("base", "")
        return Reading(index.end(), f" {word} {index_words(scan, index[0])}", "power")
    if index:
        return Reading(
            index.end(), f" {scan.language.word('sub')} {index_words(scan, index[0])}", "power"
        )
    return None


def limit_words(scan: Scan, written: str) -> str:
    """Return a limit of an integral, written above or below: "nought", "minus one"."""
    plain = written.translate(_DOWN).translate(_UP).replace("₋", "-")
    value = int(plain.lstrip("-"))
    words = scan.zero if value == 0 else numbers.whole_words(value, scan.language)
    return f"{scan.language.word('minus')} {words}" if plain.startswith("-") else words


def index_words(scan: Scan, written: str) -> str:
    """Return what stands below a letter: "one", "n plus one", "max"."""
    plain = written.lstrip("_").strip("{()}").replace("−", "-").translate(_DOWN)
    plain = "".join(_SMALL_SUBS.get(sign, sign) for sign in plain)
    out = []
    for piece in re.findall(r"\d+|[A-Za-z]+|[+-]", plain):
        if piece.isdigit():
            out.append(numbers.whole_words(int(piece), scan.language))
        elif piece in "+-":
            out.append(scan.language.word("plus" if piece == "+" else "minus"))
        else:
            out.append(piece if len(piece) > 2 else " ".join(piece))
    return named(" ".join(out))


def _exponent_words(scan: Scan, written: str) -> str:
    language = scan.language
    if written in {"2", "3"}:
        return language.word("squared" if written == "2" else "cubed")
    if re.fullmatch(r"[+-]?(?:\d*[a-z]+[+-]\w+|\d+[a-z]{2,})", written):
        return f"{language.word('power')} {index_words(scan, written)}"
    figure = re.match(r"[+-]?(\d+(?:\.\d+)?)([a-zn]?)$", written)
    if figure:
        number = numbers.number_at(figure[1], 0, language)
        value = scan.words_of(number) if number else ""
        value += f" {figure[2]}" if figure[2] else ""
        head = {"-": f"{language.word('minus')} ", "+": f"{language.word('plus')} "}
        value = head.get(written[0], "") + value
    else:
        greek = language.table("greek")
        value = " ".join(greek.get(sign, sign) for sign in written.lstrip("+-"))
        value = f"{language.word('minus')} {value}" if written[0] == "-" else value
    return f"{language.word('power')} {named(value)}"


def root(scan: Scan, at: int) -> Reading | None:
    """Read a root sign before a figure, letter or bracket."""
    name = _ROOTS.get(scan.text[at])
    following = scan.text[at + 1 : at + 2]
    if (
        name is None
        or not scan.language.word(name)
        or not (following.isalnum() or following == "(" or _NEGATIVE.match(scan.text, at + 1))
    ):
        return None
    single = _SINGLE.match(scan.text, at + 1)
    if single is not None:
        scan.silent.add(single.end() - 1)
        return Reading(at + 2, f"{scan.language.word(name)} ", "sign")
    if following == "(":
        open_formula_bracket(scan, at + 1)
    return Reading(at + 1, scan.language.word(name), "sign")


def raised_root(scan: Scan, at: int) -> Reading | None:
    """Read `³√8` and `ⁿ√x`."""
    found = re.compile(r"([²³⁴⁵⁶⁷⁸⁹ⁿ])√(?=[\w(])").match(scan.text, at)
    if found is None or not scan.language.word("square_root"):
        return None
    if scan.text[found.end()] == "(":
        open_formula_bracket(scan, found.end())
    degree = found[1].translate(_UP)
    known = {"2": "square_root", "3": "cube_root", "4": "fourth_root"}.get(degree)
    if known:
        return Reading(found.end(), f"{scan.language.word(known)} ", "sign")
    name = f"{degree}th" if degree == "n" else numbers.ordinal_words(int(degree), scan.language)
    return Reading(
        found.end(), str(scan.language.table("formula")["root"]).format(degree=name) + " ", "sign"
    )


def slash(scan: Scan, at: int) -> Reading | None:
    """Read a slash between two terms of a formula: "over"."""
    over = scan.language.word("over")
    if scan.text[at] not in "/⁄" or not over:
        return None
    if (
        re.search(r"Σ[a-z]{0,2}$", scan.text[max(0, at - 3) : at])
        and scan.text[at + 1 : at + 2] == "Σ"
    ):
        return Reading(at + 1, f" {over} ", "sign")
    before = re.search(
        rf"(?:[)²³⁴⁵⁶ⁿ\d°′!]|(?<!{LETTER}){LETTER}|(?<=\d)[a-zπ]{{1,2}}|[α-ω]?[A-Za-z](?<=[α-ω][A-Za-z])|[α-ωΔπ]|"
        rf"Δ[A-Za-z]|(?<![a-zA-Z])[A-Z]{{2}}|(?<!{LETTER})[πΔ]?[a-zA-Zπ])[ ]?$",
        scan.text[max(0, at - 6) : at],
    )
    after = re.match(
        rf"[ ]?(?:(?:sin|cos|tan|log|ln)(?![a-zA-Z])|"
        rf"Δ[A-Za-z]|[(√\dπ]|[−-]?\d|{LETTER}(?!{LETTER})|"
        rf"(?:[a-z]{{2}}|[A-Z]{{2}})(?!{LETTER}))",
        scan.text[at + 1 : at + 6],
    )
    if not (before and after):
        return None
    spaced = scan.text[at - 1 : at] in _BLANKS and scan.text[at + 1 : at + 2] in _BLANKS
    if (
        spaced
        and scan.text[:at].rstrip()[-1:].isdigit()
        and scan.text[at + 1 :].lstrip()[:1].isdigit()
    ):
        return Reading(at + 1, scan.language.table("signs")["÷"], "sign")
    return Reading(at + 1, f" {over} ", "sign")


def factorial(scan: Scan, at: int) -> Reading | None:
    """Read the `!` of `5! = 120` and `n!`."""
    table = scan.language.table("formula")
    before = re.search(r"(?:\d|(?<![^\W\d_])[a-z]|\))$", scan.text[max(0, at - 3) : at])
    if not table or before is None:
        return None
    rest = scan.text[at + 1 :].lstrip(" ")
    if at - 1 in scan.closings or scan.text[at + 1 : at + 2] == ".":
        return Reading(at + 1, f" {table['signs']['!']}", "sign")
    if (
        rest[:1] in tuple("=÷×·⋅+−/)<>")
        or scan.mentions("factorials")
        or (re.match(r"[.?]?$", rest) is None and before[0].isalpha())
    ):
        return Reading(at + 1, f" {table['signs']['!']}", "sign")
    return None


def combinations(scan: Scan, at: int) -> Reading | None:
    """Read `₅C₂` and `⁵C₂`: "five C two"."""
    found = re.compile(r"([₀-₉]+|[⁰¹²³⁴⁵⁶⁷⁸⁹]+|[ⁿₙ])([CP])([₀-₉]+|[ᵣₖ])").match(scan.text, at)
    if found is None or not scan.language.table("formula"):
        return None
    top, bottom = (one.translate(_UP).translate(_DOWN) for one in (found[1], found[3]))
    said = [
        numbers.whole_words(int(one), scan.language) if one.isdigit() else _SMALL_SUBS.get(one, one)
        for one in (top, bottom)
    ]
    return Reading(found.end(), named(f"{said[0]} {found[2]} {said[1]}"), "letters")
