"""Text to its spoken form: slots, each with the ways in which it can be said or was meant.

Both the words for the voice and what a recogniser writes come through here. Figures become
words (all their readings), units and contractions their one form; "and" may be left out.
"""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.checker.ear.numerals import (
    NUMERALS,
    ONES,
    ORDINALS,
    SCALES,
    TENS,
    Words,
    cardinal,
    decimal_readings,
    numbers_said,
    ordinal,
    pair_readings,
    whole_readings,
)
from pausewright.checker.ear.vocabulary import (
    ABBREVIATED,
    ALSO,
    CONTRACTED,
    CONTRACTED_ENDS,
    SAME,
    unit_of,
)
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

ANYTHING: Final = "*"
"""A word that nothing is known of: exact sounds, or another language."""

_CURRENCIES: Final = {"£": ("pound", "penny"), "$": ("dollar", "cent"), "€": ("euro", "cent")}
_SIGNS: Final[dict[str, tuple[Words, ...]]] = {
    "+": (("plus",), ("and",)),
    "=": (("equals",), ("is",)),
    "×": (("times",), ("by",), ("multiplied", "by")),
    "*": (("times",), ("by",), ("multiplied", "by")),
    "÷": (("divided", "by"), ("by",)),
    "−": (("minus",),),
    "-": ((), ("minus",), ("to",)),
    "/": ((), ("over",), ("slash",), ("divided", "by"), ("by",)),
    ":": ((), ("to",)),
    "%": (("percent",),),
    "°": (("degree",),),
    "&": (("and",),),
    ANYTHING: ((ANYTHING,),),
}
_LINE: Final = "-"
_SAID_SIGNS: Final = frozenset("+=×÷−%°&*")
"""Signs that are said wherever they stand; the others only between figures."""

_TOKEN: Final = re.compile(
    r"(?P<money>[£$€] ?\d[\d,]*(?:\.\d+)?)"
    r"|(?P<pence>\d+ ?[p¢](?![a-z]))"
    r"|(?P<time>\d{1,2}:\d\d(?!\d))"
    r"|(?P<dashed>\d{1,2}-\d{1,2}(?![\d-]|ths|rds))"
    r"|(?P<fraction>\d+ ?[⁄/] ?\d+)(?![\d/])"
    r"|(?P<ordinal>\d[\d,]*(?:st|nd|rd|th)s?\b)"
    r"|(?P<number>\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+\.\d+|\.\d+|\d+)"
    r"|(?P<half>[ap]\.m\.|[ap]m\b)"
    r"|(?P<word>[^\W\d_]+(?:'[^\W\d_]+)?)"
    r"|(?P<sign>[+=×÷−\-/:%°&*])"
)


@frozen
class Slot:
    """One place in the spoken form."""

    readings: tuple[Words, ...]
    """Ways to say it, the plainest first; an empty one may be left out."""
    surface: str = ""
    """The word as it was written; "" where it was written in figures or signs."""
    alike: tuple[Words, ...] = ()
    """What sounds alike: taken only where the other side has exactly that."""


Spoken: TypeAlias = tuple[Slot, ...]


def spoken(text: str, *, is_heard: bool) -> Spoken:
    """Return the spoken form of a text.

    `is_heard` tells what a recogniser wrote from what the script says: only the former may also
    be other words that sound alike ("to" for "two").
    """
    tokens = list(_tokens(text))
    slots: list[Slot] = []
    n_taken = 0
    for i, (kind, token) in enumerate(tokens):
        if n_taken:
            n_taken -= 1
            continue
        if is_heard and (blurred := _blurred_tens(tokens[i : i + 3])):
            slots.append(blurred)
            n_taken = 2
            continue
        before = tokens[i - 1] if i else ("", "")
        after = tokens[i + 1] if i + 1 < len(tokens) else ("", "")
        slots += _slots(kind, token, before, after)
    return tuple(_also(slot) for slot in slots) if is_heard else tuple(slots)


def _blurred_tens(tokens: list[tuple[str, str]]) -> Slot | None:
    """Return "six to four" as one slot that may also be "sixty four"; None for anything else."""
    if len(tokens) < 3 or tokens[1][1] != "to":
        return None
    left, right = _digit(tokens[0][1]), _digit(tokens[2][1])
    if left < 2 or right < 1:
        return None
    return Slot(((ONES[left], "to", ONES[right]),), alike=((TENS[left], ONES[right]),))


def _digit(written: str) -> int:
    """Return the value of a single digit in figures or words; −1 for anything else."""
    if len(written) == 1 and written in "0123456789":
        return int(written)
    return ONES.index(written) if written in ONES[:10] else -1


def plain_words(form: Spoken) -> tuple[str, ...]:
    """Return the words of a spoken form, each slot in its first reading."""
    return tuple(word for slot in form for word in slot.readings[0])


def numbers_in(text: str) -> tuple[str, ...]:
    """Return the numbers of a text in digits, however they are written: "three quarters" is "3/4".

    A price is pounds and pence ("£4.35" and "four pounds thirty-five" are both "4", "35").
    """
    words = plain_words(spoken(text, is_heard=False))
    return numbers_said(words)


def _tokens(text: str) -> Iterator[tuple[str, str]]:
    """Yield kind and text of each token, in lower case, apostrophes straight."""
    text = _without_vulgar(text).lower().replace("’", "'").replace("‘", "'")
    text = re.sub(r"\bper cents?\b", "percent", text)
    text = re.sub(r"(?<=\d) ?[x×] ?(?=\d)", "×", text)
    text = re.sub(r"[–—]", " ", text).replace("⁄", "/")
    for found in _TOKEN.finditer(text):
        kind = found.lastgroup or ""
        yield kind, found[kind]


def _without_vulgar(text: str) -> str:
    """Return a text in which "2½" is "2 1/2"."""
    out = []
    for sign in text:
        if unicodedata.category(sign) == "No" and "VULGAR FRACTION" in unicodedata.name(sign, ""):
            out.append(f" {unicodedata.normalize('NFKC', sign)} ")
        else:
            out.append(sign)
    return "".join(out)


def _slots(kind: str, token: str, before: tuple[str, str], after: tuple[str, str]) -> list[Slot]:
    if kind == "word":
        return _word(token, before, after)
    if kind == "sign":
        if token in _SAID_SIGNS or (_is_figure(before) and _is_figure(after)):
            return [Slot(_SIGNS[token])]
        is_minus = token == _LINE and _is_figure(after) and before[0] != "word"
        return [Slot((("minus",), ()))] if is_minus else []
    if kind == "dashed":
        return [_dashed(token)]
    return [Slot(_FIGURES[kind](token))]


def _is_figure(token: tuple[str, str]) -> bool:
    return token[0] in {"money", "pence", "time", "fraction", "ordinal", "number", "dashed"}


# ---- words ----------------------------------------------------------------------------------


def _word(token: str, before: tuple[str, str], after: tuple[str, str]) -> list[Slot]:
    if token in CONTRACTED:
        return [Slot((word,)) for word in _each(CONTRACTED[token])]
    for end, words in CONTRACTED_ENDS.items():
        if token.endswith(end) and len(token) > len(end):
            return [*_word(token[: -len(end)], before, after), *(Slot((w,)) for w in _each(words))]
    if token.endswith("'s") and token not in SAME:
        return [*_word(token[:-2], before, after), Slot(((), ("is",), ("us",)))]
    word = SAME.get(token, token)
    if word == "and":
        return [Slot((("and",), ()))]
    if word in {"a", "an"}:
        return [Slot((("a",), ("one",)) if _counts(after) else (("a",),))]
    if word == "oh" and (_is_number(before) or _is_number(after)):
        return [Slot((("zero",), ("oh",)))]
    if word == "o" and (_is_number(before) or _is_number(after)):
        return [Slot((("zero",), ("o",)))]
    if word == "double" and _is_number(after):
        digit = SAME.get(after[1], after[1])
        return [Slot((("double",), (digit,)))]
    unit = unit_of(word)
    if word in {"c", "f"} and before[1] == "°":
        return [Slot((("celsius" if word == "c" else "fahrenheit",), ()))]
    if unit and (word not in ABBREVIATED or _is_figure(before)):
        also = {"metre": "million"}.get(unit) if word in ABBREVIATED else None
        surface = "" if word in ABBREVIATED else token
        return [Slot(((unit,), (also,)) if also else ((unit,),), surface)]
    return [Slot(((word,),), token)]


def _each(words: Words) -> Iterator[tuple[str]]:
    for word in words:
        yield (word,)


def _counts(token: tuple[str, str]) -> bool:
    """Return whether "a" before it means one: a hundred, a half, a dozen."""
    word = SAME.get(token[1], token[1])
    names = {"hundred", "half", "quarter", "dozen", *(name for _, name in SCALES)}
    return word in names or (word in ORDINALS and word != "first")


def _is_number(token: tuple[str, str]) -> bool:
    word = SAME.get(token[1], token[1])
    return _is_figure(token) or word in NUMERALS or word in {"point", "oh", "o"}


def _also(slot: Slot) -> Slot:
    """Return a heard slot with the readings that sound alike."""
    alike = [
        other
        for reading in slot.readings
        if len(reading) == 1
        for other in ALSO.get(reading[0], ())
    ]
    return Slot(slot.readings, slot.surface, tuple(dict.fromkeys([*slot.alike, *alike])))


# ---- figures --------------------------------------------------------------------------------


def _number(token: str) -> tuple[Words, ...]:
    whole, _, places = token.replace(",", "").partition(".")
    return decimal_readings(whole, places) if places else whole_readings(whole)


def _money(token: str) -> tuple[Words, ...]:
    big, small = _CURRENCIES[token[0]]
    amount = token[1:].strip().replace(",", "")
    whole, _, places = amount.partition(".")
    heads = whole_readings(whole)
    found: list[Words] = []
    if not places.strip("0"):
        found += [(*head, big) for head in heads]
    if len(places) == 2:
        rest = cardinal(int(places))
        with_nought = ("zero", *rest) if places[0] == "0" else rest
        found += [(*heads[0], big, *tail) for tail in (rest, with_nought)]
        found.append((*heads[0], big, *rest, small))
        found.append((*heads[0], *with_nought))
        if not whole.strip("0"):
            found.insert(0, (*rest, small))
    if places:
        found += [(*reading, big) for reading in decimal_readings(whole, places)]
    return tuple(dict.fromkeys(found)) or ((*heads[0], big),)


def _pence(token: str) -> tuple[Words, ...]:
    digits = token.rstrip("p¢ ")
    small = "cent" if token.endswith("¢") else "penny"
    return tuple((*reading, small) for reading in whole_readings(digits))


def _time(token: str) -> tuple[Words, ...]:
    hour, minute = token.split(":")
    found = pair_readings(hour, minute)
    if minute == "00":
        found.append((*cardinal(int(hour)), "hundred", "hour"))
    found += [(*a, "to", *b) for a in whole_readings(hour)[:1] for b in whole_readings(minute)[:1]]
    return tuple(dict.fromkeys(found))


def _fraction(token: str) -> tuple[Words, ...]:
    top, bottom = (part.strip() for part in re.split("[⁄/]", token))
    head, below = whole_readings(top)[0], int(bottom[:9])
    names = {2: ("half",), 4: ("quarter", "fourth")}.get(below)
    found: list[Words] = [(*head, name) for name in names or ()]
    if names is None and below:
        found.append((*head, *ordinal(below)))
    if top == "1":
        found += [reading[1:] for reading in found]
    found += [(*head, *joint, *whole_readings(bottom)[0]) for joint in (("over",), ("slash",), ())]
    return tuple(found)


def _dashed(token: str) -> Slot:
    """Return two figures with a line between them: a row, a sum, a range; or a fraction."""
    left, right = (whole_readings(part)[0] for part in token.split("-"))
    rows = ((*left, *right), (*left, "minus", *right), (*left, "to", *right))
    alike = [*_fraction(token.replace("-", "/"))]
    if len(token) == 3 and left[0] in ONES[2:] and token[-1] != "0":
        alike.append((TENS[int(token[0])], *right))  # "6-4" is written for "sixty-four"
    return Slot(rows, alike=tuple(alike))


def _ordinal(token: str) -> tuple[Words, ...]:
    digits = re.sub(r"\D", "", token)
    if not digits.strip("0") or len(digits) > 15:
        return whole_readings(digits)
    return (ordinal(int(digits)),)


def _half_day(token: str) -> tuple[Words, ...]:
    return ((token[0], "m"), (token[0] + "m",))


_FIGURES: Final[dict[str, Callable[[str], tuple[Words, ...]]]] = {
    "money": _money,
    "pence": _pence,
    "time": _time,
    "fraction": _fraction,
    "ordinal": _ordinal,
    "number": _number,
    "half": _half_day,
}
