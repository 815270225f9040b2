"""Figures in words, against published tables: 69 written → spoken pairs.

Rows are those of the project's check values, section 7, with their sources: S1 Swan, Basic English
Usage (OUP) §227; S2 Swan, Practical English Usage (OUP), "numbers"; S3 englishpractice.com, "How
to say and write numbers"; S4 doclecture.net 1-20610; S5 edisco textbook page, "Reading numbers and
formulae"; S6 Unicode CLDR common/rbnf/en.xml (spellout-cardinal, -verbose and year rules); S7
num2words 0.5.14; S8 ETS test reader guidelines; S9 QCA, optional tests 2005; S10 poisk-ru.ru
lesson; S11 EigoNet; M from memory. Words are compared without commas and hyphens: sources differ.
Where a source gives two forms or sources disagree, the row is read under the switch that names
the form; where the writing alone does not tell, under `as=`.
"""

from __future__ import annotations

import inflect
import pytest
from num2words import num2words
from pausewright.script import numbers_in_words
from pausewright.script.reader import read
from pausewright.wording import numbers
from pausewright.wording.language import language_for
from pausewright.wording.line_elements import Utterance
from pausewright.wording.worded import Worded
from support.scripts.script_cases import FILE

UK, US = "en-GB", "en-US"
ROWS = [
    # row, written, language, settings, words, source
    (1, "101", UK, "", "one hundred and one", "S6 verbose"),
    (1, "101", US, "", "one hundred one", "S6"),
    (2, "310", UK, "", "three hundred and ten", "S1"),
    (2, "310", US, "", "three hundred ten", "S1"),
    (3, "342", UK, "", "three hundred and forty-two", "S6"),
    (3, "342", US, "", "three hundred forty-two", "S6"),
    (4, "999", UK, "", "nine hundred and ninety-nine", "S6"),
    (4, "999", US, "", "nine hundred ninety-nine", "S6"),
    (5, "1,001", UK, "", "one thousand and one", "S6"),
    (5, "1,001", US, "", "one thousand one", "S6"),
    (6, "1,015", UK, "", "one thousand and fifteen", "S6"),
    (6, "1,015", US, "", "one thousand fifteen", "S6"),
    (7, "1,100", UK, "", "one thousand one hundred", "S6"),
    (7, "1,100", US, "", "one thousand one hundred", "S6"),
    (8, "1,398", UK, "", "one thousand three hundred and ninety-eight", "S5"),
    (9, "5,642", UK, "", "five thousand, six hundred and forty-two", "S1"),
    (10, "10,001", UK, "", "ten thousand and one", "S4"),
    (11, "12,345", UK, "", "twelve thousand three hundred and forty-five", "S6"),
    (11, "12,345", US, "", "twelve thousand three hundred forty-five", "S6"),
    (12, "123,456", UK, "",
     "one hundred and twenty-three thousand, four hundred and fifty-six", "S6"),
    (12, "123,456", US, "", "one hundred twenty-three thousand four hundred fifty-six", "S6"),
    (13, "1,000,001", UK, "", "one million and one", "S6"),
    (13, "1,000,001", US, "", "one million one", "S6"),
    (14, "1,500,000", UK, "", "one million, five hundred thousand", "S6"),
    (14, "1,500,000", US, "", "one million five hundred thousand", "S6"),
    (15, "−5", UK, "", "minus five", "S6"),
    (15, "−5", US, "", "minus five", "S6"),
    (15, "−5", US, "negative: negative", "negative five", "M"),
    (16, "0.125", UK, "", "nought point one two five", "S1"),
    (16, "0.125", US, "", "zero point one two five", "S3"),
    (17, "0.278", UK, "", "nought point two seven eight", "S3"),
    (17, "0.278", US, "", "zero point two seven eight", "S3"),
    (18, "0.375", UK, "", "nought point three seven five", "S2"),
    (18, "0.375", US, "", "zero point three seven five", "S2"),
    (19, "0.4", UK, "", "nought point four", "S2"),
    (19, "0.4", US, "", "zero point four", "S2"),
    (20, "3.7", UK, "", "three point seven", "S1"),
    (20, "3.7", US, "", "three point seven", "S1"),
    (21, "3.14", UK, "", "three point one four", "S5, S6"),
    (21, "3.14", US, "", "three point one four", "S5, S6"),
    (22, "10.66", UK, "", "ten point six six", "S4"),
    (22, "10.66", US, "", "ten point six six", "S4"),
    (23, "5.03", UK, "", "five point oh three", "S4"),
    (23, "5.03", US, "", "five point zero three", "S6"),
    (24, "6.07", UK, "", "six point oh seven", "S10"),
    (25, "0.2304", UK, "", "nought point two three oh four", "S5"),
    (26, "0.05", UK, "zero=oh", "oh point oh five", "S4"),
    (26, "0.05", UK, "zero=zero zero-after-point: oh", "zero point oh five", "S4"),
    (26, "0.05", US, "", "zero point zero five", "S6"),
    (27, "12.50", UK, "zero-after-point: zero", "twelve point five zero", "S6"),
    (27, "12.50", US, "", "twelve point five zero", "S6"),
    (28, "0.5 %", UK, "", "nought point five per cent", "S9"),
    (28, "0.5 %", US, "", "zero point five percent", "M"),
    (29, "35 %", UK, "", "thirty-five per cent", "S10"),
    (29, "35 %", US, "", "thirty-five percent", "S10"),
    (30, "1/8", UK, "", "one eighth", "S1"),
    (31, "3/7", UK, "", "three sevenths", "S1"),
    (32, "2/5", UK, "", "two fifths", "S1"),
    (33, "11/16", UK, "", "eleven sixteenths", "S1"),
    (30, "1/8", US, "", "one eighth", "S1"),
    (31, "3/7", US, "", "three sevenths", "S1"),
    (32, "2/5", US, "", "two fifths", "S1"),
    (33, "11/16", US, "", "eleven sixteenths", "S1"),
    (34, "3/4", UK, "", "three quarters", "S5"),
    (34, "3/4", US, "quarters: fourth", "three fourths", "S11"),
    (35, "5/6", UK, "", "five sixths", "S8"),
    (35, "5/6", US, "", "five sixths", "S8"),
    (36, "3¾", UK, "", "three and three quarters", "S2"),
    (37, "6⅛", UK, "", "six and one eighth", "S2"),
    (38, "45¼", UK, "", "forty-five and a quarter", "S11"),
    (38, "45¼", US, "quarters: fourth", "forty-five and a fourth", "S11"),
    (39, "317/509", UK, "", "three hundred and seventeen over five hundred and nine", "S2"),
    (40, "a/b", UK, "", "a over b", "S8, S10"),
    (40, "a/b", US, "", "a over b", "S8, S10"),
    (41, "1½ hours", UK, "", "one and a half hours", "S2"),
    (42, "0.6 miles", UK, "", "nought point six miles", "S2"),
    (43, "1.3 mm", UK, "", "one point three millimetres", "S2"),
    (43, "1.3 mm", US, "", "one point three millimeters", "S2"),
    (44, '[307 4922]{as="phone"}', UK, "", "three oh seven four nine double two", "S1"),
    (44, '[307 4922]{as="phone"}', US, "zero=oh", "three oh seven four nine two two", "S3"),
    (45, '[657 4481]{as="phone"}', UK, "", "six five seven, double four eight one", "S3"),
    (45, '[657 4481]{as="phone"}', US, "", "six five seven, four four eight one", "S3"),
    (46, "[41306]{.digits}", UK, "", "four one three oh six", "S1"),
    (46, '[41306]{as="code"}', UK, "", "four one three oh six", "S1"),
    (47, '[206]{as="code"}', UK, "", "two oh six", "S4"),
    (48, "£12.50", UK, "", "twelve pounds fifty", "S4"),
    (49, "£16.50", UK, "", "sixteen pounds fifty", "S5"),
    (50, "0 °C", UK, "", "zero degrees Celsius", "S5"),
    (50, "0 °C", US, "", "zero degrees Celsius", "S5"),
    (50, "0 °C", UK, "temperature: centigrade", "zero degrees centigrade", "S1"),
    (51, "−10 °C", UK, "temperature: degrees", "minus ten degrees", "S10"),
    (51, "−10 °C", UK, "temperature: below-zero", "ten degrees below zero", "S10"),
    (52, '[1905]{as="year"}', UK, "", "nineteen oh five", "S4"),
    (52, '[1905]{as="year"}', US, "", "nineteen oh-five", "S6"),
    (53, '[1900]{as="year"}', UK, "", "nineteen hundred", "S6"),
    (53, '[1900]{as="year"}', US, "", "nineteen hundred", "S6"),
    (54, '[2001]{as="year"}', UK, "", "two thousand and one", "S6"),
    (54, '[2001]{as="year"}', US, "", "two thousand one", "S6"),
    (55, '[2025]{as="year"}', UK, "", "twenty twenty-five", "S6"),
    (55, '[2025]{as="year"}', US, "", "twenty twenty-five", "S6"),
    (56, "5 March", UK, "", "the fifth of March", "S10"),
    (56, "5 March", US, "", "March fifth", "M"),
    (56, "5 March", US, "dates: march-the-fifth", "March the fifth", "M"),
    (57, "Henry VIII", UK, "", "Henry the Eighth", "S1"),
    (57, "Henry VIII", US, "", "Henry the Eighth", "S1"),
    (58, '[5–0]{as="score"}', UK, "", "five nil", "S4"),
    (58, '[5–0]{as="score"}', US, "", "five nothing", "S1"),
    (58, '[5–0]{as="score"}', US, "nil: zero", "five zero", "S1"),
    (59, "25 + 15 = 40", UK, "", "twenty-five plus fifteen equals forty", "S5"),
    (60, "100 − 35 = 65", UK, "", "one hundred minus thirty-five equals sixty-five", "S5"),
    (61, "20 × 4 = 80", UK, "", "twenty times four equals eighty", "S5"),
    (62, "24 ÷ 2 = 12", UK, "", "twenty-four divided by two equals twelve", "S5"),
    (59, "25 + 15 = 40", US, "", "twenty-five plus fifteen equals forty", "S5"),
    (60, "100 − 35 = 65", US, "", "one hundred minus thirty-five equals sixty-five", "S5"),
    (61, "20 × 4 = 80", US, "", "twenty times four equals eighty", "S5"),
    (62, "24 ÷ 2 = 12", US, "", "twenty-four divided by two equals twelve", "S5"),
    (63, "b²", UK, "", "b squared", "S5"),
    (63, "4³", UK, "", "four cubed", "S5"),
    (63, "10⁴", UK, "", "ten to the power of four", "S5"),
    (64, '[5 : 2]{as="ratio"}', UK, "", "five to two", "S11"),
    (65, "R − 2y = 6", UK, "capitals: said", "capital R minus two y equals six", "S8"),
    (66, "xy", UK, "", "x y", "S8"),
    (66, "xy", UK, "products: times", "x times y", "S8"),
    (67, "21st", UK, "", "twenty-first", "S6"),
    (67, "101st", UK, "", "one hundred and first", "S6"),
    (67, "101st", US, "", "one hundred first", "S6"),
    (68, "5 m/s", UK, "", "five metres per second", "M; BIPM and NIST SP 330 s.5"),
    (68, "5 m/s", US, "", "five meters per second", "M; BIPM and NIST SP 330 s.5"),
    (69, "3.15 pm", UK, "times: quarter-past", "quarter past three", "M"),
    (69, '[3.15]{as="time"}', US, "", "three fifteen", "M"),
]  # fmt: skip


def compared(words: str) -> str:
    """Return words as they are compared: without commas and hyphens."""
    return " ".join(words.replace(",", " ").replace("-", " ").split())


def spoken(written: str, language: str, settings: str) -> str:
    """Return the words that a script's sentence has for what is written."""
    lines = ""
    for setting in settings.replace(": ", ":").split():
        name, _, value = setting.replace("=", ":").partition(":")
        lines += f"{name}: {value}\n" if name == "zero" else f"wording:\n  {name}: {value}\n"
    text = f"---\ntitle: T\nlanguage: {language}\n{lines}---\nSay {written} now.\n"
    reading = read(FILE, text)
    worded = Worded(reading.script)
    assert [p.message for p in (*reading.problems, *worded.problems.all)] == []
    (line,) = (worded.line(block) for _, _, block in reading.script.blocks())  # type: ignore[arg-type]
    (element,) = line
    assert isinstance(element, Utterance)
    return element.words.removeprefix("Say ").removesuffix(" now.")


@pytest.mark.parametrize(
    ("row", "written", "language", "settings", "words", "source"),
    ROWS,
    ids=[f"row {r[0]} {r[2]}" for r in ROWS],
)
def test_a_published_row(
    row: int, written: str, language: str, settings: str, words: str, source: str
) -> None:
    """The words are those of the published row."""
    found = spoken(written, language, settings)
    assert compared(found) == compared(words), f"row {row}, {source}"


def test_every_published_row_is_there() -> None:
    """None of the 69 is left out."""
    assert {row[0] for row in ROWS} == set(range(1, 70))


def test_a_time_is_read_as_it_is_written_unless_told_otherwise() -> None:
    """Row 69 in British use is under a switch: by default nothing written is left out."""
    assert spoken("3.15 pm", UK, "") == "three fifteen p m"


def test_whole_numbers_agree_with_a_second_library() -> None:
    """Every whole number to 3,000 and a spread above reads as in `inflect`, commas apart."""
    engine = inflect.engine()
    some = [*range(3001), *(7919 * n for n in range(1, 2000)), 10**6, 10**9 - 1, 10**12 + 1]
    for number in some:
        wanted = str(engine.number_to_words(number)).replace(",", "")

        assert numbers.cardinal(number) == wanted


def test_small_numbers_agree_with_a_third_library() -> None:
    """Every whole number below a thousand reads as in `num2words`, which words other languages."""
    for number in range(1000):
        assert numbers.cardinal(number) == num2words(number)
        assert numbers.cardinal(number, british=False) == num2words(number).replace(" and ", " ")


def test_ordinals_agree_with_a_second_library() -> None:
    """Every ordinal to 3,000 and a spread above reads as in `inflect`, commas apart."""
    engine = inflect.engine()
    english = language_for("en-GB")
    assert english is not None
    for number in [*range(1, 3001), *(7919 * n for n in range(1, 500)), 10**6, 10**9]:
        wanted = str(engine.number_to_words(engine.ordinal(number))).replace(",", "")

        assert numbers.ordinal_words(number, english) == wanted


def test_words_of_numbers_are_read_back() -> None:
    """What an instruction states in words is understood for every number to 999."""
    for number in range(1, 1000):
        assert numbers_in_words.number(numbers.cardinal(number)) == number
        assert numbers_in_words.number(numbers.cardinal(number, british=False)) == number


def test_digits_keep_their_groups() -> None:
    """Digits are read one by one; a group is parted by a comma; letters are capitals."""
    assert numbers.digits("0115 496") == "oh one one five, four nine six"
    assert numbers.digits("A4", "zero") == "A, four"


def test_words_spelled_out() -> None:
    """Letters are parted by commas; hyphens between all letters are not said, others are."""
    assert numbers.letters("flag") == "F, L, A, G"
    assert numbers.letters("C-A-T") == "C, A, T"
    assert numbers.letters("re-use") == "R, E, hyphen, U, S, E"
    assert numbers.letters("don’t") == "D, O, N, apostrophe, T"
    assert numbers.letters("zoo") == "zed, O, O"
    assert numbers.letters("zoo", british=False) == "Z, O, O"
