"""Arithmetic and plain algebra, as it is written: signs, powers, roots, brackets, letters.

The reading states the notation and never the operation or its result.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.wording import chemistry, measures, numbers, roman
from pausewright.wording.letters import named
from pausewright.wording.scan import BLANK, LETTER, OPERATORS, Reading
from pausewright.wording.unread import is_no_word

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

_UP: Final = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺ⁿ", "0123456789-+n")
_DOWN: Final = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")
_POWER: Final = re.compile(
    r"[⁻⁺]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+ⁿ?|[⁻⁺]?ⁿ|\^[−-]?\d+(?:\.\d+)?[a-z]?(?!\w)|\^[−-]?[a-zA-Zθπ](?!\w)|"
    r"\^\{?[−-]?\w{1,3}\}"
)
_SUB: Final = re.compile(r"[₀-₉]+(?:[₊₋][₀-₉]+)?|[ₐₑₕᵢⱼₖₗₘₙₒₚᵣₛₜᵤᵥₓ]+(?:[₊₋][₀-₉]+)?|_(?:\d+|[A-Za-z]{1,4})(?!\w)")
_SMALL_SUBS: Final = dict(zip("ₐₑₕᵢⱼₖₗₘₙₒₚᵣₛₜᵤᵥₓ₊₋", "aehijklmnoprstuvx+-", strict=True))
_BLANKS: Final = frozenset(" \u00a0\u202f\u2009")
_ROOTS: Final = {"√": "square_root", "∛": "cube_root", "∜": "fourth_root"}
_LETTERS: Final = re.compile(f"{LETTER}+")
_OVER: Final = re.compile(
    r"(?P<top>\d*[a-zA-Z])/(?P<bottom>\d*[a-zA-Z]|\d+)(?![\w/])|(?P<top2>\d+)/(?P<bottom2>\d*[a-zA-Z])(?![\w/])"
)
_BRACKETED: Final = re.compile(r"\(((?:[^()]|\([^()]{1,40}\)){1,60})\)")
_LABEL: Final = re.compile(r"\(([a-h])\)(?![\w²³^+−×÷=]| ?[+−×÷=])")
"""A letter of a question: "Question 4(a)"."""
_INSIDE: Final = re.compile(
    rf"(?:[\d.,+−×÷=·/<>≤≥±√∛^²³⁴⁵⁶⁷⁸⁹⁰¹⁻ⁿ°%πθαβλ′½¼¾⅓⅔₀-₉()|–-]|{BLANK}|[a-zA-Zα-ωΔΣ](?![a-zA-Z])|[x-y]\u0304|"
    r"[xyzab]{2}(?![a-z])|(?<=\d)[a-z]{2}(?![a-z])|(?:sin|cos|tan|log|ln)(?![a-z]))+"
)
_SUFFIXES: Final = frozenset({"st", "nd", "rd", "th", "am", "pm", "px", "pp"})
"""Two letters after a figure that are no product."""
_PRODUCT: Final = re.compile(r"(?=[pqrsty]{0,2}[xzq])[xyzpqrst]{2,3}(?![\w-])")
"""Letters side by side that are no word: `xy`, `pq`."""
_VULGAR: Final = frozenset("½¼¾⅓⅔⅕⅛")
_JOINTS: Final = frozenset("-./")


def typed_sign(scan: Scan, at: int) -> tuple[str, int]:
    """Return the sign at `at` and its length; `<=` and the like are the sign they stand for."""
    typed = scan.language.table("typed_signs")
    for length in (3, 2):
        written = scan.text[at : at + length]
        if written in typed:
            return typed[written], length
    return scan.text[at], 1


def sign_words(scan: Scan, at: int) -> Reading | None:
    """Read a sign of arithmetic: `+`, `−`, `×`, `≤` …; a minus right before a figure too."""
    sign, length = typed_sign(scan, at)
    table = scan.language.table("signs")
    if sign == "-" and _is_minus(scan, at):
        sign = "−"
    if sign == "–" and (_is_spaced_minus(scan, at) or _is_minus(scan, at)):
        if _is_unary(scan, at):
            return Reading(at + 1, scan.language.word(scan.style("negative")), "sign")
        return _spaced_minus(scan, at)
    if sign in {"*", "~"}:
        return _typed(scan, at, sign)
    if sign in {"→", "⟶", "⇌", "⇋", "↔"} and (found := chemistry.arrow(scan, at, sign)) is not None:
        return replace(found, end=at + length)
    if sign not in table:
        return None
    if sign == "−" and _is_unary(scan, at):
        if _below_zero_follows(scan, at):
            return Reading(at + 1, "", "sign")
        return Reading(at + 1, scan.language.word(scan.style("negative")), "sign")
    if sign == "×" and is_size(scan, at):
        return Reading(at + 1, scan.language.word("by"), "sign")
    words = table[sign]
    bare = words.removeprefix(f"{scan.language.word('is')} ")
    if bare != words and (re.search(r"\bis $", scan.text[:at]) or _is_named(scan, at, length)):
        return Reading(at + length, bare, "sign")
    if sign == "→" and scan.mentions("strands"):
        return Reading(at + length, scan.language.word("to"), "sign")
    if sign == "→" and scan.text[:at].rstrip()[-1:] == ")":
        return Reading(at + length, scan.language.table("formula")["maps_to"], "sign")
    if sign == "→" and re.search(r"(?<!\w)[a-zθ] ?$", scan.text[:at]) and re.match(r" ?[−-]?[∞\d]", scan.text[at + length :]):
        return Reading(at + length, scan.language.table("formula")["signs"]["→"], "sign")
    verb = scan.language.word("is")
    if verb and words.startswith(f"{verb} ") and re.search(r"\b[Ll]et [^=<>≤≥]{1,8}$", scan.text[:at]):
        return Reading(at + length, words.replace(verb, scan.language.word("be"), 1), "sign")
    if verb and words.startswith(f"{verb} ") and _is_asked(scan, at, verb):
        words = words.removeprefix(f"{verb} ")  # "Is 7 > 5?"
    return Reading(at + length, words, "sign")


def _is_named(scan: Scan, at: int, length: int) -> bool:
    """Say whether a sign stands among words, as the name of itself: "the signs < and >"."""
    before = re.search(r"[a-z]{2,} $", scan.text[:at]) or not scan.text[:at].strip()
    after = re.match(r" [a-z]{2,}|[.,;?!]|$", scan.text[at + length :])
    return bool(before and after)


def _typed(scan: Scan, at: int, sign: str) -> Reading | None:
    """Read `*` between two terms, and `~` before a figure or between two letters."""
    before, after = scan.text[:at].rstrip()[-1:], scan.text[at + 1 :].lstrip()[:1]
    if sign == "*":
        if re.search(r"(?<!\w)[A-G]$", scan.text[max(0, at - 2) : at]) and not after.isalnum():
            return Reading(at + 1, f" {scan.language.table('formula')['above']['*']}", "sign")
        if _is_term_before(scan, at) and _is_term_at(scan, at + 1):
            return Reading(at + 1, scan.language.table("signs")["*"], "sign")
        return None
    if re.match(r"[A-Z]\(", scan.text[at + 1 :].lstrip()) and scan.language.table("formula"):
        words = str(scan.language.table("formula")["distributed"])
        verb = scan.language.word("is")
        if re.search(r"\b[Ll]et [^=<>]{1,8}$", scan.text[:at]):
            words = words.replace(verb, scan.language.word("be"), 1)
        return Reading(at + 1, words, "sign")
    if after.isdigit() or after in "£$€":
        return Reading(at + 1, scan.language.table("lone_signs").get("~", ""), "sign")
    if before.isalnum() and (after in "△∠" or (after.isupper() and before.isupper())):
        return Reading(at + 1, scan.language.table("signs").get("∼", ""), "sign")
    return None


def _is_asked(scan: Scan, at: int, verb: str) -> bool:
    """Say whether the verb stands before the left side already."""
    head = scan.text[max(0, at - 100) : at]
    return bool(re.search(rf"\b{verb}\s+[^\s=<>≤≥]+\s*$", head, re.IGNORECASE)) or bool(
        re.search(rf"(?:^|\. ){verb}\s+[^a-z=<>≤≥]+\s*$", head, re.IGNORECASE)
    )


def _is_minus(scan: Scan, at: int) -> bool:
    """Say whether a hyphen is a minus: before a figure after a blank, or between two terms."""
    text = scan.text
    before, after = text[at - 1 : at], text[at + 1 : at + 2]
    starts = not before or before in " \u00a0\n([{|“\"‘'/√" or before in OPERATORS
    if starts and (after.isdigit() or (after in "£$€.½¼¾√" and after)):
        return True
    closed = re.match(r"[\d)²³a-zA-Z]", before) and re.match(r"[\d(a-zA-Z]", after)
    if closed and scan.is_formula and _is_term_before(scan, at) and _is_term_at(scan, at + 1):
        return True
    spaced = before in {" ", "\u00a0"} and after in {" ", "\u00a0"}
    return bool(spaced and _is_term_before(scan, at) and _is_term_at(scan, at + 1))


def _is_term_before(scan: Scan, at: int) -> bool:
    head = scan.text[max(0, at - 12) : at].rstrip()
    return bool(re.search(r"(?:\d[a-z]{0,2}|[²³)°%]|(?<![^\W\d_])[b-zA-Z])$", head))


def _is_term_at(scan: Scan, at: int) -> bool:
    return bool(re.match(r"\s*(?:[£$€(√]?\d|\(|\?|_{2}|[½¼¾⅓⅔]|[a-zA-Z](?![a-zA-Z]))", scan.text[at:]))


def _is_spaced_minus(scan: Scan, at: int) -> bool:
    """Say whether a dash between blanks stands between two terms: `100 – 35`."""
    text = scan.text
    spaced = text[at - 1 : at] in {" ", "\u00a0"} and text[at + 1 : at + 2] in {" ", "\u00a0"}
    if not (spaced and _is_term_before(scan, at) and _is_term_at(scan, at + 1)):
        return False
    return scan.is_formula or scan.mentions("sums") or bool(re.search(r"\d\s$", text[:at]) and re.match(r"\s\d", text[at + 1 :]))


def _spaced_minus(scan: Scan, at: int) -> Reading:
    return Reading(at + 1, scan.language.word("minus"), "sign")


def _is_unary(scan: Scan, at: int) -> bool:
    """Say whether a minus belongs to what follows: `−5`, not `7 − 5`."""
    if scan.text[at + 1 : at + 2] in {"", " ", "\u00a0"}:
        return False
    before = scan.text[at - 1 : at]
    return not before or before in " \u00a0\n([“\"‘'," or before in OPERATORS


def _below_zero_follows(scan: Scan, at: int) -> bool:
    return scan.style("temperature") == "below-zero" and bool(
        re.match(rf"\d+(?:\.\d+)?{BLANK}?(?:°C|℃)", scan.text[at + 1 :])
    )


def is_size(scan: Scan, at: int) -> bool:
    """Say whether × stands in a size: `3 m × 4 m`, `a 5 × 5 grid`, `4 × 100 m relay`."""
    after = re.match(rf"{BLANK}?(\d+(?:\.\d+)?)(?:{BLANK}?([a-zA-Z]+|['′’\"″”]))?", scan.text[at + 1 :])
    before = re.search(rf"[\d½¼¾⅓⅔⅛⅜⅝⅞](?:{BLANK}?([a-zA-Z]+|['′’\"″”]))?{BLANK}?$", scan.text[:at])
    if after is None or before is None or re.match(r"[^.?!]*=", scan.text[at + 1 :]):
        return False
    if re.search(r"(?<!\d)[2-9][ \u00a0]?$", scan.text[:at]) and re.match(r"[ \u00a0]?\d{2,4}[ \u00a0]?m(?!\w)", scan.text[at + 1 :]):
        return True  # a relay
    units = {*scan.language.units, "'", "′", "’", '"', "″", "”"}
    both = (before[1] in units or before[1] is None) and after[2] in units
    if both and before[1] is None and not scan.mentions("sizes"):
        both = False
    named_after = (after[2] or "").lower() in scan.language.table("sizes").get("words", ())
    return bool(both or (before[1] is None and named_after))


# ---- powers, roots, brackets


def power(scan: Scan, at: int) -> Reading | None:
    """Read an exponent or index that stands right after a term."""
    if not scan.language.word("squared"):
        return None
    if scan.text[at] == "^" and scan.text[at + 1 : at + 2] == "(":
        if not open_formula_bracket(scan, at + 1):
            return None
        words = f" {scan.language.word('power')} {scan.language.word('open_bracket')} "
        return Reading(at + 2, words, "power")
    charge = re.compile("[⁺⁻](?![⁰¹²³⁴⁵⁶⁷⁸⁹ⁿ])").match(scan.text, at)
    if charge and scan.text[at - 1 : at].isalpha():
        word = scan.language.word("plus" if charge[0] == "⁺" else "minus")
        return Reading(charge.end(), f" {word}", "power")
    found = _POWER.match(scan.text, at)
    if found:
        written = found[0].lstrip("^").strip("{}").translate(_UP).replace("−", "-")
        before = scan.text[max(0, at - 7) : at]
        if written == "-1" and re.search(r"(?:(?<![a-zA-Z])[fgh]|sin|cos|tan)$", before):
            words = f" {scan.language.word('inverse')}"
        else:
            words = f" {_exponent_words(scan, written)}"
        end = found.end()
        unit = measures.unit_at(scan, end + 1) if scan.text[end : end + 1] in _BLANKS else None
        if unit and scan.text[at - 1 : at].isdigit() and scan.text[end + 1 : unit[2]] != "in":
            factors, divisors, end, _ = unit
            words += f" {measures.unit_words(scan, factors, divisors)}"
        return Reading(end, words, "power")
    index = _SUB.match(scan.text, at)
    if index and scan.text[at - 1 : at].isdigit():
        word = scan.language.table("formula").get("base", "")
        return Reading(index.end(), f" {word} {_index_words(scan, index[0])}", "power")
    if index:
        return Reading(index.end(), f" {scan.language.word('sub')} {_index_words(scan, index[0])}", "power")
    return None


def _index_words(scan: Scan, written: str) -> str:
    """Return what stands below a letter: "one", "n plus one", "max"."""
    plain = written.lstrip("_").translate(_DOWN)
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
        or not (following.isalnum() or following == "(")
    ):
        return None
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
    return Reading(found.end(), str(scan.language.table("formula")["root"]).format(degree=name) + " ", "sign")


def mapping(scan: Scan, at: int) -> Reading | None:
    """Read `g: x ↦` and `f : x → `: "g maps x to"."""
    found = re.compile(r"([fgh]) ?: ?([a-zθ]) ?[↦→]").match(scan.text, at)
    table = scan.language.table("formula")
    if found is None or not table:
        return None
    maps, to = str(table["maps_to"]).split(" ")
    return Reading(found.end(), named(f"{found[1]} {maps} {found[2]} {to}"), "letters")


def components(scan: Scan, at: int) -> Reading | None:
    """Read a vector by its components in angle brackets: `<4, -1>`, `⟨2, 3⟩`."""
    found = _COMPONENTS.match(scan.text, at)
    if found is None or not scan.language.has("ratios"):
        return None
    said = []
    for part in re.split(r", ?", found[1]):
        minus = f"{scan.language.word(scan.style('negative'))} " if part[0] in "−-" else ""
        core = part.lstrip("−-")
        number = numbers.number_at(core, 0, scan.language)
        said.append(minus + (scan.words_of(number) if number else named(core)))
    return Reading(found.end(), ", ".join(said), "point")


_COMPONENTS: Final = re.compile(
    r"[<⟨]([−-]?(?:\d+(?:\.\d+)?|[a-z])(?:, ?[−-]?(?:\d+(?:\.\d+)?|[a-z])){1,2})[>⟩]"
)


def derivative(scan: Scan, at: int) -> Reading | None:
    """Read `dy/dx` and `d²y/dx²`: "d y by d x"."""
    found = _DERIVATIVE.match(scan.text, at)
    table = scan.language.table("formula")
    if found is None or not table:
        return None
    raised = {"²": f" {scan.language.word('squared')}", "³": f" {scan.language.word('cubed')}", None: "", "": ""}
    greek = scan.language.table("greek")
    top, bottom = (greek.get(one, one) for one in (found[2], found[3]))
    words = f"d{raised[found[1]]} {top} {table['by']} d {bottom}{raised[found[4]]}"
    return Reading(found.end(), named(" ".join(words.split())), "letters")


_DERIVATIVE: Final = re.compile(r"d([²³]?)([a-zA-Zθ]?)/d([a-zA-Zθ])([²³]?)(?!\w)")


def open_formula_bracket(scan: Scan, at: int) -> bool:
    """Say whether a bracket belongs to a formula, and remember where it closes."""
    found = _BRACKETED.match(scan.text, at)
    if found is None or not scan.language.word("open_bracket"):
        return False
    scan.closings.add(found.end() - 1)
    return True


def bracket(scan: Scan, at: int) -> Reading | None:
    """Read a bracket of a formula; brackets of a sentence stay what they are."""
    language = scan.language
    if scan.text[at] == ")":
        if at in scan.silent:
            return Reading(at + 1, "", "bracket")
        if at in scan.closings:
            return Reading(at + 1, f" {language.word('close_bracket')}", "bracket")
        return None
    if (part := roman.label(scan, at)) is not None:
        return part
    label = _LABEL.match(scan.text, at)
    clause = re.compile(r"\((\d{1,2})\)").match(scan.text, at)
    if clause and re.search(r"[\d)]$", scan.text[:at]):
        label_of = re.search(r"([A-Za-z]+)\.?[ \u00a0][\dA-Z.]+(?:\(\w+\))*$", scan.text[max(0, at - 40) : at])
        if label_of and label_of[1].lower() in scan.language.listed("roman", "counted"):
            return Reading(clause.end(), f" {numbers.whole_words(int(clause[1]), language)}", "letters")
    head = scan.text[max(0, at - 8) : at]
    follows = roman.label(scan, label.end()) if label else None
    if label and (re.search(r"\b[Qq]?\d+ $", head) or follows is not None):
        return Reading(label.end(), named(f" {label[1].upper()}"), "letters")
    if label and scan.text[at - 1 : at].isdigit() and scan.word_before(at - 1) != "":
        return Reading(label.end(), named(f" {label[1].upper()}"), "letters")
    if not _is_formula_bracket(scan, at):
        return None
    open_formula_bracket(scan, at)
    return Reading(at + 1, f" {language.word('open_bracket')} ", "bracket")


def _is_formula_bracket(scan: Scan, at: int) -> bool:
    found = _BRACKETED.match(scan.text, at)
    if found is None or not _INSIDE.fullmatch(found[1]) or not scan.language.word("open_bracket"):
        return False
    before, after = scan.text[at - 1 : at], scan.text[found.end() : found.end() + 1]
    if before in _ROOTS:
        return True
    closed_up = bool(before) and (before.isdigit() or before in ")²³" or _is_lone(scan, at - 1))
    powered = bool(after) and (after in "²³⁴⁵^(/!" or after.isalnum())
    holds_sign = any(sign in OPERATORS or sign == "-" for sign in found[1])
    beside = scan.beside_operator(at, found.end())
    raised = bool(after) and after in "²³⁴⁵⁶⁷⁸⁹⁻ⁿ^(/!"
    return (closed_up or powered or beside) and (holds_sign or closed_up or beside or raised)


def _is_lone(scan: Scan, at: int) -> bool:
    """Say whether a letter stands alone, with no other letter beside it."""
    text = scan.text
    return text[at].isalpha() and not text[at - 1 : at].isalpha()


def function_of(scan: Scan, at: int) -> Reading | None:
    """Read `f(x)`, `P(A)`, `f′(2)`: "f of x"; what stands in the bracket is read in its turn."""
    of = scan.language.word("of")
    found = _FUNCTION.match(scan.text, at) if of else None
    if found is None:
        return None
    opening = found.end() - 1
    inside = _BRACKETED.match(scan.text, opening)
    if inside is None or not _INSIDE_FUNCTION.fullmatch(inside[1]):
        return None
    name = found["name"]
    if len(name) > 1 and (name.isupper() or set(name) <= set("fgh") or name in {"hcf", "lcm", "gcd"}):
        scan.silent.add(inside.end() - 1)
        return Reading(found.end(), named(f"{' '.join(name.upper() if name in {'hcf', 'lcm', 'gcd'} else name)} {of} "), "letters")
    listed = scan.language.listed("functions_of", "names")
    if name not in listed and not (name in scan.language.listed("functions_of", "maybe") and _is_single(inside[1])):
        return None
    if name in {"P", "Q", "A", "B", "C", "E"} and re.fullmatch(r"[−-]?\d+(?:\.\d+)?, ?[−-]?\d+(?:\.\d+)?", inside[1]):
        return None
    scan.silent.add(inside.end() - 1)
    for bar in re.finditer(r"\|", inside[1]):
        scan.given.add(opening + 1 + bar.start())
    primes = scan.language.table("primes")
    marks = "".join(f" {primes[mark]}" for mark in found["marks"])
    if found["power"]:
        marks += f" {scan.language.word('inverse')}"
    return Reading(found.end(), named(f"{name}{marks} {of} "), "letters")


def _is_single(inside: str) -> bool:
    return re.fullmatch(r"[a-zA-Zθ]′?|\d+(?:\.\d+)?|[A-Z] ?[∩∪|] ?[A-Z]′?", inside) is not None


_FUNCTION: Final = re.compile(r"(?P<name>[fgh]{2,3}|[A-Za-z]|Var|Pr|det|HCF|LCM|GCF|GCD|hcf|lcm|gcd|max|min)(?P<power>⁻¹)?(?P<marks>[′'’″]?)\(")
_INSIDE_FUNCTION: Final = re.compile(
    r"(?:[\d.,+−×÷=·/<>≤≥±√^²³⁴⁻ⁿ°π′∩∪|()θ-]|[ \u00a0]|[a-zA-Z](?![a-zA-Z])|[a-z]{2}(?=\()|"
    r"(?:and|or|not|red|blue|green|heads|tails|head|tail|win|lose|even|odd|six|rain|prime|black|white|at least|one|two)(?![a-z]))+"
)


def bar(scan: Scan, at: int) -> Reading | None:
    """Read `|x − 3|`, and the bar of `P(A | B)`."""
    table = scan.language.table("formula")
    if not table or scan.text[at] != "|":
        return None
    if at in scan.given:
        return Reading(at + 1, f" {table['signs']['|']} ", "bracket")
    if at in scan.silent:
        return Reading(at + 1, "", "bracket")
    found = re.compile(r"\|([^|]{1,60})\|").match(scan.text, at)
    if found is None or not _INSIDE.fullmatch(found[1]) or found[1] != found[1].strip():
        return None
    scan.silent.add(found.end() - 1)
    return Reading(at + 1, f"{table['absolute']} ", "bracket")


def interval(scan: Scan, at: int) -> Reading | None:
    """Read `[0, 5)`: its brackets say which ends belong to it."""
    names = scan.language.table("formula").get("brackets")
    if not names:
        return None
    if at in scan.closings and scan.text[at] in "])":
        return Reading(at + 1, f" {names[scan.text[at]]}", "bracket")
    found = _INTERVAL.match(scan.text, at)
    if found is None or not (found[0][0] == "[" or found[0][-1] == "]"):
        return None
    scan.closings.add(found.end() - 1)
    return Reading(at + 1, f"{names[found[0][0]]} ", "bracket")


_INTERVAL: Final = re.compile(r"[\[(][−-]?(?:\d+(?:\.\d+)?|∞|[a-z]), ?[−-]?(?:\d+(?:\.\d+)?|∞|[a-z])[\])]")


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


def braces(scan: Scan, at: int) -> Reading | None:
    """Read a set in braces: `{1, 2, 3}`, `{x : x > 2}`."""
    table = scan.language.table("formula")
    if not table:
        return None
    if at in scan.silent:
        return Reading(at + 1, "", "bracket")
    found = re.compile(r"\{([^{}]{0,80})\}").match(scan.text, at)
    if found is None:
        return None
    scan.silent.add(found.end() - 1)
    if not found[1].strip():
        scan.silent.discard(found.end() - 1)
        return Reading(found.end(), str(scan.language.table("lone_signs")["∅"]), "bracket")
    such = re.search(r"[ ]?[:|][ ]?", found[1])
    words = "" if scan.word_before(at) in {"set", "sets"} else table["set"]
    if such is not None:
        scan.such_that.add(at + 1 + such.start() + len(such[0]) - len(such[0].lstrip()))
        words = f"{words} {table['of']}" if words else table["of"]
    return Reading(at + 1, f"{words} ", "bracket")


def slash(scan: Scan, at: int) -> Reading | None:
    """Read a slash between two terms of a formula: "over"."""
    over = scan.language.word("over")
    if scan.text[at] not in "/⁄" or not over:
        return None
    before = re.search(rf"(?:[)²³⁴⁵⁶ⁿ\d°′!]|(?<!{LETTER}){LETTER}|(?<=\d)[a-zπ]{{1,2}}|[α-ωΔπ]|(?<![a-zA-Z])[A-Z]{{2}}|(?<!{LETTER})[πΔ]?[a-zA-Zπ])[ ]?$", scan.text[max(0, at - 6) : at])
    after = re.match(rf"[ ]?(?:[(√\dπ]|[−-]?\d|{LETTER}(?!{LETTER})|[a-z]{{2}}(?!{LETTER}))", scan.text[at + 1 : at + 5])
    if not (before and after):
        return None
    spaced = scan.text[at - 1 : at] in _BLANKS and scan.text[at + 1 : at + 2] in _BLANKS
    if spaced and scan.text[:at].rstrip()[-1:].isdigit() and scan.text[at + 1 :].lstrip()[:1].isdigit():
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
    if rest[:1] in tuple("=÷×+−/)<>") or scan.mentions("factorials") or re.match(r"[.?]?$", rest) is None and before[0].isalpha():
        return Reading(at + 1, f" {table['signs']['!']}", "sign")
    return None


def accented(scan: Scan, at: int) -> Reading | None:
    """Read a single letter with a mark over it: "x bar"."""
    table = scan.language.table("accents")
    found = re.compile(r"([^\W\d_]|[A-Z]{2}(?=\u20d7))([\u0302-\u0308\u20d7]?)(?![^\W\d_])").match(scan.text, at)
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
    words = f"{name} {' '.join(base)}" if name == "vector" else f"{base} {name}"
    return Reading(found.end(), named(words), "letters")


# ---- letters


def over(scan: Scan, at: int) -> Reading | None:
    """Read `a/b`, `3/x`, `2a/5`: "a over b"."""
    found = _OVER.match(scan.text, at)
    if found is None or not scan.language.word("over"):
        return None
    top, bottom = found["top"] or found["top2"], found["bottom"] or found["bottom2"]
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
    if written in functions and _FUNCTION_FOLLOWS.match(scan.text, end):
        return _function(scan, end, written)
    if written[0] == "Δ" and re.fullmatch(r"Δ[A-Z]{3}", written):
        triangle = scan.language.table("formula").get("signs", {}).get("△", "")
        return Reading(end, named(f"{triangle} {' '.join(written[1:])}"), "letters")
    if not _is_quantity(scan, at, end, written):
        return None
    return Reading(end, named(_letter_words(scan, written)), "letters")


_FUNCTION_FOLLOWS: Final = re.compile(
    rf"{BLANK}?[\d(√|π½¼¾−-]|{BLANK}?\d*[a-zA-Zθαβφ](?![a-zA-Z])|[⁻⁰¹²³⁴⁵⁶⁷⁸⁹₀-₉^_]|{BLANK}?[∠△]"
)
_BASE: Final = re.compile(r"([₀-₉]+|_\d+|[ₐₓ]|_[a-z])")


def _function(scan: Scan, end: int, name: str) -> Reading:
    """Return a function's name; the base of a logarithm with it."""
    words = scan.language.table("functions")[name]
    inverse = scan.text.startswith("⁻¹", end)
    if inverse:
        words, end = f"{scan.language.word('inverse')} {words}", end + 2
    inside = _BRACKETED.match(scan.text, end)
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
    return Reading(base.end(), f"{words} {word} {_index_words(scan, base[0])} {of}", "letters")


def _is_quantity(scan: Scan, at: int, end: int, written: str) -> bool:
    before, after = scan.text[at - 1 : at], scan.text[end : end + 1]
    closed_up = bool(before) and (before.isdigit() or before in _VULGAR)
    if closed_up and len(written) == 2 and written.islower() and written not in _SUFFIXES:
        return before in _VULGAR or scan.is_formula or written not in scan.language.listed("maths", "little_words")
    if any(sign in scan.language.table("greek") for sign in written) and len(written) <= 4:
        return True
    little = written.lower() in scan.language.listed("maths", "little_words")
    if little and len(written) == 2 and scan.is_formula and scan.sign_before(at) in OPERATORS:
        if re.match(r"[²³^]|[ ]?(?:[=+−×÷<>.,;?]|$|(?:to|and|for|if|when|where)\b)", scan.text[end:]):
            return True
    if len(written) > 3 or (len(written) > 1 and little):
        return False
    if after and (_POWER.match(scan.text, end) or _SUB.match(scan.text, end)):
        return True
    if after == "′" and len(written) < 3:
        return True
    if before and (before.isdigit() or before in "∠△²³√"):
        return len(written) == 1 or (
            written not in _SUFFIXES and (len(written) == 2 or written.isupper())
        )
    mixed = len(written) > 1 and not (written.isupper() or written.islower())
    if mixed and written.istitle() and len(written) == 2 and scan.is_formula:
        return scan.sign_after(end) == "=" or scan.sign_before(at) == "="
    if written == "I" or (mixed and written.istitle()):
        return False
    if mixed:
        return scan.beside_operator(at, end)
    is_product = len(written) < 3 or written.isupper() or is_no_word(written, scan.language)
    if scan.beside_operator(at, end) and is_product:
        return True
    in_bracket = any(c > at for c in scan.closings) and len(written) < 3
    if in_bracket or (after == "(" and _is_formula_bracket(scan, end) and len(written) == 1):
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
    return bool(re.search(rf"(?<![^\W_]){small}(?![^\W_])", scan.text)) and scan.is_formula


def _letter_words(scan: Scan, written: str) -> str:
    greek = scan.language.table("greek")
    if len(written) == 1 and written.isupper() and written not in greek:
        style = scan.style("capitals")
        is_said = style == "said" or (style == "where-needed" and _has_small(scan, written))
        return (f"{scan.language.word('capital')} " if is_said else "") + written
    times = scan.language.table("signs")["×"]
    joint = f" {times} " if scan.style("products") == "times" and written.islower() else " "
    return joint.join(greek.get(sign, sign) for sign in written)
