"""How the fields of an arrangement are read: one reader a field, each gives a typed value.

A reader takes what an author wrote and raises `ValueProblem` with a sentence and a hint.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING, Final, TypeVar, get_args

from pausewright.arrange.arrangement import (
    AfterQuestion,
    FixedTime,
    GapsOrEnd,
    LookTimes,
    Pauses,
    PrintFont,
    PrintLook,
    PrintPaper,
    RestBreaks,
    Share,
    Split,
    Turns,
)
from pausewright.frozen import frozen
from pausewright.script.attributes import values
from pausewright.script.attributes.scope import pause_s, silence_s, template
from pausewright.script.attributes.values import ValueProblem
from pausewright.script.references import QuestionRef

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from pausewright.arrange.arrangement import Amount, PlaceForTime

T = TypeVar("T")
Word = TypeVar("Word", bound=str)

PLACES: Final[tuple[GapsOrEnd, ...]] = get_args(GapsOrEnd)
QUESTION: Final = re.compile(r"question ([1-9]\d{0,3})")
"""A place of a stated split: after this question."""
TIME_FIELD: Final = "{time}"
"""Stands in `extra-words` for the time that is added there."""


def one_of(choices: Sequence[Word]) -> Callable[[str], Word]:
    """Return a reader that takes one of these words."""

    def read(text: str) -> Word:
        for choice in choices:
            if text == choice:
                return choice
        raise ValueProblem(f"‘{text}’ is not known here", "write one of: " + ", ".join(choices))

    return read


def each(read: Callable[[str], T]) -> Callable[[Sequence[str]], tuple[T, ...]]:
    """Return a reader of a list, each of its values read by `read`."""
    return lambda texts: tuple(map(read, texts))


def words(text: str) -> str:
    """Return words; none are a problem."""
    words = values.tidy_blanks(text)
    if not words:
        raise ValueProblem("there are no words here", "write some")
    return words


def label(text: str) -> str:
    """Return a label: up to twelve letters, figures, blanks and hyphens."""
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 -]{0,11}", text):
        raise ValueProblem(
            f"‘{text}’ is not a short label of letters and figures", "for example: label: B"
        )
    return text


def _percent(text: str) -> Fraction:
    found = re.fullmatch(r"(\d{1,12}(?:\.\d{1,12})?)\s*%", values.tidy_blanks(text))
    if not found or not 0 < Fraction(found[1]) <= 400:
        raise ValueProblem(f"‘{text}’ is not a share up to 400 %", "for example: 25 %")
    return Fraction(found[1]) / 100


@frozen
class Asked:
    """What `extra-time` says: an amount, with a ceiling if there is one."""

    amount: Amount
    at_most_s: Fraction | None = None


def _amount(text: str) -> Amount:
    if text.strip().endswith("%"):
        return Share(_percent(text))
    return FixedTime(values.duration_s(text, "10 min"))


def extra_time(text: str) -> Asked:
    """Return an amount, with its ceiling: `25 %`, `10 min`, `25 %, 30 min at most`."""
    amount, _, ceiling = text.partition(",")
    at_most_s = None
    if ceiling:
        found = re.fullmatch(r"\s*(.+?)\s+at most\s*", ceiling)
        if not found:
            raise ValueProblem(
                f"‘{ceiling.strip()}’ is not a ceiling", "for example: 25 %, 30 min at most"
            )
        at_most_s = values.duration_s(found[1], "30 min")
    return Asked(_amount(amount), at_most_s)


def _place(name: str) -> PlaceForTime:
    for place in PLACES:
        if name == place:
            return place
    found = QUESTION.fullmatch(name)
    if found:
        return AfterQuestion(QuestionRef(int(found[1])))
    raise ValueProblem(f"‘{name}’ is no place for time", f"known: {', '.join(PLACES)}, question 5")


def split(parts: Mapping[str, str]) -> Split:
    """Return a stated split: an amount for each place."""
    asked = {name: extra_time(text) for name, text in parts.items()}
    amounts: list[tuple[PlaceForTime, Amount]] = []
    for name, one in asked.items():
        place = _place(name)
        if one.at_most_s is not None:
            raise ValueProblem(
                f"‘{name}’ has a ceiling of its own", "write the ceiling at extra-time"
            )
        amounts.append((place, one.amount))
    if not amounts:
        raise ValueProblem("the split is empty", "for example: {each-gap: 15 %, test-end: 10 %}")
    return Split(tuple(amounts))


def extra_words(text: str) -> str:
    """Return what announces added time, with the field {time}."""
    words = values.tidy_blanks(text)
    rest = words.replace(TIME_FIELD, "")
    found = re.search(r"[{}*_`\[\]<>]|::", rest)
    if found:
        raise ValueProblem(f"‘{found[0]}’ stands in words that are said", "write plain words")
    if TIME_FIELD not in words:
        raise ValueProblem(
            "these words do not say how much time there is",
            'write {time} where it stands: "You have {time} more."',
        )
    return words


def pauses(parts: Mapping[str, str]) -> Pauses:
    """Return pauses by the marks at which they stand."""
    for name in parts:
        if name not in {"sentence", "clause"}:
            raise ValueProblem(f"‘{name}’ is no place for a pause", "known: sentence, clause")
    return Pauses(_part(parts, "sentence", pause_s), _part(parts, "clause", pause_s))


def _part(parts: Mapping[str, str], name: str, read: Callable[[str], T]) -> T | None:
    """Return one value of a form with names; None if it is not there."""
    return read(parts[name]) if name in parts else None


def look_time(text: str) -> LookTimes:
    """Return what each look time of the script becomes."""
    return LookTimes(in_script_s=silence_s(text))


def look_times(parts: Mapping[str, str]) -> LookTimes:
    """Return look times by where they stand."""
    known = ("in-script", "before-questions", "words")
    for name in parts:
        if name not in known:
            raise ValueProblem(f"‘{name}’ is no look time", f"known: {', '.join(known)}")
    if not set(parts) - {"words"} or ("words" in parts and "before-questions" not in parts):
        raise ValueProblem(
            "it is not said how long the look time is", "for example: {before-questions: 15 s}"
        )
    return LookTimes(
        _part(parts, "in-script", silence_s),
        _part(parts, "before-questions", silence_s),
        _part(parts, "words", template),
    )


def rest_breaks(parts: Mapping[str, str]) -> RestBreaks:
    """Return breaks after questions, or at the latest every so often."""
    if set(parts) - {"after-questions", "every", "words"} or len(set(parts) - {"words"}) != 1:
        raise ValueProblem(
            "rest breaks are given by ‘after-questions’ or by ‘every’", '{after-questions: "8, 16"}'
        )
    return RestBreaks(
        _part(parts, "after-questions", values.question_numbers) or (),
        _part(parts, "every", values.duration_s),
        _part(parts, "words", words) or "",
    )


PRINT_PAPERS: Final[tuple[PrintPaper, ...]] = get_args(PrintPaper)
PRINT_FONTS: Final[tuple[PrintFont, ...]] = get_args(PrintFont)
TURNS: Final[tuple[Turns, ...]] = get_args(Turns)
SMALLEST_PT: Final = 9
LARGEST_PT: Final = 48


def print_look(parts: Mapping[str, str]) -> PrintLook:
    """Return size, paper and font of the candidates' papers."""
    known = ("size", "paper", "font", "turns")
    for name in parts:
        if name not in known:
            raise ValueProblem(f"‘{name}’ is not known here", f"known: {', '.join(known)}")
    if not parts:
        raise ValueProblem("it is not said how the papers are printed", "write {size: 18 pt}")
    paper, colour = _part(parts, "paper", _paper) or ("A4", "")
    return PrintLook(
        _part(parts, "size", _size_pt) or Fraction(12),
        paper,
        colour,
        _part(parts, "font", one_of(PRINT_FONTS)) or "plain",
        _part(parts, "turns", one_of(TURNS)) or "added",
    )


def _size_pt(text: str) -> Fraction:
    found = re.fullmatch(r"(\d{1,2}(?:\.\d)?)\s*pt", values.tidy_blanks(text))
    if not found:
        raise ValueProblem(f"‘{text}’ is not a size of letters", "for example: 18 pt")
    size_pt = Fraction(found[1])
    if not SMALLEST_PT <= size_pt <= LARGEST_PT:
        raise ValueProblem(
            f"{text} is not between {SMALLEST_PT} pt and {LARGEST_PT} pt", "for example: 18 pt"
        )
    return size_pt


def _paper(text: str) -> tuple[PrintPaper, str]:
    """Return the size of the paper, and its colour if one is given: `A4, cream`."""
    size, _, colour = (part.strip() for part in text.partition(","))
    if len(colour) > 40:
        raise ValueProblem(f"‘{colour}’ is more than 40 characters", "for example: A4, cream")
    return one_of(PRINT_PAPERS)(size), colour
