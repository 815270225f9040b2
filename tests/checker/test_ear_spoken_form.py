"""What is said and what a recogniser writes come to one spoken form, however figures are written.

Rows marked S1 to S10 are published written → spoken pairs: S1 Swan, Basic English Usage §227; S2
Swan, Practical English Usage, "numbers"; S4 doclecture.net 1-20610; S5 edisco, "Reading numbers
and formulae"; S6 Unicode CLDR, common/rbnf/en.xml; S8 ETS test reader guidelines; S9 QCA; S10
poisk-ru.ru lesson (collected in the project's study of sources). "c" is common practice, no
source. "heard" is what tiny.en wrote for a take of a bundled voice with these words.
"""

from __future__ import annotations

import inflect
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pausewright.checker.ear.compare import compare
from pausewright.checker.ear.numerals import cardinal, numbers_said, ordinal, whole_readings
from pausewright.checker.ear.spoken import ANYTHING, numbers_in, plain_words, spoken
from pausewright.checker.ear.weigh import differences

ENGINE = inflect.engine()
SAME = [
    # said, written by a recogniser, source
    ("one hundred and one", "101", "S6"),
    ("three hundred and ten", "310", "S1"),
    ("one thousand and fifteen", "1,015", "S6"),
    ("one thousand one hundred", "1100", "S6"),
    ("five thousand six hundred and forty-two", "5,642", "S1"),
    ("one hundred and twenty-three thousand four hundred and fifty-six", "123,456", "S6"),
    ("one million and one", "1,000,001", "S6"),
    ("minus five", "-5", "S6"),
    ("minus five", "negative 5", "c"),
    ("nought point one two five", "0.125", "S1"),
    ("nought point four", ".4", "S2"),
    ("three point one four", "3.14", "S5"),
    ("ten point six six", "10.66", "S4"),
    ("five point oh three", "5.03", "S4"),
    ("nought point two three oh four", "0.2304", "S5"),
    ("nought point five per cent", "0.5%", "S9"),
    ("thirty-five per cent", "35 percent", "S10"),
    ("one eighth", "1/8", "S1"),
    ("three sevenths", "3/7", "S1"),
    ("eleven sixteenths", "11/16", "S1"),
    ("three quarters", "3/4", "S5"),
    ("three quarters", "three fourths", "c"),
    ("five sixths", "5-6", "heard"),
    ("three eighths", "3-8ths", "heard"),
    ("three eighths", "3-eights", "heard"),
    ("three and three quarters", "3¾", "S2"),
    ("six and one eighth", "6⅛", "S2"),
    ("one and a half hours", "1.5 hours", "S2"),
    ("nought point six miles", "0.6 miles", "S2"),
    ("one point three millimetres", "1.3 mm", "S2"),
    ("three oh seven four nine double two", "307 4922", "S1"),
    ("four one three oh six", "41306", "S1"),
    ("two oh six", "206", "S4"),
    ("twelve pounds fifty", "£12.50", "S4"),
    ("sixteen pounds fifty", "16 pounds 50", "S5"),
    ("six pounds and five pence", "£6.05", "c"),
    ("sixty pence", "60p", "c"),
    ("sixty pence", "£0.60", "c"),
    ("thirty dollars", "$30", "c"),
    ("zero degrees Celsius", "0°C", "S5"),
    ("nineteen oh five", "1905", "S4"),
    ("nineteen hundred", "1900", "S6"),
    ("twenty twenty-five", "2025", "S6"),
    ("two thousand and one", "2001", "S6"),
    ("the fifth of March", "the 5th of March", "S10"),
    ("twenty-five plus fifteen equals forty", "25 + 15 = 40", "S5"),
    ("one hundred minus thirty-five", "100 - 35", "S5"),
    ("twenty times four", "20 x 4", "S5"),
    ("twenty times four", "20×4", "S5"),
    ("twenty-four divided by two", "24 ÷ 2", "S5"),
    ("five to two", "5:2", "c"),
    ("twenty-first", "21st", "S6"),
    ("fourteen twelve", "1412", "heard"),
    ("thirteen forty-five", "13:45", "c"),
    ("ten o'clock", "10:00", "c"),
    ("seven oh five", "7:05", "c"),
    ("ten to ten", "10 to 10", "c"),
    ("seven hundred and thirty-nine", "700 and 39", "heard"),
    ("seven point nine by thirteen", "7.9x13", "heard"),
    ("two of them", "to of them", "c"),
    ("for two pens", "4 2 pens", "c"),
    ("four hundred and forty millilitres", "440ml", "heard"),
    ("eighteen point one kilograms", "18.1 kg", "heard"),
    ("fifteen metres", "15 meters", "c"),
    ("three tonnes", "three tons", "c"),
    ("round to the nearest hundred", "round to the nearest 100.", "heard"),
    ("a hundred and five", "105", "c"),
    ("it is not even", "it isn't even", "c"),
    ("do not write", "don't write", "c"),
    ("you cannot see", "you can't see", "c"),
    ("what is it", "what's it", "c"),
    ("sixty-four minutes", "6-4 minutes", "heard"),
    ("seventy-four steps", "7 to 4 steps", "heard"),
    ("from six to four", "from 6 to 4", "c"),
    ("twelve are not lit", "12 are not lit", "heard"),
    ("no sail", "know sale", "c"),
    ("write pounds and pence", "right pounds in pens", "heard"),
    ("a dozen eggs", "one dozen eggs", "c"),
    ("double eighty and take away ten", "Double 80 and take away 10.", "heard"),
]


@pytest.mark.parametrize(("said", "written", "source"), SAME, ids=lambda v: str(v)[:24])
def test_one_spoken_form(said: str, written: str, source: str) -> None:
    """Nothing that matters differs."""
    assert source
    found = compare(spoken(said, is_heard=False), spoken(written, is_heard=True))

    assert differences(found) == []


OTHER = [
    # said, heard, what differs: script's word and heard word
    ("thirteen", "30", ("thirteen", "thirty")),
    ("one hundred and eight", "208", ("one", "two")),
    ("one hundred and one", "110", ("one", "ten")),
    ("nought point five", "0.6", ("five", "six")),
    ("one half of it", "1/4 of it", ("half", "quarter")),
    ("fifteen metres", "15 km", ("metre", "kilometre")),
    ("sixty pence", "60 pounds", ("penny", "pound")),
    ("thirty pounds", "$30", ("pound", "dollar")),
    ("that are not even", "that are even", ("not", "")),
    ("that are even", "that are not even", ("", "not")),
    ("no sail", "a sail", ("no", "a")),
    ("has never climbed", "has often climbed", ("never", "often")),
    ("nine plus four", "9 times 4", ("plus", "times")),
    ("twenty-first", "20", ("first", "")),
    ("which is the largest", "which is the smallest", ("largest", "smallest")),
    ("seven percent", "seven", ("percent", "")),
    ("two seventy", "two seventeen", ("seventy", "seventeen")),
    ("six to four", "65", ("four", "five")),
    ("three numbers", "four numbers", ("three", "four")),
]


@pytest.mark.parametrize(("said", "heard", "differs"), OTHER, ids=lambda v: str(v)[:24])
def test_another_form(said: str, heard: str, differs: tuple[str, str]) -> None:
    """What differs is found as what it is."""
    found = compare(spoken(said, is_heard=False), spoken(heard, is_heard=True))

    assert differs in [(step.said, step.heard) for step in differences(found)]


def test_what_sounds_alike_is_only_taken_for_what_is_said() -> None:
    """A "two" too much is a number too much, though it sounds like "to"."""
    found = compare(
        spoken("what is one hundred", is_heard=False), spoken("what is 200", is_heard=True)
    )

    assert [(step.said, step.heard) for step in differences(found)] == [("one", "two")]


def test_unknown_words_stand_for_any() -> None:
    """Exact sounds and foreign words match whatever is written for them, some words long."""
    said = spoken(f"What does {ANYTHING} cost in six shops?", is_heard=False)

    for heard in ("What does no brae zee cost in 6 shops?", "What does cost in 6 shops?"):
        assert differences(compare(said, spoken(heard, is_heard=True))) == []
    wrong = compare(said, spoken("What does no brae zee cost in 7 shops?", is_heard=True))
    assert [(step.said, step.heard) for step in differences(wrong)] == [("six", "seven")]


def test_likeness_falls_with_other_words() -> None:
    """Equal texts are fully alike, others hardly."""
    said = spoken("The guard lifted her green flag.", is_heard=False)
    same = compare(said, spoken("the guard lifted her green flag", is_heard=True))
    near = compare(said, spoken("The card lifted her green flag", is_heard=True))
    far = compare(said, spoken("How many melons are in it?", is_heard=True))

    assert same.likeness == 1
    assert 0.8 < near.likeness < 1
    assert far.likeness < 0.3


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("What is 12 times 3?", ("12", "3")),
        ("seven hundred and thirty-nine by ten", ("739", "10")),
        ("seventeen forty-two", ("17", "42")),
        ("£4.35", ("4", "35")),
        ("nought point oh five", ("0.05",)),
        ("three quarters of 8", ("3/4", "8")),
        ("half of ninety", ("1/2", "90")),
        ("the twenty-third boat", ("23",)),
        ("1,500,000 and two thirds", ("1500000", "2/3")),
        ("no figures here", ()),
    ],
)
def test_numbers_of_a_text(text: str, numbers: tuple[str, ...]) -> None:
    """Numbers come out in digits, in order, from figures and from words."""
    assert numbers_in(text) == numbers


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 10**15 - 1))
def test_whole_numbers_there_and_back(number: int) -> None:
    """Words of a number are those of inflect (another author), and read back to its digits."""
    words = cardinal(number)
    theirs = ENGINE.number_to_words(str(number), andword="")

    assert " ".join(words) == str(theirs).replace(",", "").replace("-", " ")
    assert numbers_said(words) == (str(number),)


@settings(deadline=None, max_examples=60)
@given(st.integers(1, 10**9))
def test_ordinals_are_those_of_another_author(number: int) -> None:
    """Ordinals in words are inflect's."""
    theirs = str(ENGINE.number_to_words(ENGINE.ordinal(str(number)), andword=""))

    assert " ".join(ordinal(number)) == theirs.replace(",", "").replace("-", " ")


@settings(deadline=None, max_examples=60)
@given(st.from_regex(r"[0-9]{1,18}", fullmatch=True))
def test_every_row_of_digits_has_readings(digits: str) -> None:
    """Each row of digits can be said, also one by one."""
    readings = whole_readings(digits)

    assert all(readings)
    assert tuple(cardinal(int(digit))[0] for digit in digits) in readings


@settings(deadline=None, max_examples=60)
@given(st.text(max_size=60))
def test_any_text_has_a_spoken_form(text: str) -> None:
    """No text stops the ear; equal texts never differ in what matters."""
    form = spoken(text, is_heard=False)

    assert isinstance(plain_words(form), tuple)
    assert differences(compare(form, spoken(text, is_heard=True))) == []
    assert isinstance(numbers_in(text), tuple)
