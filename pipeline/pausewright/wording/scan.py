"""One text on its way to words: what the topics share while they read it.

A topic is a function that looks at one place of the text and returns a `Reading`, or None if
what stands there is not its business. Topics never print and never guess silently: a reading
that could be another carries a `Doubt`, which becomes a warning with the choices.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.wording import numbers
from pausewright.wording.cues import Sentence, cue_table

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.wording.cues import Decision
    from pausewright.wording.language import Language
    from pausewright.wording.numbers import Number

LETTER: Final = (
    r"[^\W\d_\u02b0-\u02ff\u1d2c-\u1d6a"
    r"\u00b2\u00b3\u00b9\u00bc-\u00be\u2070-\u209c\u2150-\u218f\u2460-\u24ff\u2776-\u2793]"
)
"""A letter; superscripts, vulgar fractions and circled figures are none."""
BLANK: Final = "[ \u00a0\u202f\u2009]"
"""A blank between a figure and what belongs to it."""
OPERATORS: Final = frozenset("+−±∓×·⋅÷=≠≈≡≅<>≤≥∝∥⊥∈∉∪∩⊂")
RELATIONS: Final = frozenset("=≠≈<>≤≥")


@frozen
class Choice:
    """One way to read what is ambiguous: what to type for it, and its words."""

    typed: str
    words: str


@frozen
class Doubt:
    """A piece of text with several readings; the first choice is the one taken."""

    start: int
    end: int
    choices: tuple[Choice, ...]


@frozen
class Reading:
    """The words of text up to `end`."""

    end: int
    words: str
    kind: str = "number"
    """"number", "measure", "money", "time", "date", "code", "letters" or "word"."""
    doubts: tuple[Doubt, ...] = ()
    shown: str = ""
    """What captions show; "" for what is written."""
    because: str = ""
    """Which cue decided, for those who sign the wording off."""
    slip: tuple[int, int, str] | None = None
    """Where a typing error stands, and the form that is meant."""


@dataclass(slots=True)
class Scan:
    """A text, the language and the ways of reading in force."""

    text: str
    language: Language
    styles: Mapping[str, str]
    zero: str
    """How 0 is read: "nought", "zero" or "oh"."""
    closings: set[int] = field(default_factory=set)
    """Where brackets of formulas close."""
    after_bracket: dict[int, str] = field(default_factory=dict)
    """What is said behind a bracket that closes there: the pounds of £(x + 4)."""
    silent: set[int] = field(default_factory=set)
    """Where a bracket or bar closes that is not said: f(x)."""
    such_that: set[int] = field(default_factory=set)
    """Where a colon or bar means "such that": {x : x > 2}."""
    given: set[int] = field(default_factory=set)
    """Where a bar means "given": P(A | B)."""
    _is_formula: bool | None = None
    _low: str | None = None
    _sentence: Sentence | None = None

    def style(self, name: str) -> str:
        """Return the way of reading in force."""
        return self.styles.get(name) or self.language.style(name)

    @property
    def zero_after_point(self) -> str:
        """How 0 after the decimal point is read."""
        chosen = self.styles.get("zero-after-point")
        if chosen:
            return chosen
        return "zero" if self.zero == "zero" else self.language.style("zero-after-point")

    @property
    def zero_of_codes(self) -> str:
        """How 0 is read among figures that are said one by one."""
        return "zero" if self.zero == "zero" else "oh"

    def number(self, at: int) -> Number | None:
        """Return the number that begins at `at`; None too if it is too long for words."""
        found = numbers.number_at(self.text, at, self.language)
        return None if found is None or len(found.whole) > numbers.MOST_DIGITS else found

    def words_of(self, number: Number, gender: str = "") -> str:
        """Return the words of a number as it is written."""
        return numbers.number_words(number, self.language, self.zero, self.zero_after_point, gender)

    def word_before(self, at: int) -> str:
        """Return the word before `at`, small letters, without signs; "" at the start."""
        head = self.text[max(0, at - 40) : at].rstrip(" \u00a0\u202f\n(“\"‘'")
        found = re.search(r"[^\s(“\"‘]+$", head)
        return found[0].lower() if found else ""

    def word_after(self, at: int) -> str:
        """Return the word after `at`, as written, if only blanks part them; else ""."""
        found = re.compile(rf"[ \u00a0\u202f\n]+({LETTER}+)").match(self.text, at)
        return found[1] if found else ""

    def sign_before(self, at: int) -> str:
        """Return the last sign before `at` that is no blank."""
        return self.text[:at].rstrip()[-1:]

    def sign_after(self, at: int) -> str:
        """Return the first sign from `at` on that is no blank."""
        return self.text[at:].lstrip()[:1]

    def mentions(self, table: str) -> bool:
        """Say whether the text holds one of the words that a table of the language lists."""
        if self._low is None:
            self._low = " " + re.sub(r"[^\w’'-]+", " ", self.text.lower()) + " "
        return any(f" {word} " in self._low for word in self.language.listed(table))

    def decide(self, topic: str, start: int, end: int) -> Decision | None:
        """Return what the words beside a piece tell of it; None where no cue does."""
        if self._sentence is None or self._sentence.text is not self.text:
            self._sentence = Sentence(self.text)
        return self._sentence.decide(cue_table(self.language.tag).get(topic, ()), start, end)

    @property
    def is_formula(self) -> bool:
        """Say whether the text holds an equation or inequality."""
        if self._is_formula is None:
            self._is_formula = any(sign in self.text for sign in RELATIONS)
        return self._is_formula

    def beside_operator(self, start: int, end: int) -> bool:
        """Say whether a sign of arithmetic stands right before or after a piece."""
        return self.sign_before(start) in OPERATORS or self.sign_after(end) in OPERATORS

    def doubt(self, start: int, end: int, *choices: tuple[str, str]) -> Doubt:
        """Return a doubt about a piece; each choice is a kind for `as=` and its words."""
        piece = self.text[start:end]
        return Doubt(
            start, end, tuple(Choice(_typed(piece, kind, words), words) for kind, words in choices)
        )


def _typed(piece: str, kind: str, words: str) -> str:
    return f'[{piece}]{{as="{kind}"}}' if kind else f'[{piece}]{{say="{words}"}}'
