"""What stands at one place of a text: which topic reads the sign, letter or figure there."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.wording import (
    abbreviations,
    arithmetic,
    attributive,
    chemistry,
    codes,
    dashes,
    dates,
    figures,
    formula_brackets,
    fractions,
    money,
    music,
    numbers,
    pairs,
    powers,
    slashes,
    web,
)
from pausewright.wording import special_words as word_topics
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import OPERATORS, Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

TRIM: Final = ".,;:?!'’‘\"“”()–—…¿¡«»"
TOKEN: Final = Late(r"\S+")
_SCRIPTS: Final = frozenset("ˣʸᵃᵇᵏᵐᵗⁿₐₑₕᵢⱼₖₗₘₙₒₚᵣₛₜᵤᵥₓ")
_BEFORE_COMBINATION: Final = frozenset("₀₁₂₃₄₅₆₇₈₉⁰¹²³⁴⁵⁶⁷⁸⁹ⁿₙ")
_COMMANDED: Final = Late(r"(?:(?<=[ \u00a0])\.\.|(?<=[\w \u00a0])//)(?=[ \u00a0])")
"""Two points or slashes as they stand in code: `cd ..`, `17 // 5`."""
_SALT: Final = Late(r"\((?![IVX]+\))[A-Z][A-Za-z₀-₉\d]*\)[₀-₉2-9]")
_COMPLEMENT: Final = Late(r"[ ]?[=∪∩⊂)]")
_GOES_ON: Final = Late(r"(?:(?<=, )|(?<=,))(?:…|\.\.\.)(, ?)(?=[−-]?\d|[a-z](?![a-z]))")
_REMARK: Final = Late(
    r"\[(?=[^\[\]]*[a-z]{3})[^\[\]=<>+]*\]|\[\d{1,2}(?: marks?)? ?\+ ?\d{1,2} [A-Za-z ]{2,24}\]"
)
"""A remark in square brackets, as papers have their marks: `[3 marks]`."""
_SEVERAL_THOUSAND: Final = Late(r"['’]000s?(?!\w)")
_SIGNED: Final = Late(r"[+−–-]ve(?!\w)")
_AFTER_BASE: Final = Late(r"log[₀-₉]+$|(?<![A-Za-z])(?:sin|cos|tan|ln)$")
_INTEGRAL: Final = Late(r"∫([₋]?[₀-₉]+)([⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+)[ ]?")
_OTHERS: Final = Late(r"&c\.?(?!\w)")
_PARTS_RATIO: Final = Late(r"[½¼¾⅓⅔a-z]:[\d½¼¾⅓⅔]|\d:[½¼¾⅓⅔]")
_MARKED: Final = Late(r"\[(\d{1,2}|(?<=[a-z\]]\[)[a-z])\]")
_PRIMES: Final = frozenset("′″")
_MONEY_START: Final = frozenset("£$€¥₹₩₽₺₪")
_ADDRESS: Final = Late(r"\S+@\S+\.\w+|www\.\S+|\w+://\S+")


def read(scan: Scan, at: int) -> Reading | None:
    """Ask the topic whose sign, letter or figure stands at `at`; None if nobody reads it."""
    sign = scan.text[at]
    if not scan.language.tag:
        return None
    begins = at == 0 or not (scan.text[at - 1].isalnum() or scan.text[at - 1] == "_")
    begins |= bool(_AFTER_BASE.search(scan.text[max(0, at - 6) : at]))
    if sign == "½" and not begins and scan.text[at - 1] in "tT":
        half = scan.language.word("half") and scan.language.pair("half", one=True)
        return Reading(at + 1, half, "letters") if half else None
    if sign in figures.STARTS:
        return figures.read(scan, at) if begins else None
    raised = sign in _BEFORE_COMBINATION and begins and fractions.fraction_at(scan.text, at)
    if raised:
        return figures.read(scan, at)
    if sign in _BEFORE_COMBINATION and (found := powers.combinations(scan, at)) is not None:
        return found
    if sign in "Øø⌀" and begins and (round_ := _diameter(scan, at)) is not None:
        return round_
    if sign.isalpha() and sign not in _SCRIPTS:
        if sign in "ℝℕℤℚℂ" and sign in scan.language.table("lone_signs"):
            return Reading(at + 1, str(scan.language.table("lone_signs")[sign]), "sign")
        return word_topics.read(scan, at, begins=begins)
    if sign in _MONEY_START:
        found = money.read(scan, at)
        if found is not None:
            return found
    if sign == "." and begins and scan.text[at + 1 : at + 2].isdigit():
        return figures.read(scan, at)
    if sign == "+" and begins and (found := codes.read(scan, at)) is not None:
        return found
    if sign in "'’" and (several := _SEVERAL_THOUSAND.match(scan.text, at)) is not None:
        words = f"{scan.language.table('amounts').get('thousand', '')}s"
        return Reading(several.end(), words) if len(words) > 1 else None
    if sign in "+−-–" and (signed := _SIGNED.match(scan.text, at)) is not None:
        words = scan.language.word("positive" if sign == "+" else "negative_number")
        return Reading(signed.end(), words, "word") if words else None
    if sign == "%" and (share := _share(scan, at)) is not None:
        return share
    if sign in "'’" and (found := dates.read(scan, at)) is not None:
        return found
    if sign in "–-−" and at and (found := codes.grade(scan, at)) is not None:
        return found
    if sign in "–-" and at and (found := dashes.read(scan, at)) is not None:
        return found
    if sign == "/" and re.search(r"(?:\d{1,3}\.){3}\d{1,3}$", scan.text[max(0, at - 16) : at]):
        return Reading(at + 1, f" {scan.language.table('web').get('/', '/')} ", "sign")
    if sign in "#@./" and (found := web.sign(scan, at)) is not None:
        return found
    if (
        sign in "⁰¹²³⁴⁵⁶⁷⁸⁹"
        and (found := powers.raised_root(scan, at) or chemistry.read(scan, at)) is not None
    ):
        return found
    return _sign(scan, at, sign)


def _sign(scan: Scan, at: int, sign: str) -> Reading | None:
    if scan.text.startswith(("§§", "¶¶"), at) and (found := abbreviations.read(scan, at)):
        return found
    if sign == "#" and re.match(r" of\b", scan.text[at + 1 :]) and scan.language.word("number"):
        return Reading(at + 1, scan.language.word("number"), "sign")
    marked = _MARKED.match(scan.text, at) if sign == "[" else None
    if marked is not None and scan.language.has("formula"):
        inside = marked[1]
        said = numbers.whole_words(int(inside), scan.language) if inside.isdigit() else inside
        return Reading(marked.end(), f" {named(said)}", "sign")
    remark = _REMARK.match(scan.text, at)
    if remark is not None and scan.language.has("formula"):
        scan.silent.add(remark.end() - 1)
        return Reading(at + 1, "", "bracket")
    if sign == "]" and at in scan.silent:
        return Reading(at + 1, "", "bracket")
    if sign in "[]()" and (found := formula_brackets.interval(scan, at)) is not None:
        return found
    if sign == "(" and (found := codes.bracketed_phone(scan, at)) is not None:
        return found
    if (code := _COMMANDED.match(scan.text, at)) is not None and scan.language.has("web"):
        names = scan.language.table("web")
        said = {"..": f"{names['.']} {names['.']}", "//": f"{names['/']} {names['/']}"}
        return Reading(code.end(), said[code[0]], "sign")
    if _SALT.match(scan.text, at) and (salt := chemistry.read(scan, at)) is not None:
        return salt
    if sign == "[" and (held := chemistry.concentration(scan, at)) is not None:
        return held
    if sign in {"(", ")"}:
        return (
            pairs.read_point(scan, at)
            if _is_point(scan, at)
            else formula_brackets.bracket(scan, at)
        )
    if sign in ".…" and (on := _GOES_ON.match(scan.text, at)) is not None:
        words = scan.language.word("and_so_on")
        to = scan.language.word("to")
        if words and on[1]:
            return Reading(on.end(), f"{words} {to} ", "sign")
    if sign == "&" and (others := _OTHERS.match(scan.text, at)) is not None:
        ends = "" if scan.text[others.end() :].strip("\"”’') ") else "."
        words = scan.language.table("abbreviations").get("etc.", "")
        return Reading(others.end(), words + ends, "abbreviation") if words else None
    if at in scan.such_that:
        return Reading(at + 1, f" {scan.language.table('formula')['such_that']} ", "sign")
    if sign in "*~" and (found := arithmetic.sign_words(scan, at)) is not None:
        return found
    if (limits := _integral(scan, at)) is not None:
        return limits
    if (found := _lone(scan, at, sign)) is not None:
        return found
    if sign == "?" and (found := _unknown(scan, at)) is not None:
        return found
    if (found := powers.root(scan, at) or powers.raised_root(scan, at)) is not None:
        return found
    if sign == "|":
        return formula_brackets.bar(scan, at)
    if sign in "<⟨" and (found := formula_brackets.components(scan, at)) is not None:
        return found
    if sign == "!" and (found := powers.factorial(scan, at)) is not None:
        return found
    if sign in "{}" and (found := formula_brackets.braces(scan, at)) is not None:
        return found
    if (
        sign == ":"
        and _PARTS_RATIO.match(scan.text, at - 1)
        and (scan.mentions("ratios") or scan.is_formula)
    ):
        return Reading(at + 1, f" {scan.language.word('to')} ", "sign")
    if sign == ":" and (found := _ratio_of_measures(scan, at)) is not None:
        return found
    if (
        sign in "/⁄"
        and (
            found := slashes.between_measures(scan, at)
            or powers.slash(scan, at)
            or slashes.read(scan, at)
        )
        is not None
    ):
        return found
    if (
        sign in "'’"
        and scan.is_formula
        and _COMPLEMENT.match(scan.text, at + 1)
        and re.search(r"(?<![\w’'])[A-Z]$", scan.text[max(0, at - 2) : at])
    ):
        return Reading(at + 1, f" {scan.language.table('primes').get('′', '')}", "sign")
    if sign in _PRIMES and (found := _prime(scan, at, sign)) is not None:
        return found
    if (found := music.sign(scan, at)) is not None:
        return found
    if (found := arithmetic.sign_words(scan, at)) is not None:
        return found
    if scan.text[at - 1 : at].strip() and (found := powers.power(scan, at)) is not None:
        return found
    if sign in "#№" and (found := abbreviations.read(scan, at)) is not None:
        return found
    if sign == "@" and is_address(token_at(scan.text, at)[1]):
        return None
    table = scan.language.table("lone_signs")
    if sign == "∅" and re.search(r"\b(?:empty|null) set \(?$", scan.text[:at]):
        return Reading(at + 1, "", "sign")  # the sign beside its name
    if sign in table and not (sign in _MONEY_START and scan.text[at + 1 : at + 2].isdigit()):
        return Reading(at + 1, table[sign], "sign")
    return None


def _integral(scan: Scan, at: int) -> Reading | None:
    """Read `∫₀¹`: the integral with its limits."""
    found = _INTEGRAL.match(scan.text, at)
    table = scan.language.table("formula")
    if found is None or not table:
        return None
    name = str(scan.language.table("lone_signs")["∫"]).removesuffix(f" {table['of']}")
    first, last = (powers.limit_words(scan, one) for one in found.groups())
    words = f"{name} {table['from']} {first} {scan.language.word('to')} {last} {table['of']} "
    return Reading(found.end(), words, "sign")


def _diameter(scan: Scan, at: int) -> Reading | None:
    """Read `Ø6 mm`: a diameter before its measure, or behind it where a noun follows."""
    figure = re.compile(r"[ \u00a0]?(?=\d)").match(scan.text, at + 1)
    name = scan.language.word("diameter")
    found = figures.read(scan, figure.end()) if figure is not None and name else None
    if figure is None or found is None:
        return None
    unit = re.search(r"[a-zµ]+$", scan.text[figure.end() : found.end])
    known = scan.language.units.get(unit[0]) if unit else None
    if known is not None and attributive.is_attribute(scan, at, found.end):
        words = f"{found.words.removesuffix(known.many).removesuffix(known.one)}{known.one} {name}"
        return replace(found, words=words)
    return replace(found, words=f"{name} {found.words}")


def _share(scan: Scan, at: int) -> Reading | None:
    """Read a per cent sign that stands for the word: "the % of", "%age", "% increase"."""
    word = scan.language.word("percentage")
    counted = re.search(r"\b(?:as an?|the|each|this|that|which|what) $", scan.text[:at])
    if word and counted and not re.match(r"\w", scan.text[at + 1 :]):
        return Reading(at + 1, word, "word")
    if not word or re.search(
        r"[\d)\w½¼¾⅓⅔][ \u00a0]?$",
        re.sub(
            r"(?:the|an?|what|which|as|of|in|and|or|your|by|this|each|that)[ ]$", "", scan.text[:at]
        ),
    ):
        return None
    end = at + (4 if scan.text.startswith("%age", at) else 1)
    return Reading(end, word, "word") if not scan.text[end : end + 1].isalnum() else None


def _lone(scan: Scan, at: int, sign: str) -> Reading | None:
    """Read a place to fill in, a sign that is named, and the signs between menus."""
    text = scan.text
    if sign == "_" and (found := re.compile("_{2,}").match(text, at)) is not None:
        blank = scan.language.table("web").get("blank")
        return None if blank is None else Reading(found.end(), blank, "sign")
    if sign == "_" and (
        scan.beside_operator(at, at + 1)
        or (text[at - 1 : at] in {",", ";", " "} and text[at + 1 : at + 2] in {",", ";", "."})
    ):
        blank = scan.language.table("web").get("blank")
        return None if blank is None else Reading(at + 1, f" {blank}", "sign")
    named = re.search(r"[a-z][ \u00a0]?$", text[:at]) and re.match(
        r"[ \u00a0]?[A-Z]", text[at + 1 :]
    )
    if sign in {">", "→"} and named and (told := scan.decide("menu", at, at + 1)) is not None:
        return Reading(at + 1, ", ", "sign", because=told.told(sign))
    names = scan.language.table("named_signs")
    alone = not text[at - 1 : at].strip("“‘\"'( ") and not text[at + 1 : at + 2].strip(
        " ”’\"'),.;:?!"
    )
    if sign in names and alone and not re.match(r"[ \u00a0][\d(]", text[at + 1 :]):
        before = re.search(r"(?:[\d)]|(?<![^\W\d_])[B-Zb-z])[ \u00a0]?$", text[:at])
        named_by_cue = scan.mentions("signs_named")
        if (
            (sign in "*~^_\\#" and before is None)
            or named_by_cue
            or (sign in "#/@&" and at and text[at - 1] in "“‘\"'")
        ):
            name = names[sign]
            if sign == "*" and scan.word_before(at) == "a":
                name = str(scan.language.table("formula")["above"]["*"])
            return Reading(at + 1, name, "sign")
    return None


def _prime(scan: Scan, at: int, sign: str) -> Reading | None:
    """Read a prime after a letter or a bracket: A′."""
    table = scan.language.table("primes")
    before = scan.text[at - 1 : at]
    lone = before.isalpha() and not scan.text[at - 2 : at - 1].isalpha()
    if sign in table and (lone or before == ")"):
        return Reading(at + 1, f" {table[sign]}", "sign")
    return None


def _ratio_of_measures(scan: Scan, at: int) -> Reading | None:
    """Read the colon of `250 g : 1.5 kg` and `x : y`."""
    spaced = scan.text[at - 1 : at] in {" ", "\u00a0"} and scan.text[at + 1 : at + 2] in {
        " ",
        "\u00a0",
    }
    to = scan.language.word("to")
    if not spaced or not to or not scan.language.has("ratios"):
        return None
    return Reading(at + 1, to, "sign")


def _unknown(scan: Scan, at: int) -> Reading | None:
    """Read the question mark that stands for a number: `5 + ? = 9`."""
    after, word = scan.sign_after(at + 1), scan.language.word("what")
    if not word or not {scan.sign_before(at), after} & OPERATORS:
        return None
    return Reading(at + 1, word if after else f"{word}?", "sign")


def _is_point(scan: Scan, at: int) -> bool:
    is_open = scan.text[at] == "(" and not formula_brackets.function_of(scan, at - 1)
    return is_open and pairs.read_point(scan, at) is not None


def token_at(text: str, at: int) -> tuple[int, str]:
    """Return where what stands between the blanks around a place begins, and what it is."""
    start = max(text.rfind(blank, 0, at) for blank in " \n\u00a0") + 1
    found = TOKEN.match(text, start)
    return start, found[0] if found else ""


def is_address(token: str) -> bool:
    """Say whether a token is an address; none has more than 254 signs (RFC 5321, 4.5.3.1.3)."""
    return len(token) <= 254 and _ADDRESS.fullmatch(token.strip(TRIM)) is not None
