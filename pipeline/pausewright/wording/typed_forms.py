"""What is typed in place of what is meant, made equal before a text is read; equally long."""

from __future__ import annotations

import re
from typing import Final

from pausewright.wording.patterns import Late

_ITEM: Final = r"[−+-]?(?:\d+[–-]\d+|\d+/\d+|\d*\.\d+|\d+|[½¼¾⅓⅔])[%°]?"
_TIGHT_LIST: Final = Late(rf"(?<![\w.,£$€(/:]){_ITEM}(?:[,&]{_ITEM})+(?![\w/:]|[,.]\d)")
"""Numbers with commas and no blanks between them: `0.5,1/4,30%`."""
BARE_LATEX: Final = Late(
    r"(?<!\S)[^\s\\\ue004]*\\(?:[dt]?frac|sqrt|overline|dot|times|div|pi|theta|leq?|geq?|neq?|pm|"
    r"cdot|"
    r"vec|angle|circ|text|mathrm|left|infty|sum|int|alpha|"
    r"beta)(?![a-zA-Z])[^\s\ue004]*?(?=[.,;:?!]*(?:\s|$))"
)
"""LaTeX that its author forgot to put between dollar signs."""
_RAISED_POINT: Final = Late(r"(?<![\d·.])(\d+)·(?=\d+(?![\d·]|[⁰¹²³⁴-⁹^]))")
"""A point as British papers raise it: `4·2`; `2·3·5` and `3·10⁸` are products."""
_LOOK_ALIKES: Final = str.maketrans("∆⟂∶∕＋‐‑ΩK", "Δ⊥:/+--ΩK")
"""Signs that look like those of the tables: increment, ohm sign, kelvin sign, hyphens."""
_DOT_AFTER: Final = Late("(?<=\\d)˙")
"""A dot above that stands behind its figure; it is the one over it."""
_WRONG_DEGREE: Final = Late("(?<=[\\d \u00a0])º(?=[CF])")
"""The raised o of keyboards for a degree sign."""


_NEGATIVE: Final = Late(
    r"(?:(?<=[=≤≥<>×÷±][ \u00a0])|(?<=[=≤≥<>×÷±(√]))[–-]"
    r"(?=[a-zA-Zθπ√½¼¾][a-z]?(?![a-zA-Z])(?!-))|(?<=√)[–-](?=\d)"
)
"""A dash for the minus of a term after a sign: `F = –kx`, `(–b ± 2)`, `√–1`."""


def usual(text: str) -> str:
    """Return text with the usual signs for those that only look like them."""
    text = _WRONG_DEGREE.sub("°", text).translate(_LOOK_ALIKES)
    return _DOT_AFTER.sub("\u0307", text)


def english(text: str, *, has_raised_points: bool) -> str:
    """Return text whose lists have semicolons and whose raised points are points."""
    text = text.replace("ℓ", "l")
    if "–" in text or "-" in text:
        text = _NEGATIVE.sub("−", text)
    if "," in text:
        text = _TIGHT_LIST.sub(_parted, text)
    if has_raised_points and "·" in text:
        text = _RAISED_POINT.sub(r"\1.", text)
    return text


def _parted(found: re.Match[str]) -> str:
    """Return a list of numbers with semicolons for its commas, unless they group figures."""
    items = re.split("[,&]", found[0])
    if all(re.fullmatch(r"\d{3}(?:\.\d+)?%?", one) for one in items[1:]) and "&" not in found[0]:
        return found[0]
    if re.search(r"\d,\d{3}[–-]\d", found[0]):
        return found[0]
    goes_on = re.match(r",? (?:and|or|&) ?[−-]?\d", found.string[found.end() :])
    plain = all(re.fullmatch(r"\d+", one) for one in items)
    if is_decimal_comma(found[0], found.string[found.end() :]):
        return found[0]
    if len(items) == 2 and plain and not goes_on and "&" not in found[0]:
        return found[0]
    return found[0].replace(",", ";")


def is_decimal_comma(text: str, rest: str) -> bool:
    """Say whether `1,50` is a decimal of other countries: no rising list goes on behind it."""
    if re.fullmatch(r"\d,\d\d", text) is None:
        return False
    following = re.match(r",? (?:and|or|&) ?(\d+)(?!\w)", rest)
    first, second = (int(one) for one in text.split(","))
    return following is None or not first < second < int(following[1])
