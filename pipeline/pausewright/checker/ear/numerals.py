"""Written figures to the ways in which they are said, and spoken figures back to digits.

The checker's own: it shares nothing with the wording that made the words for the voice. Digits
have several readings ("1342": one thousand three hundred forty two, thirteen forty two, one
three four two); a number is right if one of them was said. "and" is not among the words.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

Words: TypeAlias = tuple[str, ...]

ONES: Final = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen",
    "nineteen",
)  # fmt: skip
TENS: Final = (
    "", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety",
)  # fmt: skip
SCALES: Final = ((10**12, "trillion"), (10**9, "billion"), (10**6, "million"), (1000, "thousand"))
MOST_DIGITS: Final = 15
"""Longer figures are read digit by digit only."""

_IRREGULAR: Final = {
    "one": "first", "two": "second", "three": "third", "five": "fifth", "eight": "eighth",
    "nine": "ninth", "twelve": "twelfth",
}  # fmt: skip


def cardinal(number: int) -> Words:
    """Return a whole number from 0 to 10^15 in words, without "and"."""
    if number < 20:
        return (ONES[number],)
    if number < 100:
        tens, ones = divmod(number, 10)
        return (TENS[tens], ONES[ones]) if ones else (TENS[tens],)
    if number < 1000:
        hundreds, rest = divmod(number, 100)
        return (ONES[hundreds], "hundred", *(cardinal(rest) if rest else ()))
    for size, name in SCALES:
        if number >= size:
            many, rest = divmod(number, size)
            return (*cardinal(many), name, *(cardinal(rest) if rest else ()))
    raise AssertionError(number)


def ordinal(number: int) -> Words:
    """Return an ordinal in words: 21 is "twenty first"."""
    *head, last = cardinal(number)
    if last in _IRREGULAR:
        return (*head, _IRREGULAR[last])
    return (*head, last[:-1] + "ieth" if last.endswith("y") else last + "th")


def one_by_one(digits: str) -> Words:
    """Return digits one by one."""
    return tuple(ONES[int(digit)] for digit in digits)


def whole_readings(digits: str) -> tuple[Words, ...]:
    """Return the ways to say a row of digits: as a number, in pairs (years, times), one by one."""
    found: list[Words] = []
    if len(digits) <= MOST_DIGITS and (digits[0] != "0" or len(digits) == 1):
        found.append(cardinal(int(digits)))
        if found[0][0] == "one" and found[0][1:2] and found[0][1] in {"hundred", *_SIZES}:
            found.append(found[0][1:])  # "to the nearest hundred" is written "100"
    if len(digits) in {3, 4}:
        found += pair_readings(digits[:-2], digits[-2:])
    if len(digits) == 6:
        found.append((*_pair(digits[:2]), *_pair(digits[2:4]), *_pair(digits[4:])))
    found.append(one_by_one(digits))
    return _distinct(found)


def pair_readings(left: str, right: str) -> list[Words]:
    """Return the ways to say two groups of one or two digits, as in times, years and prices."""
    head, tail = _pair(left), _pair(right)
    found = [(*head, *tail)]
    if right == "00":
        found = [(*head, "hundred"), head, (*head, "zero", "zero"), (*head, "o'clock")]
    elif right[0] == "0":
        found.append((*head, ONES[int(right)]))
    return found


def decimal_readings(whole: str, places: str) -> tuple[Words, ...]:
    """Return the ways to say a decimal; also as a price or time where it has two places."""
    found: list[Words] = []
    heads = whole_readings(whole)[:1] if whole else (("zero",), ())
    found += [(*head, "point", *one_by_one(places)) for head in heads]
    if len(places) == 2 and len(whole) in {1, 2, 3}:
        found.append((*heads[0], *_pair(places)))
    if places == "5":
        found += (
            [(*head, "one", "half") for head in heads] if whole.strip("0") else [("one", "half")]
        )
    return _distinct(found)


def _pair(digits: str) -> Words:
    """Return one or two digits in words; a leading nought is said."""
    if len(digits) == 2 and digits[0] == "0":
        return ("zero", ONES[int(digits[1])])
    return cardinal(int(digits))


def _distinct(found: Iterable[Words]) -> tuple[Words, ...]:
    return tuple(dict.fromkeys(found))


# ---- back to digits -------------------------------------------------------------------------

_VALUES: Final = {word: value for value, word in enumerate(ONES)} | {
    word: 10 * value for value, word in enumerate(TENS) if word
}
_SIZES: Final = {name: size for size, name in SCALES}
_ORDINALS: Final = {
    ordinal(value)[-1]: cardinal(value)[-1] for value in (*range(1, 20), *range(20, 100, 10))
} | {"hundredth": "hundred", "thousandth": "thousand", "millionth": "million"}
NUMERALS: Final = frozenset({*_VALUES, *_SIZES, "hundred"})
ORDINALS: Final = frozenset(_ORDINALS)
_BELOW: Final = {"half": 2, "quarter": 4} | {
    name: _VALUES[plain] for name, plain in _ORDINALS.items() if _VALUES.get(plain, 0) > 2
}
"""Names of the parts in fractions."""


def numbers_said(words: Sequence[str]) -> tuple[str, ...]:
    """Return the numbers in a row of spoken words, in digits: "12", "0.75", "3/4"; "third" is "3".

    Words that follow each other without making one number ("seventeen forty two") are two.
    """
    found: list[str] = []
    at = 0
    while at < len(words):
        number, n_used = _number_at(words, at)
        below = _BELOW.get(_get(words, at + n_used), 0)
        if below and (n_used or words[at] in {"half", "quarter"}):
            number, n_used = f"{number if n_used else 1}/{below}", n_used + 1
        if n_used:
            found.append(number)
        at += n_used or 1
    return tuple(found)


def _number_at(words: Sequence[str], at: int) -> tuple[str, int]:
    """Return the longest number that begins at a word, and how many words it takes; or 0."""
    total, group, n_used = 0, 0, 0
    limit = 10**18
    """What the next word must stay below to belong to this number."""
    for i, word in enumerate(words[at:], at):
        if (
            word == "and"
            and n_used
            and _get(words, i - 1) in {"hundred", *_SIZES}
            and (_VALUES.get(_get(words, i + 1), limit) < limit and not _is_part(words, i + 1))
        ):
            n_used += 1
            continue
        plain = _ORDINALS.get(word, word)
        if plain in _VALUES and _VALUES[plain] < limit:
            group += _VALUES[plain]
            limit = 10 if _VALUES[plain] >= 20 else 0
        elif plain == "hundred" and 0 < group < 100:
            group *= 100
            limit = 100
        elif plain in _SIZES and group:
            total += group * _SIZES[plain]
            group, limit = 0, 1000
        else:
            break
        n_used += 1
        if word in _ORDINALS:
            return str(total + group), n_used
    if n_used and _get(words, at + n_used) == "point":
        digits = ""
        for word in words[at + n_used + 1 :]:
            if _VALUES.get(word, 10) > 9:
                break
            digits += str(_VALUES[word])
        if digits:
            return f"{total + group}.{digits}", n_used + 1 + len(digits)
    return str(total + group), n_used


def _is_part(words: Sequence[str], at: int) -> bool:
    """Return whether a fraction begins here, as in "one million and two thirds"."""
    return _get(words, at + 1) in _BELOW and _get(words, at) not in TENS


def _get(words: Sequence[str], at: int) -> str:
    return words[at] if at < len(words) else ""
