"""Ways of reading on which published sources differ: the names and values a script may choose.

What each value sounds like is told in docs/wording.md; which one holds where a script chooses
none stands in the file of the language (`wording/languages`).
"""

from __future__ import annotations

from typing import Final

from pausewright.frozen import frozen


@frozen
class Style:
    """One choice of wording."""

    choices: tuple[str, ...]
    about: str


STYLES: Final[dict[str, Style]] = {
    "zero-after-point": Style(("oh", "zero", "nought"), "0 after the decimal point."),
    "negative": Style(("minus", "negative"), "−5: minus five, negative five."),
    "quarters": Style(("quarter", "fourth"), "3/4: three quarters, three fourths."),
    "temperature": Style(
        ("celsius", "centigrade", "degrees", "below-zero"),
        "−10 °C: minus ten degrees Celsius, … centigrade, minus ten degrees, "
        "ten degrees below zero.",
    ),
    "dates": Style(
        ("the-fifth-of-march", "march-the-fifth", "march-fifth"), "5 March, as the value says."
    ),
    "times": Style(
        ("three-fifteen", "quarter-past"), "3.15 pm: three fifteen p m, quarter past three."
    ),
    "money": Style(
        ("twelve-pounds-fifty", "twelve-pounds-and-fifty-pence"), "£12.50, as the value says."
    ),
    "nil": Style(("nil", "nothing", "zero"), "0 in a score."),
    "repeated-digits": Style(
        ("double", "each"), "44 in a telephone number: double four, four four."
    ),
    "capitals": Style(
        ("where-needed", "said", "omitted"),
        "R in algebra: capital R where r stands beside it, capital R, R.",
    ),
    "products": Style(("letters", "times"), "xy in algebra: x y, x times y."),
    "caption-figures": Style(
        ("as-written", "words-to-ten"),
        "Whole numbers in captions: as written, or one to ten in words and figures above.",
    ),
}
