"""Chemistry as it is written: `H₂O`, `Ca(OH)2`, `SO₄²⁻`, `2HCl(aq)`, `¹⁴C`, `→`."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import BLANK, Reading

if TYPE_CHECKING:
    from pausewright.wording.language import Language
    from pausewright.wording.scan import Scan

_DOWN: Final = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")
_UP: Final = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+−")
_ATOM: Final = r"[A-Z][a-z]?"
_COUNT: Final = r"(?:[₀-₉]+|[1-9]\d?(?!\d))"
_FORMULA: Final = Late(
    rf"(?P<factor>\d{{1,3}}{BLANK}?)?(?P<body>(?:{_ATOM}{_COUNT}?|"
    rf"[(\[](?:{_ATOM}{_COUNT}?)+[)\]]{_COUNT}?)+?"
    rf"(?:[·.](?P<water>\d{{0,2}}H[₂2]O))?)"
    r"(?P<charge>[⁰¹²³⁴⁵⁶⁷⁸⁹]*[⁺⁻]|[ ]\d[+−-](?=[\s,.;:)?!]|$)|\^\d?[+−-]|\^\{\d?[+−-]\}|"
    r"\d?[+−-](?=[\s,.;:)?!]|$))?(?P<state>[ \u00a0]?\((?:s|l|g|aq)\))?(?![\w₀-₉⁰-⁹⁺⁻(])"
)
_ISOTOPE: Final = Late(rf"(?P<mass>[⁰¹²³⁴⁵⁶⁷⁸⁹]+)(?P<atomic>[₀-₉]+)?(?P<atom>{_ATOM})(?![a-z])")
_VALENCY: Final = Late(rf"({_ATOM})(?=\((?:I{{1,3}}|IV|VI{{0,2}})\))")
_PIECES: Final = Late(rf"{_ATOM}|{_COUNT}|[()\[\]]")
_SERIES: Final = Late(r"C_?[nₙ]H_?(?:[2₂][nₙ])(?:[+₊][12₁₂](?:OH)?)?(?![\w₀-₉])")
"""The formula of a series: CₙH₂ₙ₊₂."""
_ELECTRONS: Final = Late(r"(?P<factor>\d?)e(?P<charge>⁻|\^-|\^−|-(?=\s|$)|−(?=\s|$))")
_ARROWS: Final = frozenset("→⟶⇌⇋↔")
_SUBSCRIPT: Final = Late("[₀-₉]")


@cache
def elements(language: Language) -> frozenset[str]:
    """Return the symbols of the chemical elements; empty in a language without their names."""
    return frozenset(language.table("elements"))


def read(scan: Scan, at: int) -> Reading | None:
    """Read a chemical formula, an ion or an isotope."""
    known = elements(scan.language)
    if not known:
        return None
    orbital = _ORBITAL.match(scan.text, at)
    if orbital is not None and (
        scan.mentions("chemistry") or len(re.findall("[spdf]", orbital[0])) > 1
    ):
        said = []
        for shell, kind, count in re.findall(r"(\d)([spdf])([⁰¹²³⁴⁵⁶⁷⁸⁹]+)", orbital[0]):
            first, last = (int(one.translate(_UP)) for one in (shell, count))
            numbers_of = [numbers.whole_words(one, scan.language) for one in (first, last)]
            said.append(f"{numbers_of[0]} {kind} {numbers_of[1]}")
        return Reading(orbital.start() + len(orbital[0].rstrip()), named(" ".join(said)), "code")
    bonded = _BONDED.match(scan.text, at)
    if bonded is not None and (scan.mentions("chemistry") or scan.mentions("bonding")):
        table = scan.language.table("bonds")
        signs = re.findall(r"[A-Z][a-z]?|[–=≡]", bonded[0])
        words = " ".join(str(table.get(one, " ".join(one.upper()))) for one in signs)
        return Reading(bonded.end(), named(" ".join(words.split())), "code")
    series = _SERIES.match(scan.text, at)
    if series is not None:
        spelled = " ".join(
            numbers.whole_words(int(one), scan.language) if one.isdigit() else one
            for one in _plain(series[0])
        )
        plus = scan.language.word("plus")
        return Reading(series.end(), named(spelled.replace("+", plus)), "code")
    isotope = _ISOTOPE.match(scan.text, at)
    if isotope and isotope["atom"] in known:
        return _isotope(scan, isotope)
    electrons = _ELECTRONS.match(scan.text, at)
    if electrons and is_chemical(scan):
        return Reading(
            electrons.end(),
            f"{_factor(scan, electrons['factor'])}e {scan.language.word('minus')}",
            "code",
        )
    valency = _VALENCY.match(scan.text, at)
    if valency is not None and valency[1] in known:
        return Reading(valency.end(), named(" ".join(valency[1].upper())), "code")
    found = _FORMULA.match(scan.text, at)
    if found is None or not _is_formula(scan, found, known):
        return None
    if re.match(r"-\d", scan.text[found.end() : found.end() + 2]):
        return None  # the code B7K-94
    body, charge = found["body"], found["charge"]
    typed = re.fullmatch(r"([A-Z][a-z]?)([2-9])", body)
    if typed and charge in {"+", "-", "−"} and not found["factor"]:
        body, charge = typed[1], typed[2] + charge  # Ca2+
    words = _factor(scan, found["factor"]) + _body(scan, body)
    if charge:
        words += f" {charge_words(scan, charge)}"
    if found["state"]:
        words += f", {scan.language.table('states_of_matter')[found['state'].strip().strip('()')]}"
    return Reading(found.end(), named(words), "code")


def _plain(written: str) -> str:
    return written.translate(_DOWN).replace("ₙ", "n").replace("₊", "+").replace("_", "")


def concentration(scan: Scan, at: int) -> Reading | None:
    """Read the bracket of `[H⁺]`: the concentration of what stands in it."""
    found = _HELD.match(scan.text, at)
    words = scan.language.word("concentration")
    if found is None or not words or read(scan, at + 1) is None:
        return None
    complexed = re.match(r"[⁰¹²³⁴⁵⁶⁷⁸⁹]*[⁺⁻]", scan.text[found.end() :])
    if complexed is not None:
        inside = read(scan, at + 1)
        if inside is None or inside.end != found.end() - 1:
            return None
        charge = charge_words(scan, complexed[0])
        return Reading(found.end() + len(complexed[0]), f"{inside.words}, {charge}", "code")
    scan.silent.add(found.end() - 1)
    return Reading(at + 1, f"{words} ", "bracket")


_BONDED: Final = Late(r"(?:Cl|Br|C|N|O|H|S|F|P)(?:[–=≡](?:Cl|Br|C|N|O|H|S|F|P))+(?![\w–=≡])")
_HELD: Final = Late(r"\[[A-Z][^\[\]\s]{0,14}\]")
_ORBITAL: Final = Late(r"(?:[1-7][spdf][⁰¹²³⁴⁵⁶⁷⁸⁹]+[ ]?)+(?![\w⁻])")


def is_chemical(scan: Scan) -> bool:
    """Say whether the text speaks of chemistry: its words, an arrow, or a clear formula."""
    return (
        scan.mentions("chemistry")
        or "(aq)" in scan.text
        or bool(_SUBSCRIPT.search(scan.text))
        or any(sign in scan.text for sign in (*_ARROWS, "->"))
    )


def arrow(scan: Scan, at: int, sign: str) -> Reading | None:
    """Read an arrow of a reaction: "gives"."""
    if not elements(scan.language) or not is_reaction(scan, sign):
        return None
    return Reading(at + 1, scan.language.table("reactions")[sign], "sign")


def is_reaction(scan: Scan, sign: str) -> bool:
    """Say whether an arrow stands in an equation of chemistry."""
    table = scan.language.table("reactions")
    if sign not in table:
        return False
    if sign == "⇌" or scan.mentions("chemistry"):
        return True
    if re.search("[⁺⁻₀-₉]", scan.text):
        return True
    plus = re.search(r"[a-z]{3,} \+ [a-z]{3,}", scan.text)
    formula = re.search(
        r"\b(?:[A-Z][a-z]?[₀-₉2-9]){1}|[A-Z][a-z]?[A-Z]|\((?:s|l|g|aq)\)", scan.text
    )
    return bool(plus or formula)


def _is_formula(scan: Scan, found: re.Match[str], known: frozenset[str]) -> bool:
    body = found["body"]
    if re.fullmatch(r"[IVXLC]+|[A-Z]{2,}s|[A-F\d]+₁₆", body):
        return False  # iron(III); DVDs
    atoms = re.findall(_ATOM, body)
    if any(atom not in known for atom in atoms):
        return False
    if _SUBSCRIPT.search(body) or (found["charge"] and found["charge"][-1] in "⁺⁻"):
        return (
            len(atoms) > 1
            or not found["factor"]
            or bool(_SUBSCRIPT.search(body))
            or is_chemical(scan)
        )
    ion = re.fullmatch(r"([A-Z][a-z])\d?", body)
    if ion and found["charge"] and found["charge"][-1] == "+" and not found["factor"]:
        return True
    before = scan.text[found.start() - 1 : found.start()]
    if before in {"(", "-", "/"} and not is_chemical(scan):
        return False
    holds_figure = bool(re.search(r"\d", body))
    mixed = len(atoms) > 1 and any(len(atom) == 2 for atom in atoms)
    if found["state"] and (holds_figure or len(atoms) > 1 or is_chemical(scan)):
        return True
    if holds_figure and len(atoms) > 1:
        return not found["factor"] or is_chemical(scan)
    if mixed and body.lower() not in scan.language.listed("maths", "little_words"):
        return found["charge"] is None or is_chemical(scan)
    if not is_chemical(scan):
        return False
    if holds_figure or found["charge"]:
        return True
    if len(atoms) > 1:
        return body.isupper() and body not in scan.language.table("as_words").get("words", ())
    near = scan.text[max(0, found.start() - 3) : found.end() + 3]
    beside = scan.beside_operator(found.start(), found.end()) or _has_arrow(near)
    return beside and _has_arrow(scan.text)


def _has_arrow(text: str) -> bool:
    return any(arrow in text for arrow in (*_ARROWS, "->"))


def _factor(scan: Scan, written: str | None) -> str:
    return (
        f"{numbers.whole_words(int(written), scan.language)} "
        if written and written.strip()
        else ""
    )


def _body(scan: Scan, body: str) -> str:
    """Return letters and counts in their order; a group in brackets is said so often."""
    out: list[str] = []
    closed = False
    for piece in _PIECES.findall(body.replace("·", " ")):
        if piece in "([":
            if out:
                out[-1] += ","
        elif piece in ")]":
            closed = True
        elif piece[0].isalpha():
            if closed and out:
                out[-1] += ","
            closed = False
            out.extend(piece.upper())
        else:
            count = int(piece.translate(_DOWN))
            out.append(_times(scan, count) if closed else numbers.whole_words(count, scan.language))
    return " ".join(out)


def _times(scan: Scan, count: int) -> str:
    if count == 2:
        return scan.language.word("twice")
    return f"{numbers.whole_words(count, scan.language)} {scan.language.table('signs')['×']}"


def charge_words(scan: Scan, written: str) -> str:
    """Return a charge: "two plus"."""
    plain = written.strip().lstrip("^").strip("{}").translate(_UP).replace("-", "−")
    sign = scan.language.table("signs")[plain[-1]]
    return f"{numbers.whole_words(int(plain[:-1]), scan.language)} {sign}" if plain[:-1] else sign


def _isotope(scan: Scan, found: re.Match[str]) -> Reading:
    name = isotope_words(scan, found["atom"], found["mass"].translate(_UP))
    if found["atomic"]:
        name += f", {numbers.whole_words(int(found['atomic'].translate(_DOWN)), scan.language)}"
    return Reading(found.end(), name, "code")


def isotope_words(scan: Scan, atom: str, mass: str) -> str:
    """Return an isotope by the name of its element: "carbon fourteen"."""
    name = scan.language.table("elements")[atom]
    return f"{scan.language.spelled(name)} {numbers.whole_words(int(mass), scan.language)}"


def is_formula_text(text: str, language: Language) -> bool:
    """Say whether letters are symbols of elements only: `NaCl`, `Ra`."""
    atoms = re.findall(_ATOM, text)
    return "".join(atoms) == text and bool(atoms) and all(a in elements(language) for a in atoms)
