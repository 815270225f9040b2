"""Values as authors write them, read exactly: times, lists, counts, shares, positions."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pausewright.script.attributes import values
from pausewright.script.attributes.scope import SCOPED, pause_s, silence_s
from pausewright.script.attributes.values import ValueProblem
from pausewright.script.settings.settings_table import SETTINGS

if TYPE_CHECKING:
    from collections.abc import Callable

MILLISECONDS = st.integers(min_value=0, max_value=24 * 3600 * 1000).map(lambda n: Fraction(n, 1000))
DECIMALS = st.decimals(min_value=0, max_value=20, places=3, allow_nan=False).map(
    lambda d: f"{d.copy_abs():f}"
)
"""Plain decimals without sign or exponent."""


@given(MILLISECONDS)
def test_a_duration_written_and_read_is_the_same(value_s: Fraction) -> None:
    """What `plain_duration` writes, `duration_s` reads to the same fraction."""
    assert values.duration_s(values.plain_duration(value_s)) == value_s


@given(DECIMALS, st.sampled_from([("ms", 1), ("s", 1000), ("min", 60_000), ("h", 3_600_000)]),
       st.sampled_from(["", " ", "  ", "\u00a0"]))  # fmt: skip
def test_a_duration_is_its_number_times_its_unit(
    number: str, unit: tuple[str, int], blank: str
) -> None:
    """A duration is exact in every unit, with or without a blank, never rounded."""
    assert values.duration_s(number + blank + unit[0]) == Fraction(number) * unit[1] / 1000


@given(MILLISECONDS, MILLISECONDS)
def test_x_to_y(first_s: Fraction, last_s: Fraction) -> None:
    """`x to y` is first and last; one value is both."""
    one, other = values.plain_duration(first_s), values.plain_duration(last_s)

    assert values.growing_s(f"{one} to {other}") == (first_s, last_s)
    assert values.growing_s(one) == (first_s, first_s)


@given(st.integers(1, 9999), st.integers(1, 59), st.integers(0, 59), st.integers(0, 999))
def test_a_position_is_hours_minutes_and_seconds(
    hours: int, minutes: int, seconds: int, thousandths: int
) -> None:
    """A clock value is the sum of its parts, exactly."""
    whole_s = Fraction(seconds) + Fraction(thousandths, 1000)

    assert values.position_s(f"{minutes}:{seconds:02}.{thousandths:03}") == minutes * 60 + whole_s
    assert (
        values.position_s(f"{hours}:{minutes:02}:{seconds:02}.{thousandths:03}")
        == hours * 3600 + minutes * 60 + whole_s
    )


@given(st.lists(st.integers(1, 300), min_size=1, max_size=12, unique=True))
def test_question_numbers_keep_their_order(numbers: list[int]) -> None:
    """A list of numbers is read as written."""
    assert values.question_numbers(", ".join(map(str, numbers))) == tuple(numbers)


def _hinted(reader: Callable[[str], object], text: str) -> bool:
    """Read a value; say whether it is one, or the problem has a sentence and a hint."""
    try:
        reader(text)
    except ValueProblem as problem:
        return bool(problem.message and problem.hint)
    return True


@given(st.text(max_size=12))
def test_no_text_crashes_a_reader(text: str) -> None:
    """Any text is a value or a problem with a hint, never another error."""
    readers: tuple[Callable[[str], object], ...] = (
        values.duration_s, values.growing_s, values.position_s, values.count,
        values.share, values.words_a_minute, values.question_numbers, values.frequency_hz,
        values.width, silence_s, pause_s, *(scoped.read for scoped in SCOPED.values()),
        *(setting.read for setting in SETTINGS.values()),
    )  # fmt: skip
    for reader in readers:
        assert _hinted(reader, text)


SMIL = [
    ("5:34:31.396", Fraction("20071.396")),
    ("124:59:36", Fraction(449976)),
    ("0:05:01.2", Fraction("301.2")),
    ("0:00:04", Fraction(4)),
    ("09:58", Fraction(598)),
    ("00:56.78", Fraction("56.78")),
    ("76.2s", Fraction("76.2")),
    ("7.75h", Fraction(27900)),
    ("13min", Fraction(780)),
]
"""W3C EPUB 3.3, appendix "Clock values" (check value FM-13): every example."""


@pytest.mark.parametrize(("written", "meant_s"), SMIL)
def test_published_clock_values(written: str, meant_s: Fraction) -> None:
    """Every example of the published clock values is read to the same number of seconds."""
    assert values.position_s(written) == meant_s


@pytest.mark.parametrize(
    "written", ["1:75", "75:00", "1:60:00", "1:2", "1:2:3", "12", "-1:02", ":30"]
)
def test_what_is_no_position(written: str) -> None:
    """Minutes and seconds run from 00 to 59 (SMIL's grammar, check value FM-14)."""
    with pytest.raises(ValueProblem):
        values.position_s(written)


REFUSED = {
    "12": "no unit",
    "+12 s": "has a sign",
    "-12 s": "has a sign",
    "−12 s": "has a sign",
    "12 sec": "unit ‘sec’ is not known",
    "12 seconds": "unit ‘seconds’ is not known",
    "1,5 s": "not a length of time",
    ".5 s": "not a length of time",
    "12 s s": "not a length of time",
    "1e3 s": "unit ‘e’|not a length of time",
    "": "not a length of time",
    "25 h": "longer than a day",
    "S": "not a length of time",
    "12 S": "unit ‘S’ is not known",
}


@pytest.mark.parametrize("written", REFUSED)
def test_what_is_no_duration(written: str) -> None:
    """A sign, a bare number, a comma or a spelled unit is a problem that says which."""
    with pytest.raises(ValueProblem, match=REFUSED[written]) as caught:
        values.duration_s(written)
    assert caught.value.hint


def test_limits_of_silences_and_pauses() -> None:
    """A candidates' silence is at least 0.3 s, an author's pause 0.1 s to 60 s."""
    assert silence_s("0.3 s") == Fraction(3, 10)
    assert pause_s("100 ms") == Fraction(1, 10)
    for reader, written in ((silence_s, "0.29 s"), (pause_s, "99 ms"), (pause_s, "61 s")):
        with pytest.raises(ValueProblem):
            reader(written)


def test_shares_rates_frequencies_and_widths() -> None:
    """Other values with units are exact, too."""
    assert values.share("85 %") == values.share("85%") == Fraction(17, 20)
    assert values.words_a_minute("140 words/min") == 140
    assert values.words_a_minute("132.5 words per minute") == Fraction(265, 2)
    assert values.frequency_hz("0.66 kHz") == values.frequency_hz("660 Hz") == 660
    assert values.width("16cm") == "16 cm"
    assert values.question_numbers("1–3, 7") == (1, 2, 3, 7)
    for reader, written in (
        (values.share, "85"), (values.share, "300 %"), (values.words_a_minute, "140"),
        (values.frequency_hz, "660"), (values.width, "16"), (values.question_numbers, "1-3, 2"),
        (values.question_numbers, "all"),
    ):  # fmt: skip
        with pytest.raises(ValueProblem):
            reader(written)


def test_decimals_are_rounded_half_up() -> None:
    """Figures for people are rounded half up, without trailing zeros."""
    assert values.decimal(Fraction(1, 3)) == "0.333"
    assert values.decimal(Fraction("0.0005")) == "0.001"
    assert values.decimal(Fraction(-5, 2)) == "−2.5"
    assert values.decimal(Fraction(10)) == "10"
    assert values.plain_duration(Fraction(90)) == "90 s"
    assert values.plain_duration(Fraction(120)) == "2 min"
