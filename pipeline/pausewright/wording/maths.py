"""Letters that are quantities of a formula in plain text, functions, derivatives, `a/b`."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.formula_brackets import BRACKETED, is_formula_bracket
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.powers import POWER, SUB, index_words
from pausewright.wording.scan import BLANK, LETTER, OPERATORS, Reading
from pausewright.wording.unread import is_no_word

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_LETTERS: Final = Late(f"{LETTER}+")


_OVER: Final = Late(
    r"(?P<top>\d*[a-zA-Z])/(?P<bottom>\d*[a-zA-Z]|\d+|[mpqkg][vtqpcgrah])(?![\w/])|"
    r"(?P<top2>\d+)/(?P<bottom2>\d*[a-zA-Z])(?![\w/])"
)


_PRODUCT_OVER: Final = Late(r"([a-z]{2})/(\d*[a-z]|\d+)(?![\w/])")
_SUFFIXES: Final = frozenset({"st", "nd", "rd", "th", "am", "pm", "px", "pp"})
"""Two letters after a figure that are no product."""


_PRODUCT: Final = Late(r"(?=[pqrsty]{0,2}[xzq])[xyzpqrst]{2,3}(?![\w-])")
"""Letters side by side that are no word: `xy`, `pq`."""


_VULGAR: Final = frozenset("½¼¾⅓⅔⅕⅛")


_ENDS_TERM: Final = Late(r"[²³^]|[ ]?(?:[=+−×÷<>.,;?]|$|(?:to|and|for|if|when|where)\b)")
"""What stands behind a product such as the `at` of `v = u + at`."""
_JOINTS: Final = frozenset("-./")


def mapping(scan: Scan, at: int) -> Reading | None:
    """Read `g: x ↦` and `f : x → `: "g maps x to"."""
    found = re.compile(r"([fgh]) ?: ?([a-zθ]) ?[↦→]").match(scan.text, at)
    table = scan.language.table("formula")
    if found is None or not table:
        return None
    maps, to = str(table["maps_to"]).split(" ")
    return Reading(found.end(), named(f"{found[1]} {maps} {found[2]} {to}"), "letters")


def derivative(scan: Scan, at: int) -> Reading | None:
    """Read `dy/dx` and `d²y/dx²`: "d y by d x"."""
    found = _DERIVATIVE.match(scan.text, at)
    table = scan.language.table("formula")
    if found is None or not table:
        return None
    raised = {
        "²": f" {scan.language.word('squared')}",
        "³": f" {scan.language.word('cubed')}",
        None: "",
        "": "",
    }
    greek = scan.language.table("greek")
    top, bottom = (greek.get(one, one) for one in (found[2], found[3]))
    words = f"d{raised[found[1]]} {top} {table['by']} d {bottom}{raised[found[4]]}"
    return Reading(found.end(), named(" ".join(words.split())), "letters")


_DERIVATIVE: Final = Late(r"d([²³]?)([a-zA-Zθ]?)/d([a-zA-Zθ])([²³]?)(?!\w)")


_HATTED_ANGLE: Final = Late(r"([A-Z])(?:([ÂĈÊĜĤÎĴÔŜÛŴŶẐ])|([A-Z])\u0302)([A-Z])(?![^\W\d_])")


def accented(scan: Scan, at: int) -> Reading | None:
    """Read a single letter with a mark over it: "x bar"; three with a hat are an angle."""
    table = scan.language.table("accents")
    angle = _HATTED_ANGLE.match(scan.text, at) if table else None
    if angle is not None:
        middle = angle[3] or unicodedata.normalize("NFD", angle[2])[0]
        words = f"{scan.language.table('formula')['signs']['∠']} {angle[1]} {middle} {angle[4]}"
        return Reading(angle.end(), named(words), "letters")
    found = re.compile(
        rf"([^\W\d_]|[A-Z]{{2}}(?=\u20d7))([\u0302-\u0308\u20d7]?)(?!{LETTER})"
    ).match(scan.text, at)
    if not table or found is None:
        return None
    base, mark = found[1], found[2]
    if not mark:
        plain = unicodedata.normalize("NFD", base)
        if len(plain) != 2 or not plain[0].isascii():
            return None
        base, mark = plain[0], plain[1]
        if not scan.is_formula and not scan.mentions("statistics"):
            return None
    if mark not in table:
        return None
    name = table[mark]
    base = scan.language.table("greek").get(base, base)
    words = f"{name} {' '.join(base)}" if name == "vector" else f"{base} {name}"
    return Reading(found.end(), named(words), "letters")


def over(scan: Scan, at: int) -> Reading | None:
    """Read `a/b`, `3/x`, `2a/5`: "a over b"."""
    product = _PRODUCT_OVER.match(scan.text, at) if scan.is_formula else None
    if product is not None and product[1] not in scan.language.listed("maths", "little_words"):
        words = f"{' '.join(product[1])} {scan.language.word('over')} {_term(scan, product[2])}"
        return Reading(product.end(), named(words), "letters")
    found = _OVER.match(scan.text, at)
    if found is None or not scan.language.word("over"):
        return None
    top, bottom = found["top"] or found["top2"], found["bottom"] or found["bottom2"]
    if top.isupper() and bottom.isupper() and top.isalpha() and not scan.is_formula:
        return None  # "Answer Y/N."
    words = f"{_term(scan, top)} {scan.language.word('over')} {_term(scan, bottom)}"
    return Reading(found.end(), named(words), "letters")


def _term(scan: Scan, written: str) -> str:
    figure = re.match(r"\d*", written)
    digits = figure[0] if figure else ""
    rest = written[len(digits) :]
    head = numbers.whole_words(int(digits), scan.language) if digits else ""
    return f"{head} {_letter_words(scan, rest) if rest else ''}".strip()


def letters(scan: Scan, at: int) -> Reading | None:
    """Read letters that are quantities of a formula: `3x`, `xy`, `R − 2y`, `2πr`, `∠ABC`."""
    found = _LETTERS.match(scan.text, at)
    if found is None or not scan.language.has("greek"):
        return None
    written, end = found[0], found.end()
    functions = scan.language.table("functions")
    closed = _CLOSED_FUNCTION.match(written)
    if closed is not None and closed[1] in functions:
        return _function(scan, at + len(closed[1]), closed[1])
    if written in functions and _FUNCTION_FOLLOWS.match(scan.text, end):
        return _function(scan, end, written)
    if written[0] == "Δ" and re.fullmatch(r"Δ[A-Z]{3}", written):
        triangle = scan.language.table("formula").get("signs", {}).get("△", "")
        return Reading(end, named(f"{triangle} {' '.join(written[1:])}"), "letters")
    if not _is_quantity(scan, at, end, written):
        return None
    return Reading(end, named(_letter_words(scan, written)), "letters")


_CLOSED_FUNCTION: Final = Late(r"(sin|cos|tan|cosec|sec|cot|ln|log)[θαβφπωλ](?![a-zA-Z])")
_FUNCTION_FOLLOWS: Final = Late(
    rf"{BLANK}?[\d(√|π½¼¾−-]|{BLANK}?\d*[a-zA-Zθαβφ](?![a-zA-Z])|[⁻⁰¹²³⁴⁵⁶⁷⁸⁹₀-₉^_]|{BLANK}?[∠△]"
)


_BASE: Final = Late(r"([₀-₉]+|_\d+|[ₐₓ]|_[a-z])")


def _function(scan: Scan, end: int, name: str) -> Reading:
    """Return a function's name; the base of a logarithm with it."""
    words = scan.language.table("functions")[name]
    inverse = scan.text.startswith("⁻¹", end)
    if inverse:
        words, end = f"{scan.language.word('inverse')} {words}", end + 2
    inside = BRACKETED.match(scan.text, end)
    if inside is not None and not re.search(r"[+−–-]", inside[1].lstrip("−-")):
        scan.silent.add(inside.end() - 1)
        of = scan.language.word("of")
        return Reading(end + 1, f"{words.removesuffix(f' {of}')} {of} ", "letters")
    if inside is not None:
        of = scan.language.word("of")
        return Reading(end, f"{words.removesuffix(f' {of}')} {of} ", "letters")
    base = _BASE.match(scan.text, end) if name == "log" else None
    if base is None:
        return Reading(end, words, "letters")
    of = scan.language.word("of")
    word = scan.language.table("formula").get("base", "")
    return Reading(base.end(), f"{words} {word} {index_words(scan, base[0])} {of}", "letters")


def _is_quantity(scan: Scan, at: int, end: int, written: str) -> bool:
    before, after = scan.text[at - 1 : at], scan.text[end : end + 1]
    closed_up = bool(before) and (before.isdigit() or before in _VULGAR)
    if closed_up and len(written) == 2 and written.islower() and written not in _SUFFIXES:
        return (
            before in _VULGAR
            or scan.is_formula
            or written not in scan.language.listed("maths", "little_words")
        )
    if any(sign in scan.language.table("greek") for sign in written) and len(written) <= 4:
        return True
    little = written.lower() in scan.language.listed("maths", "little_words")
    after_sign = scan.is_formula and scan.sign_before(at) in OPERATORS
    if (
        little
        and written != "or"
        and len(written) == 2
        and after_sign
        and _ENDS_TERM.match(scan.text, end)
    ):
        return True
    if len(written) > 3 or (len(written) > 1 and little):
        return False
    if after and (POWER.match(scan.text, end) or SUB.match(scan.text, end)):
        return True
    if after == "′" and len(written) < 3:
        return True
    if before and (before.isdigit() or before in "∠△²³√" or before in _VULGAR):
        return len(written) == 1 or (
            written not in _SUFFIXES and (len(written) == 2 or written.isupper())
        )
    mixed = len(written) > 1 and not (written.isupper() or written.islower())
    if mixed and written.istitle() and len(written) == 2 and scan.is_formula:
        return scan.sign_after(end) == "=" or scan.sign_before(at) == "="
    if written == "I" or (mixed and written.istitle() and set(written) & set("aeiou")):
        return False
    if (
        mixed
        and scan.is_formula
        and scan.sign_before(at) == "="
        and not set(written) & set("aeiou")
    ):
        return True
    if mixed:
        return scan.beside_operator(at, end)
    is_product = len(written) < 3 or written.isupper() or is_no_word(written, scan.language)
    if scan.beside_operator(at, end) and is_product:
        return True
    in_bracket = any(c > at for c in scan.closings) and len(written) < 3
    if in_bracket or (after == "(" and is_formula_bracket(scan, end) and len(written) == 1):
        return True
    if before == "-" and scan.is_formula and len(written) == 1:
        return True
    if written[0] == "d" and len(written) == 2 and "∫" in scan.text:
        return True
    return bool(_PRODUCT.match(scan.text, at)) and not (before.isalnum() or before in _JOINTS)


def _has_small(scan: Scan, capital: str) -> bool:
    """Say whether the small letter is a quantity of the same text: R and r."""
    small = capital.lower()
    if small in {"a", "i"}:
        return False
    return bool(re.search(rf"(?<![A-Za-z]){small}(?![A-Za-z])", scan.text)) and scan.is_formula


def _letter_words(scan: Scan, written: str) -> str:
    greek = scan.language.table("greek")
    if len(written) > 1 and written[0] in greek:  # πR²
        return " ".join(_letter_words(scan, sign) for sign in written)
    if len(written) == 1 and written.isupper() and written not in greek:
        style = scan.style("capitals")
        is_said = style == "said" or (style == "where-needed" and _has_small(scan, written))
        return (f"{scan.language.word('capital')} " if is_said else "") + written
    times = scan.language.table("signs")["×"]
    joint = f" {times} " if scan.style("products") == "times" and written.islower() else " "
    return joint.join(greek.get(sign, sign) for sign in written)
