"""What is said is read back to the value that is written, by readers that share nothing with us.

Whole numbers are read back by `text2num` (English) and, digit words apart, by the small grammar
below, written from the names of English numbers alone. Properties are tried by Hypothesis.
"""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from num2words import num2words
from pausewright.script import numbers_in_words
from pausewright.wording.plain_lines import LineWorder
from support.amounts import cases
from text_to_num import text2num  # type: ignore[import-untyped]  # it has no types

SMALL = {
    "zero": 0, "nought": 0, "oh": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5,
    "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
    "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17,
    "eighteen": 18, "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50,
    "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
BIG = {
    "thousand": 10**3, "million": 10**6, "billion": 10**9, "trillion": 10**12,
    "quadrillion": 10**15,
}  # fmt: skip
WORDERS = {
    tag: LineWorder(Path("-"), tag, {}) for tag in ("en-GB", "en-US")
}  # built once: a property asks thousands of times


def said(written: str, language: str = "en-GB") -> str:
    """Return the words of one figure; it must give no error."""
    worder = WORDERS[language]
    words = worder.spoken(written)
    assert worder.problems.errors == ()
    return words


def value_of(words: str) -> int:
    """Return the whole number that English words name."""
    total = group = 0
    for word in words.replace("-", " ").split():
        if word in BIG:
            total += max(1, group) * BIG[word]
            group = 0
        elif word == "hundred":
            group *= 100
        elif word != "and":
            group += SMALL[word]
    return total + group


def decimal_of(words: str) -> Decimal:
    """Return the decimal that English words name."""
    minus = words.startswith("minus ")
    head, _, tail = words.removeprefix("minus ").partition(" point ")
    places = "".join(str(SMALL[word]) for word in tail.split())
    value = Decimal(f"{value_of(head)}.{places}" if places else value_of(head))
    return -value if minus else value


@pytest.mark.parametrize("language", ["en-GB", "en-US"])
@given(number=st.integers(0, 10**15))
@settings(max_examples=cases(100, 4000), deadline=None)
def test_whole_numbers_are_read_back(language: str, number: int) -> None:
    """Any whole number to 10^15, with its thousands marked or not."""
    assert value_of(said(f"{number:,}", language)) == number
    if not 1100 <= number <= 2099:  # four figures without a comma may be a year
        assert value_of(said(str(number), language)) == number


@given(number=st.integers(0, 10**12 - 1))
@settings(max_examples=cases(100, 3000), deadline=None)
def test_whole_numbers_are_read_back_by_a_library(number: int) -> None:
    """`text2num` understands the words of any number below 10^12 as the same number."""
    words = said(f"{number:,}").replace("nought", "zero")

    assert text2num(words, "en") == number


def test_stated_numbers_are_read_as_a_library_reads_them() -> None:
    """What instructions state: every number to 999 in num2words' words, as `text2num` has it."""
    for number in range(1000):
        words = num2words(number)

        assert numbers_in_words.number(words) == text2num(words, "en") == number


@given(number=st.integers(0, 10**6))
@settings(max_examples=cases(100, 2000), deadline=None)
def test_spanish_numbers_are_read_back_by_a_library(number: int) -> None:
    """`text2num` understands Spanish words of any number to a million as the same number."""
    worder = LineWorder(Path("-"), "es-ES", {})
    words = worder.spoken(f"{number:,}".replace(",", "."))

    assert worder.problems.errors == ()
    assert text2num(words, "es") == number


@pytest.mark.parametrize("language", ["en-GB", "en-US"])
@given(value=st.decimals(-(10**9), 10**9, places=9, allow_nan=False), places=st.integers(1, 9))
@settings(max_examples=cases(100, 4000), deadline=None)
def test_decimals_are_read_back(language: str, value: Decimal, places: int) -> None:
    """Any decimal to nine places, negative ones too; no place is lost or added."""
    written = f"{abs(value):,.{places}f}"
    sign = "−" if value < 0 else ""
    words = said(sign + written, language)

    assert decimal_of(words) == Decimal(("-" if sign else "") + written.replace(",", ""))
    assert len(words.partition(" point ")[2].split()) == places


@given(hour=st.integers(0, 23), minute=st.integers(0, 59))
@settings(max_examples=cases(100, 4000), deadline=None)
def test_times_of_day_are_read_back(hour: int, minute: int) -> None:
    """Any time of day on a 24-hour clock says its own hour and minute."""
    words = said(f"at {hour:02d}:{minute:02d}").removeprefix("at ")
    parts = words.replace("o’clock", "").replace("o'clock", "").replace("hundred", "").split()

    assert _clock(parts) == (hour, minute)


@given(hour=st.integers(1, 12), minute=st.integers(0, 59), half=st.sampled_from(["am", "pm"]))
@settings(max_examples=cases(100, 4000), deadline=None)
def test_times_with_a_half_of_the_day_are_read_back(hour: int, minute: int, half: str) -> None:
    """Any time of day with am or pm says its hour, minute and half."""
    words = said(f"{hour}.{minute:02d} {half}")

    assert words.endswith({"am": " a m", "pm": " p m"}[half])
    assert _clock(words[:-4].split()) == (hour, minute)


@given(hour=st.integers(1, 12), minute=st.integers(0, 59))
@settings(max_examples=cases(100, 3000), deadline=None)
def test_times_by_the_quarter_are_read_back(hour: int, minute: int) -> None:
    """Quarter past, half past, to: the same time of day."""
    worder = LineWorder(Path("-"), "en-GB", {"times": "quarter-past"})
    words = worder.spoken(f"at {hour}:{minute:02d}").removeprefix("at ")

    assert _quartered(words.replace("’", "'")) == (hour * 60 + minute) % 720


def _clock(parts: list[str]) -> tuple[int, int]:
    """Return hour and minute from words: the hour is one number, the minute another."""
    parts = [part for part in parts if part != "hours"]  # "zero hundred hours"
    numbers = [sum(SMALL[piece] for piece in part.split("-")) for part in parts]
    if parts[0] in {"oh", "zero"}:
        numbers = numbers[1:]
    return numbers[0], sum(numbers[1:])


def _quartered(words: str) -> int:
    if words.endswith("o'clock"):
        return value_of(words.removesuffix(" o'clock")) * 60 % 720
    names = {"quarter": 15, "half": 30}
    for joint, sign in ((" past ", 1), (" to ", -1)):
        if joint in words:
            head, _, hour = words.partition(joint)
            head = head.removesuffix(" minutes").removesuffix(" minute")
            minutes = names[head] if head in names else value_of(head)
            return (value_of(hour) * 60 + sign * minutes) % 720
    raise AssertionError(words)


@pytest.mark.parametrize("language", ["en-GB", "en-US"])
@given(pence=st.integers(0, 10**8))
@settings(max_examples=cases(100, 4000), deadline=None)
def test_money_is_read_back(language: str, pence: int) -> None:
    """Any amount to a million pounds says its pounds and pence, whatever the style."""
    words = said(f"£{pence // 100:,}.{pence % 100:02d}", language)
    if pence in range(1, 100):  # "fifty pence" says no pounds
        words = f"zero pounds {words}"
    name = " pound " if " pound " in f"{words} " else " pounds "
    head, _, tail = f"{words} ".partition(name)
    tail = tail.strip().removeprefix("and ").removesuffix(" pence").removesuffix(" penny")

    assert value_of(head) * 100 + (value_of(tail) if tail else 0) == pence


@given(top=st.integers(1, 999), bottom=st.integers(2, 999), whole=st.integers(1, 99))
@settings(max_examples=cases(100, 3000), deadline=None)
def test_fractions_are_read_back(top: int, bottom: int, whole: int) -> None:
    """Any fraction says its own two numbers; a mixed number its whole number too."""
    assert _fraction(said(f"{top}/{bottom}")) == (top, bottom)
    if top < bottom:
        words = said(f"{whole} {top}/{bottom}").replace("and a ", "and one ")
        head, _, tail = words.partition(" and ")
        assert (value_of(head), *_fraction(tail)) == (whole, top, bottom)


ORDINALS = {
    "half": 2, "halve": 2, "second": 2, "third": 3, "quarter": 4, "fifth": 5,
    "eighth": 8, "ninth": 9,
    "twelfth": 12, "hundredth": 100, "thousandth": 1000, "twentieth": 20, "thirtieth": 30,
    "fortieth": 40, "fiftieth": 50, "sixtieth": 60, "seventieth": 70, "eightieth": 80,
    "ninetieth": 90,
}  # fmt: skip


def _fraction(words: str) -> tuple[int, int]:
    if " over " in words:
        first, _, second = words.partition(" over ")
        return value_of(first), value_of(second)
    top, _, name = words.rpartition(" ")
    name = name.removesuffix("s")
    bottom = 0
    for piece in name.split("-"):
        known = ORDINALS.get(piece) or SMALL.get(piece) or SMALL.get(piece.removesuffix("th"))
        assert known, words
        bottom += known
    return value_of(top), bottom


def told(written: str, language: str = "en-GB") -> str:
    """Return the words of a sentence; neither error nor warning may come."""
    worder = LineWorder(Path("-"), language, {})
    words = worder.spoken(written)
    assert worder.problems.all == ()
    return words


@given(a=st.integers(1, 999), b=st.integers(1, 999))
@settings(max_examples=cases(60, 1500), deadline=None)
def test_ratios_are_read_back(a: int, b: int) -> None:
    """Beside the word both terms are said, in order."""
    first, _, second = told(f"the ratio {a}:{b}").removeprefix("the ratio ").partition(" to ")

    assert (value_of(first), value_of(second)) == (a, b)


@given(value=st.decimals(0, 1000, places=2))
@settings(max_examples=cases(60, 1500), deadline=None)
def test_percentages_are_read_back(value: Decimal) -> None:
    """The number before "per cent" is the one that is written."""
    words = told(f"It is {value}%.").removeprefix("It is ").removesuffix(" per cent.")

    assert decimal_of(words) == value


@given(year=st.integers(1100, 2099), language=st.sampled_from(["en-GB", "en-US"]))
@settings(max_examples=cases(60, 1500), deadline=None)
def test_years_by_their_cue_are_read_back(year: int, language: str) -> None:
    """After "in" four figures are said as num2words says a year, commas and hyphens apart."""
    words = told(f"It was built in {year}.", language).removeprefix("It was built in ")
    library = num2words(year, to="year").replace(",", "").replace("oh-", "oh ")

    assert words.rstrip(".") == (library if language == "en-GB" else library.replace(" and ", " "))


@given(number=st.from_regex(r"0[1-9][0-9]{3} [0-9]{6}", fullmatch=True))
@settings(max_examples=cases(60, 1500), deadline=None)
def test_telephone_numbers_are_read_back(number: str) -> None:
    """Beside "ring" every figure is said, in order, doubles and trebles counted."""
    words = told(f"Ring {number} now.").removeprefix("Ring ").removesuffix(" now.")
    digits, times = "", 1
    for word in words.replace(",", "").split():
        if word in {"double", "triple"}:
            times = 2 if word == "double" else 3
            continue
        digits += str(SMALL[word]) * times
        times = 1

    assert digits == number.replace(" ", "")


@given(low=st.integers(1, 500), more=st.integers(1, 400), dash=st.sampled_from("–-"))
@settings(max_examples=cases(60, 1500), deadline=None)
def test_ranges_are_read_back(low: int, more: int, dash: str) -> None:
    """After "pages" both ends are said, with "to" between them."""
    words = told(f"Read pages {low}{dash}{low + more}.").removeprefix("Read pages ")
    first, _, second = words.removesuffix(".").partition(" to ")

    assert (value_of(first), value_of(second)) == (low, low + more)


@given(top=st.integers(1, 99), bottom=st.sampled_from([2, 3, 4, 5, 6, 8, 10, 12]))
@settings(max_examples=cases(60, 1500), deadline=None)
def test_fractions_in_formulas_are_read_back(top: int, bottom: int) -> None:
    """LaTeX and plain text say a fraction alike."""
    assert told(rf"What is $\frac{{{top}}}{{{bottom}}}$?") == told(f"What is {top}/{bottom}?")
