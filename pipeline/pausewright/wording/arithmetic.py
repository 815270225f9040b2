"""Signs of arithmetic, relations and sizes, as they are written: `+`, `−`, `≤`, `3 m × 4 m`."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from pausewright.wording import chemistry
from pausewright.wording.patterns import Late
from pausewright.wording.scan import BLANK, OPERATORS, Reading

if TYPE_CHECKING:
    from pausewright.wording.scan import Scan


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
    words = _without_said_to(scan, table[sign], at + length)
    if sign == "≡" and "mod" in scan.text[at:] and scan.language.has("formula"):
        words = str(scan.language.table("formula")["congruent"])
    bare = words.removeprefix(f"{scan.language.word('is')} ")
    if bare != words and (
        re.search(r"\bis $", scan.text[:at])
        or _OPENS_PHRASE.search(scan.text[:at])
        or _is_named(scan, at, length)
    ):
        return Reading(at + length, bare, "sign")
    if (
        sign == "→"
        and re.search(r"\d[%°]?[CF]? ?$", scan.text[:at][-6:])
        and re.match(r" ?[£$€−-]?\d+(?:\.\d+)?[%°]", scan.text[at + length :])
    ):
        return Reading(at + length, f" {scan.language.word('to')} ", "sign")
    if sign == "→" and scan.mentions("strands"):
        return Reading(at + length, scan.language.word("to"), "sign")
    tends = sign == "→" and re.match(r" ?[−-]?∞", scan.text[at + length :])
    if sign == "→" and not tends and scan.text[:at].rstrip()[-1:] == ")":
        return Reading(at + length, scan.language.table("formula")["maps_to"], "sign")
    if (
        sign == "→"
        and (tends or re.search(r"(?<!\w)[a-zθ] ?$", scan.text[:at]))
        and re.match(r" ?[−-]?[∞\d]", scan.text[at + length :])
    ):
        return Reading(at + length, scan.language.table("formula")["signs"]["→"], "sign")
    verb = scan.language.word("is")
    if (
        verb
        and words.startswith(f"{verb} ")
        and re.search(r"\b[Ll]et [^=<>≤≥]{1,8}$", scan.text[:at])
    ):
        return Reading(at + length, words.replace(verb, scan.language.word("be"), 1), "sign")
    if verb and words.startswith(f"{verb} ") and _is_asked(scan, at, verb):
        words = words.removeprefix(f"{verb} ")  # "Is 7 > 5?"
    return Reading(at + length, words, "sign")


def _without_said_to(scan: Scan, words: str, end: int) -> str:
    """Return a sign's words without the "to" that the author writes behind it: "is ⊥ to"."""
    to = scan.language.word("to")
    is_said = bool(to) and re.match(rf"[ \u00a0]{to}\b", scan.text[end:])
    return words.removesuffix(f" {to}") if is_said else words


_OPENS_PHRASE: Final = Late(
    r"(?:^|[(\[“‘:;—]|\b(?:of|at|for|with|in|to|be|are|was|were|only|but|than|cost|costs|age|aged|"
    r"score|scores|speeds|values|temperatures|people|ages|masses|sizes|angles))[ \u00a0]?$"
)
"""Nothing stands before the sign that it could relate: "the rest (≤5%)"."""


def _is_named(scan: Scan, at: int, length: int) -> bool:
    """Say whether a sign stands among words, as the name of itself: "the signs < and >"."""
    before = (
        re.search(r"[a-z]{2,} $|[<>=≤≥≠+−×÷][,;] $", scan.text[:at]) or not scan.text[:at].strip()
    )
    after = re.match(r" [a-z]{2,}|[.,;?!]|$", scan.text[at + length :])
    return bool(before and after)


def _typed(scan: Scan, at: int, sign: str) -> Reading | None:
    """Read `*` between two terms, and `~` before a figure or between two letters."""
    before, after = scan.text[:at].rstrip()[-1:], scan.text[at + 1 :].lstrip()[:1]
    if sign == "*":
        star = scan.language.table("formula").get("above", {}).get("*")
        is_grade = re.search(r"(?<!\w)[A-G]$", scan.text[max(0, at - 2) : at])
        if star and is_grade:
            plural = re.match(r"[’']?s(?!\w)", scan.text[at + 1 :])
            if plural:
                return Reading(at + 1 + plural.end(), f" {star}s", "sign")
            if not scan.text[at + 1 : at + 2].isalnum():
                return Reading(at + 1, f" {star}", "sign")
        told = scan.decide("star", at, at + 1) if before.isdigit() else None
        if told is not None and (not_out := scan.language.word("not_out")):
            return Reading(at + 1, f" {not_out}", "sign", because=told.told(sign))
        times = scan.language.table("signs").get("*")
        if times and _is_term_before(scan, at) and _is_term_at(scan, at + 1):
            return Reading(at + 1, times, "sign")
        return None
    if re.match(r"[A-Z][a-z]{0,2}\(", scan.text[at + 1 :].lstrip()) and scan.language.table(
        "formula"
    ):
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
    starts = not before or before in " \u00a0\n([{|“\"‘'/√;," or before in OPERATORS
    if starts and (after.isdigit() or (after in "£$€.½¼¾√" and after)):
        return True
    closed = re.match(r"[\d)²³a-zA-Z]", before) and re.match(r"[\d(a-zA-Z]", after)
    if (
        (before in tuple("²³") or at - 1 in scan.closings)
        and after.isalnum()
        and re.search(r"[a-z\d][²³)]$", text[:at])
    ):
        return True
    in_bracket = any(closing > at for closing in scan.closings)
    if (
        closed
        and (scan.is_formula or in_bracket)
        and _is_term_before(scan, at)
        and _is_term_at(scan, at + 1)
    ):
        return True
    spaced = before in {" ", "\u00a0"} and after in {" ", "\u00a0"}
    return bool(spaced and _is_term_before(scan, at) and _is_term_at(scan, at + 1))


def _is_term_before(scan: Scan, at: int) -> bool:
    head = scan.text[max(0, at - 12) : at].rstrip()
    return bool(re.search(r"(?:\d[a-z]{0,2}|[²³)°%₀-₉ₐ-ₜₙᵢ]|(?<![^\W\d_])[b-zA-Z])$", head))


def _is_term_at(scan: Scan, at: int) -> bool:
    return bool(
        re.match(r"\s*(?:[−–-]?[£$€(√]?\d|\(|\?|_{2}|[½¼¾⅓⅔]|[a-zA-Z](?![a-zA-Z]))", scan.text[at:])
    )


def _is_spaced_minus(scan: Scan, at: int) -> bool:
    """Say whether a dash between blanks stands between two terms: `100 – 35`."""
    text = scan.text
    spaced = text[at - 1 : at] in {" ", "\u00a0"} and text[at + 1 : at + 2] in {" ", "\u00a0"}
    if not (spaced and _is_term_before(scan, at) and _is_term_at(scan, at + 1)):
        return False
    return (
        scan.is_formula
        or scan.mentions("sums")
        or bool(re.search(r"\d\s$", text[:at]) and re.match(r"\s\d", text[at + 1 :]))
    )


def _spaced_minus(scan: Scan, at: int) -> Reading:
    return Reading(at + 1, scan.language.word("minus"), "sign")


def _is_unary(scan: Scan, at: int) -> bool:
    """Say whether a minus belongs to what follows: `−5`, not `7 − 5`."""
    if scan.text[at + 1 : at + 2] in {"", " ", "\u00a0"}:
        return False
    before = scan.text[at - 1 : at]
    return not before or before in " \u00a0\n([“\"‘',;" or before in OPERATORS


def _below_zero_follows(scan: Scan, at: int) -> bool:
    return scan.style("temperature") == "below-zero" and bool(
        re.match(rf"\d+(?:\.\d+)?{BLANK}?(?:°C|℃)", scan.text[at + 1 :])
    )


_NO_COUNT: Final = Late(r"(?:(?<![\d.])(?:1[3-9]|[2-9]\d|\d{3,})|\d\.\d+)[ \u00a0]?$")
"""A number before × that is large or a decimal counts no things: it is a side."""
_SIDES: Final = frozenset({"m", "cm", "mm", "km", "ft", "in", "yd", "mi", "px"})
"""Units that a side is measured in."""


def is_size(scan: Scan, at: int) -> bool:
    """Say whether × stands in a size: `3 m × 4 m`, `a 5 × 5 grid`, `4 × 100 m relay`."""
    after = re.match(
        rf"{BLANK}?(\d+(?:\.\d+)?)(?:{BLANK}?([a-zA-Z]+|['′’\"″”]))?", scan.text[at + 1 :]
    )
    before = re.search(
        rf"[\d½¼¾⅓⅔⅛⅜⅝⅞](?:{BLANK}?([a-zA-Z]+|['′’\"″”])\.?)?{BLANK}?$", scan.text[:at]
    )
    if after is None or before is None or re.match(r"[^.?!]*=", scan.text[at + 1 :]):
        return False
    if scan.mentions("algebra") and (len(before[1] or "") == 1 or len(after[2] or "") == 1):
        return False  # "Simplify 3g × 2g."
    if re.search(r"(?<!\d)[2-9][ \u00a0]?$", scan.text[:at]) and re.match(
        r"[ \u00a0]?\d{2,4}[ \u00a0]?m(?!\w)", scan.text[at + 1 :]
    ):
        return True  # a relay
    if (
        (after[2] is None or after[2] not in scan.language.units)
        and re.search(r"\b[Aa] \d{1,2}[ \u00a0]?$", scan.text[:at])
        and not scan.is_formula
    ):
        return True  # "a 2 × 4"
    units = {*scan.language.units, "'", "′", "’", '"', "″", "”"}
    both = (before[1] in units or before[1] is None) and after[2] in units
    if both and before[1] is None:
        is_side = after[2] in _SIDES or not after[2].isalpha()
        is_sum = scan.is_formula or scan.mentions("sums") or scan.mentions("factorials")
        large = _NO_COUNT.search(scan.text[:at]) is not None and not is_sum
        both = is_side and (large or scan.mentions("sizes"))
    named_after = (after[2] or "").lower() in scan.language.table("sizes").get("words", ())
    return bool(both or (before[1] is None and named_after))
