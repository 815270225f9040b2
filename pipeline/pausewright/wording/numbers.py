"""Numbers in words: whole numbers, ordinals, decimals, digits one by one, years.

Whole numbers in other languages than English, and years, come from `num2words`; what it leaves out
or loses (trailing noughts after the point, signs, the house style of nought) is ours. English whole
numbers are put together here: loading the library costs a command two fifths of `import typer`,
and most need nothing else of it (docs/decisions/number-words.md). The tests hold it and `inflect`
beside them.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.script.numbers_in_words import SMALL, TENS

if TYPE_CHECKING:
    from pausewright.wording.language import Language, Table

MOST_DIGITS: Final = 18


class TooLongError(ValueError):
    """A number has more digits than there are words for."""


@frozen
class Number:
    """A number as it is written."""

    end: int
    """Offset after it."""
    whole: str
    """Digits before the point; "" in `.5`."""
    places: str
    """Digits after the point; "" without a point."""
    grouped: bool = False
    """Whether thousands are marked."""

    @property
    def is_one(self) -> bool:
        """Whether it is 1 and nothing else."""
        return self.whole == "1" and not self.places

    @property
    def is_zero(self) -> bool:
        """Whether its value is 0."""
        return not (self.whole + self.places).strip("0")


@cache
def _number_pattern(decimal: str, group: str) -> re.Pattern[str]:
    d, g = re.escape(decimal), re.escape(group)
    groups = f"(?:{g}|(?P<blank>[\u00a0\u202f\u2009]))"
    return re.compile(
        rf"(?P<whole>\d{{1,3}}(?:{groups}\d{{3}})(?:(?(blank)[\u00a0\u202f\u2009]|{g})\d{{3}})*"
        rf"(?!\d)|\d+)?"
        rf"(?:{d}(?P<places>\d+))?",
        re.ASCII,
    )


def number_at(text: str, at: int, language: Language) -> Number | None:
    """Return the number that begins at `at`: `1,250`, `0.05`, `.5`, `12 000` (no-break blank)."""
    signs = language.table("numbers")
    pattern = _number_pattern(signs.get("decimal_sign", "."), signs.get("group_sign", ","))
    found = pattern.match(text, at)
    if found is None or found.end() == at:
        return None
    whole = found["whole"] or ""
    if not whole and at and text[at - 1].isalnum():
        return None
    digits = re.sub(r"\D", "", whole)
    return Number(found.end(), digits, found["places"] or "", grouped=digits != whole)


def whole_words(number: int, language: Language, gender: str = "") -> str:
    """Return a whole number of at most 18 digits in words; `gender` "m", "f" or "".

    Raises
    ------
    TooLongError
        If it has more digits.
    """
    if abs(number) >= 10**MOST_DIGITS:
        raise TooLongError
    table = language.table("numbers")
    if number < 0:
        return f"{language.word('minus')} {whole_words(-number, language, gender)}"
    if language.tag == "en":
        return _english(number, british=bool(table["and"]))
    words = (
        _composed(number, language)
        if "composed" in table
        else by_library(number, str(table["library"]))
    )
    return _agreeing(words, table, gender) if gender else words


@lru_cache(maxsize=4096)
def by_library(number: int, code: str, to: str = "cardinal") -> str:
    """Return words by `num2words`, which is loaded here; `code` is its name of the language."""
    from num2words import num2words  # noqa: PLC0415  loads fifty languages

    return str(num2words(number, lang=code, to=to)).replace(",", "")


def _composed(number: int, language: Language) -> str:
    """Return a number put together from the words of the file: tens, hundreds, thousands."""
    rows = language.table("numbers")["composed"]
    if number <= 10:
        return str(rows["small"][number])
    if number < 100:
        ten, one = divmod(number, 10)
        return (
            f"{rows['tens'][ten - 1]} {rows['small'][one]}" if one else str(rows["tens"][ten - 1])
        )
    for value, name in ((10**6, "millions"), (1000, "thousands"), (100, "hundreds")):
        if number < value:
            continue
        count, rest = divmod(number, value)
        few = rows[name]
        head = (
            str(few[count - 1]) if count <= len(few) else f"{_composed(count, language)} {few[0]}"
        )
        return f"{head} {_composed(rest, language)}" if rest else head
    raise TooLongError


_SCALES: Final = ("", " thousand", " million", " billion", " trillion", " quadrillion")


@lru_cache(maxsize=4096)
def _english(number: int, *, british: bool) -> str:
    if number < 1000:
        return _below_a_thousand(number, " and " if british else " ")
    groups: list[str] = []
    rest, scale, last = number, 0, number % 1000
    while rest:
        rest, group = divmod(rest, 1000)
        if group:
            groups.insert(0, _english(group, british=british) + _SCALES[scale])
        scale += 1
    if british and 0 < last < 100:
        groups[-2:] = [f"{groups[-2]} and {groups[-1]}"]
    return " ".join(groups)


def _below_a_thousand(number: int, joint: str) -> str:
    hundreds, rest = divmod(number, 100)
    if hundreds:
        tail = f"{joint}{_below_a_thousand(rest, joint)}" if rest else ""
        return f"{SMALL[hundreds]} hundred{tail}"
    if number < len(SMALL):
        return SMALL[number]
    tens, ones = divmod(number, 10)
    return TENS[tens - 2] + (f"-{SMALL[ones]}" if ones else "")


def _agreeing(words: str, table: Table, gender: str) -> str:
    """Let the end of a number agree with the noun after it, as the language's file says."""
    endings = table.get("before_feminine" if gender == "f" else "before_masculine", ())
    if gender == "f":
        plain, feminine = table.get("feminine_hundreds", ("", ""))
        if plain:
            words = re.sub(rf"{plain}\b", feminine, words).replace("quinientos", "quinientas")
    for ending, becomes in endings:
        if words == ending or words.endswith(f" {ending}"):
            return words.removesuffix(ending) + str(becomes)
    return words


def cardinal(number: int, *, british: bool = True) -> str:
    """Return a whole number of at most 18 digits in English words: "one hundred and one"."""
    words = _english(abs(number), british=british)
    return f"minus {words}" if number < 0 else words


def ordinal_words(number: int, language: Language) -> str:
    """Return an ordinal in words: "one hundred and first"."""
    words = whole_words(number, language)
    head, joint, last = _split_last(words)
    table = language.table("ordinals")
    if last in table:
        last = table[last]
    elif last.endswith("y"):
        last = last.removesuffix("y") + "ieth"
    else:
        last += "th"
    return head + joint + last


def _split_last(words: str) -> tuple[str, str, str]:
    cut = max(words.rfind(" "), words.rfind("-"))
    return (words[:cut], words[cut], words[cut + 1 :]) if cut >= 0 else ("", "", words)


def number_words(
    number: Number, language: Language, zero: str, zero_after_point: str, gender: str = ""
) -> str:
    """Return a number as written in words.

    Before the point 0 is read in the script's house style (`zero:`); after it digits are read
    one by one, 0 as the style `zero-after-point` has it (published sources differ: Swan, Basic
    English Usage §227, gives "nought point …"; school handbooks give "oh" after the point).
    """
    zero = zero if language.tag == "en" else language.table("numbers")["digits"][0]
    head = ""
    if number.whole:
        value = int(number.whole)
        head = zero if value == 0 else whole_words(value, language, gender)
    if not number.places:
        return head
    names = language.table("numbers")["digits"]
    after = zero_after_point if language.tag == "en" else names[0]
    tail = " ".join(after if d == "0" else names[int(d)] for d in number.places)
    return f"{head} {language.word('point')} {tail}".strip()


_DIGITS: Final = ("oh", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def digits(
    text: str, zero: str = "oh", *, repeated: str = "each", language: Language | None = None
) -> str:
    """Return digits one by one: "four one three oh six"; letters by their names.

    Groups (parted by blanks, hyphens, dots or a slash) are parted by a comma. With `repeated`
    "double", two equal digits side by side in a group are "double four", three "triple four".
    """
    names = list(_DIGITS) if language is None else list(language.table("numbers")["digits"])
    if language is None or language.tag == "en":
        names[0] = zero
    groups = re.split(r"[ \u00a0\u202f\-–.()/]+", text.strip())
    spoken = [_group(group, names, repeated) for group in groups if group]
    return ", ".join(spoken)


def _group(group: str, names: list[str], repeated: str) -> str:
    out: list[str] = []
    for found in re.finditer(r"(.)\1*", group):
        run = found[0]
        many = {2: "double", 3: "triple"}.get(len(run)) if repeated == "double" else None
        if many and run[0].isdigit():
            out.append(f"{many} {names[int(run[0])]}")
            continue
        out += [names[int(run[0])] if run[0] in "0123456789" else f"{run[0].upper()},"] * len(run)
    return " ".join(out).rstrip(",")


_SPELLED_SIGNS: Final = {"'": "apostrophe", "’": "apostrophe", "-": "hyphen"}


def letters(text: str, *, british: bool = True) -> str:
    """Return a word spelled out: "C, A, T".

    Hyphens that part every letter (`C-A-T`) are not said, others are; digits are said as words.
    The embedded voices say capital letters between commas by their names; only Z has two.
    """
    parted = all(len(piece) == 1 for piece in text.split("-")) and "-" in text
    signs = [s for s in text if not s.isspace() and not (parted and s == "-")]
    return ", ".join(_letter(sign, british=british) for sign in signs)


def _letter(sign: str, *, british: bool) -> str:
    if sign in _SPELLED_SIGNS:
        return _SPELLED_SIGNS[sign]
    if sign in "0123456789":
        return "zero" if sign == "0" else _DIGITS[int(sign)]
    upper = sign.upper()
    return "zed" if upper == "Z" and british else upper


def unspellable(text: str, *, english: bool) -> str:
    """Return the first sign of `text` that `letters` has no name for; "" if there is none."""
    known = {*"0123456789", *_SPELLED_SIGNS} if english else {"-"}
    for sign in text:
        if not (sign.isalpha() or sign.isspace() or sign in known):
            return sign
    return ""


@lru_cache(maxsize=1024)
def year(written: str, *, british: bool = True) -> str:
    """Return a year in words: "nineteen oh five"."""
    words = by_library(int(written), "en", "year").replace("oh-", "oh ")
    return words if british else words.replace(" and ", " ")
