"""Invented questions with figures for the measurements of the check's ear, and ways to spoil them.

A question is a row of parts; each part has the words that are said, what is written, and its
kind. Spoiling changes one part, so that a track can be voiced from the spoilt question and
checked against the good one. Everything follows from seeds.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from pausewright.wording.numbers import cardinal

if TYPE_CHECKING:
    from collections.abc import Callable


@dataclass(frozen=True)
class Part:
    """A stretch of a question."""

    said: str
    """Words for the voice."""
    written: str = ""
    """What the script shows, where that differs; it then stands in a span with `say`."""
    kind: str = "words"
    """"words", "number", "money", "time", "decimal", "fraction", "percent", "ordinal", "unit",
    "negation"."""
    value: tuple[int, ...] = ()
    """What the words were made of."""

    @property
    def source(self) -> str:
        """The part as it stands in a script."""
        return f'[{self.written}]{{say="{self.said}"}}' if self.written else self.said


@dataclass(frozen=True)
class Question:
    """A question in parts."""

    parts: tuple[Part, ...]

    @property
    def source(self) -> str:
        """The question as a script writes it."""
        return "".join(part.source for part in self.parts)

    @property
    def said(self) -> str:
        """The question as it is said."""
        return "".join(part.said for part in self.parts)

    def places(self, kinds: frozenset[str]) -> list[int]:
        """Return which parts are of these kinds."""
        return [i for i, part in enumerate(self.parts) if part.kind in kinds]

    def having(self, i: int, part: Part) -> Question:
        """Return the question with another part at `i`."""
        return replace(self, parts=(*self.parts[:i], part, *self.parts[i + 1 :]))


# ---- parts with figures ---------------------------------------------------------------------


def number(value: int) -> Part:
    """Return a whole number, written in figures."""
    return Part(cardinal(value), f"{value:,}", "number", (value,))


def money(pence: int) -> Part:
    """Return an amount below a thousand pounds."""
    pounds, rest = divmod(pence, 100)
    if not pounds:
        return Part(f"{cardinal(rest)} pence", f"{rest}p", "money", (pence,))
    head = f"{cardinal(pounds)} {'pound' if pounds == 1 else 'pounds'}"
    if not rest:
        return Part(head, f"£{pounds}", "money", (pence,))
    tail = f"and {cardinal(rest)} pence" if rest < 10 else cardinal(rest)
    return Part(f"{head} {tail}", f"£{pounds}.{rest:02d}", "money", (pence,))


def clock_time(minutes: int) -> Part:
    """Return a time of day, so many minutes after midnight, by the 24-hour clock."""
    hour, minute = divmod(minutes % 1440, 60)
    if minute == 0:
        said = f"{cardinal(hour)} hundred" if hour > 12 else f"{cardinal(hour or 12)} o'clock"
    else:
        tail = f"oh {cardinal(minute)}" if minute < 10 else cardinal(minute)
        said = f"{cardinal(hour) if hour else 'zero zero'} {tail}"
    return Part(said, f"{hour:02d}:{minute:02d}", "time", (minutes,))


def decimal(whole: int, places: str) -> Part:
    """Return a decimal."""
    digits = " ".join("oh" if d == "0" else cardinal(int(d)) for d in places)
    head = "nought" if whole == 0 else cardinal(whole)
    return Part(f"{head} point {digits}", f"{whole}.{places}", "decimal", (whole, int(places)))


_BELOW: Final = {
    2: "half", 3: "third", 4: "quarter", 5: "fifth", 6: "sixth", 8: "eighth", 10: "tenth",
}  # fmt: skip


def fraction(top: int, bottom: int) -> Part:
    """Return a fraction."""
    name = _BELOW[bottom] + ("s" if top > 1 else "")
    return Part(f"{cardinal(top)} {name}", f"{top}/{bottom}", "fraction", (top, bottom))


def percent(value: int) -> Part:
    """Return a percentage."""
    return Part(f"{cardinal(value)} per cent", f"{value}%", "percent", (value,))


_ORDINALS: Final = (
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth",
    "eleventh", "twelfth",
)  # fmt: skip


def ordinal(value: int) -> Part:
    """Return an ordinal from first to twelfth."""
    return Part(_ORDINALS[value - 1], kind="ordinal", value=(value,))


def unit(name: str) -> Part:
    """Return a unit of measure."""
    return Part(name, kind="unit")


def no(said: str) -> Part:
    """Return words that negate."""
    return Part(said, kind="negation")


# ---- questions ------------------------------------------------------------------------------

Numbers = random.Random


def _int(r: Numbers, low: int = 2, high: int = 99) -> Part:
    return number(r.randint(low, high))


_ASKED_PARTS: Final = ((1, 3), (2, 3), (3, 4), (2, 5), (4, 5), (3, 8), (7, 10))


def _w(text: str) -> Part:
    return Part(text)


TEMPLATES: Final[tuple[Callable[[Numbers], tuple[Part, ...]], ...]] = (
    lambda r: (_w("A crate holds "), _int(r), _w(" melons and a basket holds "), _int(r), _w(".")),
    lambda r: (_w("What is "), _int(r, 11, 99), _w(" plus "), _int(r, 11, 99), _w("?")),
    lambda r: (_w("What is "), _int(r, 100, 999), _w(" minus "), _int(r, 11, 99), _w("?")),
    lambda r: (_w("What is "), _int(r, 3, 19), _w(" times "), _int(r, 3, 60), _w("?")),
    lambda r: (_w("Divide "), _int(r, 60, 900), _w(" by "), _int(r, 2, 12), _w(".")),
    lambda r: (_w("Subtract "), _int(r, 13, 90), _w(" from "), _int(r, 100, 2000), _w(".")),
    lambda r: (
        _w("A rope is "), _int(r, 13, 90), _w(" "), unit("metres"), _w(" long and is cut into "),
        _int(r, 2, 12), _w(" equal pieces."),
    ),
    lambda r: (
        _w("Which of these numbers is "), no("not"), _w(" a multiple of "), _int(r, 3, 19), _w("?"),
    ),
    lambda r: (
        _w("Write the numbers between "), _int(r, 3, 40), _w(" and "), _int(r, 41, 90),
        _w(" that are "), no("not"), _w(" even."),
    ),
    lambda r: (
        _w("A lantern costs "), money(r.randint(101, 4000)), _w(". What do "), _int(r, 2, 20),
        _w(" of them cost?"),
    ),
    lambda r: (
        _w("Mara had "), money(100 * r.randint(5, 60)), _w(" and spent "),
        money(r.randint(1, 8) * 50 + 25), _w("."),
    ),
    lambda r: (
        _w("The ferry leaves at "), clock_time(r.randint(360, 1200)), _w(" and arrives at "),
        clock_time(r.randint(600, 1380)), _w("."),
    ),
    lambda r: (
        _w("What is "), percent(5 * r.randint(1, 19)), _w(" of "), _int(r, 40, 900), _w("?"),
    ),
    lambda r: (
        _w("What is "), fraction(*r.choice(_ASKED_PARTS)),
        _w(" of "), _int(r, 24, 400), _w("?"),
    ),
    lambda r: (
        _w("Multiply "), decimal(r.randint(0, 9), str(r.randint(1, 9))), _w(" by "),
        decimal(r.randint(1, 20), str(r.randint(11, 99))), _w("."),
    ),
    lambda r: (_w("Round "), _int(r, 1100, 9999), _w(" to the nearest hundred.")),
    lambda r: (
        _w("A bag of sand weighs "), decimal(r.randint(1, 20), str(r.randint(1, 9))), _w(" "),
        unit("kilograms"), _w(". What do "), _int(r, 3, 20), _w(" bags weigh?"),
    ),
    lambda r: (
        _w("The temperature fell from "), _int(r, 3, 20), _w(" degrees to minus "), _int(r, 2, 15),
        _w(" degrees."),
    ),
    lambda r: (
        _w("The "), ordinal(r.randint(1, 12)), _w(" boat has "), _int(r, 13, 90), _w(" seats and "),
        no("no"), _w(" sail."),
    ),
    lambda r: (
        _w("Jonas walks "), _int(r, 2, 19), _w(" "), unit("kilometres"), _w(" in "),
        _int(r, 13, 90), _w(" "), unit("minutes"), _w("."),
    ),
    lambda r: (
        _w("Of the "), _int(r, 20, 90), _w(" lamps on the pier, "), _int(r, 3, 19), _w(" are "),
        no("not"), _w(" lit."),
    ),
    lambda r: (
        _w("A jug holds "), _int(r, 150, 950), _w(" "), unit("millilitres"),
        _w(" of water. How many jugs fill a tank of "), _int(r, 3, 40), _w(" "), unit("litres"),
        _w("?"),
    ),
    lambda r: (
        _w("The ship had "), _int(r, 1000, 9000), _w(" passengers and does "), no("not"),
        _w(" stop for the next "), _int(r, 3, 30), _w(" "), unit("days"), _w("."),
    ),
    lambda r: (_w("Double "), _int(r, 13, 90), _w(" and take away "), _int(r, 3, 20), _w(".")),
    lambda r: (
        _w("A field is "), _int(r, 13, 90), _w(" "), unit("metres"), _w(" long and "),
        _int(r, 13, 90), _w(" "), unit("metres"), _w(" wide."),
    ),
    lambda r: (
        _w("How many "), unit("seconds"), _w(" are there in "), _int(r, 2, 90), _w(" "),
        unit("minutes"), _w("?"),
    ),
    lambda r: (
        _w("A parcel of "), _int(r, 150, 950), _w(" "), unit("grams"), _w(" costs "),
        money(r.randint(30, 95)), _w(" to send."),
    ),
    lambda r: (
        _w("Sugar is "), money(r.randint(101, 900)), _w(" a bag. With "),
        percent(5 * r.randint(1, 9)), _w(" off, what do you pay?"),
    ),
    lambda r: (
        _w("A tank of "), decimal(r.randint(10, 90), str(r.randint(1, 9))), _w(" "), unit("litres"),
        _w(" is "), fraction(*r.choice([(1, 3), (2, 3), (3, 4), (2, 5), (5, 6)])), _w(" full."),
    ),
    lambda r: (
        _w("There are "), _int(r, 13, 90), _w(" steps to the tower, and Ilse has "), no("never"),
        _w(" climbed more than "), _int(r, 13, 60), _w("."),
    ),
)  # fmt: skip
"""Thirty kinds of questions."""


def questions(n: int, seed: int) -> list[Question]:
    """Return `n` questions, every kind in turn, in a shuffled order of kinds."""
    r = random.Random(seed)  # noqa: S311  test data, no secret
    order = list(TEMPLATES)
    found: list[Question] = []
    while len(found) < n:
        r.shuffle(order)
        found += [Question(template(r)) for template in order]
    return found[:n]


# ---- damage ---------------------------------------------------------------------------------

_FIGURES: Final = frozenset(
    {"number", "money", "time", "decimal", "fraction", "percent", "ordinal"}
)
_OTHER_UNIT: Final = {
    "metres": ("kilometres", "centimetres", "miles", "feet"),
    "kilometres": ("miles", "metres"),
    "kilograms": ("grams", "pounds", "tonnes"),
    "grams": ("kilograms",),
    "minutes": ("hours", "seconds", "days"),
    "seconds": ("hours", "minutes"),
    "millilitres": ("litres", "centilitres"),
    "litres": ("millilitres", "gallons"),
    "days": ("weeks", "hours"),
}


def other_number(question: Question, r: Numbers) -> Question | None:
    """Return the question with one figure changed in one place of its digits."""
    places = question.places(_FIGURES)
    if not places:
        return None
    i = r.choice(places)
    return question.having(i, _other_figure(question.parts[i], r))


def _other_figure(part: Part, r: Numbers) -> Part:
    if part.kind == "money":
        return money(_other_int(part.value[0], r))
    if part.kind == "time":
        return clock_time(part.value[0] + r.choice([-60, 60, 10, -10, 1, 5, 20]))
    if part.kind == "decimal":
        whole, places = part.written.split(".")
        if r.random() < 0.5:
            return decimal(_other_int(int(whole), r), places)
        return decimal(int(whole), str(_other_int(int(places), r)))
    if part.kind == "fraction":
        others = [(1, 3), (2, 3), (3, 4), (1, 4), (2, 5), (4, 5), (3, 8), (5, 6), (1, 2)]
        return fraction(*r.choice([one for one in others if one != part.value]))
    if part.kind == "percent":
        return percent(_other_int(part.value[0], r))
    if part.kind == "ordinal":
        return ordinal(part.value[0] % 12 + 1)
    return number(_other_int(part.value[0], r))


def _other_int(value: int, r: Numbers) -> int:
    """Return a positive number that differs in one digit from `value`."""
    digits = list(str(value))
    while True:
        i = r.randrange(len(digits))
        changed = digits.copy()
        changed[i] = str((int(digits[i]) + r.choice([-2, -1, 1, 2, 3])) % 10)
        found = int("".join(changed))
        if found > 0 and found != value and changed[0] != "0":
            return found


def confused_number(question: Question, r: Numbers) -> Question | None:
    """Return the question with 13 for 30 or the like: the hardest pairs to hear apart."""
    choices = []
    for i in question.places(frozenset({"number"})):
        value = question.parts[i].value[0]
        low = value % 100
        if 13 <= low <= 19:
            choices.append((i, value - low + 10 * (low - 10)))
        elif low in range(30, 100, 10):
            choices.append((i, value - low + low // 10 + 10))
    if not choices:
        return None
    i, value = r.choice(choices)
    return question.having(i, number(value))


def swapped_figures(question: Question, r: Numbers) -> Question | None:
    """Return the question with two of its numbers in each other's place."""
    del r
    places = question.places(frozenset({"number"}))
    if len(places) < 2 or question.parts[places[0]].said == question.parts[places[1]].said:
        return None
    first, second = places[:2]
    other = question.having(first, question.parts[second])
    return other.having(second, question.parts[first])


def dropped_not(question: Question, r: Numbers) -> Question | None:
    """Return the question without its negation."""
    places = question.places(frozenset({"negation"}))
    if not places:
        return None
    i = r.choice(places)
    said = {"not": "", "no": "a", "never": "often"}[question.parts[i].said]
    if said:
        return question.having(i, Part(said))
    parts = list(question.parts)
    parts[i + 1] = replace(parts[i + 1], said=parts[i + 1].said.removeprefix(" "))
    del parts[i]
    return Question(tuple(parts))


def added_not(question: Question, r: Numbers) -> Question | None:
    """Return the question with "not" where there was none."""
    del r
    if question.places(frozenset({"negation"})):
        return None
    for i, part in enumerate(question.parts):
        for old, new in (
            (" is ", " is not "), (" are there", " are not there"), (" has ", " has not "),
            (" costs ", " costs not "), (" had ", " had not "), (" holds ", " holds not "),
        ):  # fmt: skip
            if old in part.said and not part.written:
                return question.having(i, Part(part.said.replace(old, new, 1)))
    return None


def other_unit(question: Question, r: Numbers) -> Question | None:
    """Return the question with another unit of measure."""
    places = question.places(frozenset({"unit"}))
    if not places:
        return None
    i = r.choice(places)
    return question.having(i, unit(r.choice(_OTHER_UNIT[question.parts[i].said])))


DAMAGE: Final[dict[str, Callable[[Question, Numbers], Question | None]]] = {
    "a digit changed": other_number,
    "13 for 30 or the like": confused_number,
    "two numbers in each other's place": swapped_figures,
    "a dropped “not”, “no” or “never”": dropped_not,
    "an added “not”": added_not,
    "another unit": other_unit,
}
"""Changes within one question, by the name in the table of figures."""
