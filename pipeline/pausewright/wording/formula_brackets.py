"""Brackets, bars and braces of formulas in plain text: `2(x + 3)`, `f(x)`, `|x|`, `{1, 2}`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.wording import numbers, roman
from pausewright.wording.letters import named
from pausewright.wording.patterns import Late
from pausewright.wording.scan import BLANK, OPERATORS, Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan

BRACKETED: Final = Late(r"\(((?:[^()]|\([^()]{1,40}\)){1,60})\)")


_LABEL: Final = Late(r"\(([a-h])\)(?![\w²³^+−×÷=]| ?[+−×÷=])")
"""A letter of a question: "Question 4(a)"."""


_INSIDE: Final = Late(
    rf"(?:[\d.,!+−×÷=·/<>≤≥±√∛^²³⁴⁵⁶⁷⁸⁹⁰¹⁻ⁿ°%πθαβλ′½¼¾⅓⅔⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒₀-₉()|–-]|{BLANK}|"
    rf"[a-zA-Zα-ωΔΣ](?![a-zA-Z])|[x-y]\u0304|"
    r"[xyzab]{2}(?![a-z])|(?<=\d)[a-z]{2}(?![a-z])|(?:sin|cos|tan|log|ln)(?![a-z]))+"
)


_ROOTS: Final = {"√": "square_root", "∛": "cube_root", "∜": "fourth_root"}


def open_formula_bracket(scan: Scan, at: int) -> bool:
    """Say whether a bracket belongs to a formula, and remember where it closes."""
    found = BRACKETED.match(scan.text, at)
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
            unit = f" {scan.after_bracket[at]}" if at in scan.after_bracket else ""
            return Reading(at + 1, f" {language.word('close_bracket')}{unit}", "bracket")
        return None
    if (part := roman.label(scan, at)) is not None:
        return part
    label = _LABEL.match(scan.text, at)
    clause = re.compile(r"\((\d{1,2})\)").match(scan.text, at)
    if clause and re.search(r"[\d)]$", scan.text[:at]):
        label_of = re.search(
            r"([A-Za-z]+)\.?[ \u00a0][\dA-Z.]+(?:\(\w+\))*$", scan.text[max(0, at - 40) : at]
        )
        if label_of and label_of[1].lower() in scan.language.listed("roman", "counted"):
            return Reading(
                clause.end(), f" {numbers.whole_words(int(clause[1]), language)}", "letters"
            )
    head = scan.text[max(0, at - 8) : at]
    follows = roman.label(scan, label.end()) if label else None
    if label and (re.search(r"\b[Qq]?\d+ $", head) or follows is not None):
        return Reading(label.end(), named(f" {label[1].upper()}"), "letters")
    if label and scan.text[at - 1 : at].isdigit() and scan.word_before(at - 1) != "":
        return Reading(label.end(), named(f" {label[1].upper()}"), "letters")
    if (term := _numbered_term(scan, at)) is not None:
        return term
    if not is_formula_bracket(scan, at):
        return None
    if _is_lone_term(scan, at):
        scan.silent.add(scan.text.index(")", at))
        return Reading(at + 1, "", "bracket")
    open_formula_bracket(scan, at)
    return Reading(at + 1, f" {language.word('open_bracket')} ", "bracket")


_NUMBERED_TERM: Final = Late(r"\((\d?[a-z]) ?([+−–-]) ?(\d{1,2}|[a-z])\) ?(?:st|nd|rd|th)(?!\w)")


def _numbered_term(scan: Scan, at: int) -> Reading | None:
    """Read `(n + 1)th`: "n plus first"."""
    found = _NUMBERED_TERM.match(scan.text, at)
    if found is None:
        return None
    language, (letter, sign, last) = scan.language, found.groups()
    times = f"{numbers.whole_words(int(letter[0]), language)} " if letter[0].isdigit() else ""
    joint = language.word("plus" if sign == "+" else "minus")
    last = numbers.ordinal_words(int(last), language) if last.isdigit() else f"{last}th"
    return Reading(found.end(), named(f"{times}{letter[-1]} {joint} {last}"), "letters")


_LONE_TERM: Final = Late(r"\((\d*[a-z]{0,2}|\d+\.\d+)\)(?! ?[²³⁴⁵⁶⁷⁸⁹^!])")


def _is_lone_term(scan: Scan, at: int) -> bool:
    """Say whether one term alone stands in brackets that a slash parts from others: (2a)/(3b)."""
    found = _LONE_TERM.match(scan.text, at)
    if found is None or len(found[1]) == 0:
        return False
    before, after = scan.text[:at].rstrip()[-1:], scan.text[found.end() :].lstrip()[:1]
    return (bool(before) and before in "/⁄") or (bool(after) and after in "/⁄")


def is_formula_bracket(scan: Scan, at: int) -> bool:
    """Say whether a bracket belongs to a formula and not to a sentence."""
    found = BRACKETED.match(scan.text, at)
    if found is None or not _INSIDE.fullmatch(found[1]) or not scan.language.word("open_bracket"):
        return False
    if re.fullmatch("[A-H]", found[1]) and re.search(r"(?:^|[;:,.] )$", scan.text[:at]):
        return False  # the label of an answer to choose
    before, after = scan.text[at - 1 : at], scan.text[found.end() : found.end() + 1]
    if re.search(r"[\w)!] [/⁄] $", scan.text[:at]) and scan.text[at + 1 : at + 2].isalnum():
        return True
    if (
        (before and before in "∑Σ")
        or before in _ROOTS
        or (before in tuple("/⁄") and re.search(r"[\w)²³!][/⁄]$", scan.text[:at]))
    ):
        return True
    closed_up = bool(before) and (before.isdigit() or before in ")²³" or _is_lone(scan, at - 1))
    powered = bool(after) and (after in "²³⁴⁵^(/!%" or after.isalnum())
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
    event = _EVENT.match(scan.text, at)
    if event is not None:
        scan.silent.add(event.end() - 1)
        return Reading(found.end(), named(f"P {of} "), "letters")
    inside = BRACKETED.match(scan.text, opening)
    if inside is None or not _INSIDE_FUNCTION.fullmatch(inside[1]):
        return None
    name = found["name"]
    if len(name) > 1 and (
        name.isupper() or set(name) <= set("fgh") or name in {"hcf", "lcm", "gcd"}
    ):
        scan.silent.add(inside.end() - 1)
        return Reading(
            found.end(),
            named(f"{' '.join(name.upper() if name in {'hcf', 'lcm', 'gcd'} else name)} {of} "),
            "letters",
        )
    if re.search(r"~[ ]?$", scan.text[:at]) and name in {"N", "B", "U", "T", "F"}:
        scan.silent.add(inside.end() - 1)
        return Reading(found.end(), f"{name} ", "letters")
    if name == "n" and re.search(r"[+−×÷–-]|\d[a-z]|[a-z]\d", inside[1]):
        return None
    listed = scan.language.listed("functions_of", "names")
    if name not in listed and not (
        name in scan.language.listed("functions_of", "maybe") and _is_single(inside[1])
    ):
        return None
    if name in {"P", "Q", "A", "B", "C", "E"} and re.fullmatch(
        r"[−-]?\d+(?:\.\d+)?, ?[−-]?\d+(?:\.\d+)?", inside[1]
    ):
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


_EVENT: Final = Late(r"P\([a-z]{2,}(?:[ ][a-z]{2,}){0,3}\)")
_FUNCTION: Final = Late(
    r"(?P<name>[fgh]{2,3}|[A-Za-z]|Var|Pr|det|HCF|LCM|GCF|GCD|hcf|lcm|gcd|max|"
    r"min)(?P<power>⁻¹)?(?P<marks>[′'’″]?)\("
)


_INSIDE_FUNCTION: Final = Late(
    r"(?:[\d.,+−×÷=·/<>≤≥±√^²³⁴⁻ⁿ°π′'’∩∪|()θ½¼¾⅓⅔-]|[ \u00a0]|[a-zA-Z](?![a-zA-Z])|[a-z]{2}(?=\()|"
    r"(?:and|or|not|red|blue|green|heads|tails|head|tail|win|lose|even|odd|six|rain|prime|black|"
    r"white|"
    r"at least|one|two)(?![a-z]))+"
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
    if at in scan.closings and scan.text[at] in "])" and at not in scan.after_bracket:
        return Reading(at + 1, f" {names[scan.text[at]]}", "bracket")
    found = _INTERVAL.match(scan.text, at)
    if found is None or not (found[0][0] == "[" or found[0][-1] == "]"):
        return None
    scan.closings.add(found.end() - 1)
    return Reading(at + 1, f"{names[found[0][0]]} ", "bracket")


_INTERVAL: Final = Late(
    r"[\[(][−-]?(?:\d+(?:\.\d+)?|∞|[a-z]), ?[−-]?(?:\d+(?:\.\d+)?|∞|[a-z])[\])]"
)


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


_COMPONENTS: Final = Late(
    r"[<⟨]([−-]?(?:\d+(?:\.\d+)?|[a-z])(?:, ?[−-]?(?:\d+(?:\.\d+)?|[a-z])){1,2})[>⟩]"
)
