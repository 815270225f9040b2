"""Cards that are added, deleted and moved: whole lines, and numbers of the questions after them.

Where the questions were numbered in order they are so again, and `again` and passages name the
same questions as before by their new numbers.
"""

from __future__ import annotations

import re
from functools import partial
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.desk.cards.changes import applied
from pausewright.desk.cards.model import Card, CardError
from pausewright.desk.cards.reading import read_cards
from pausewright.desk.cards.spots import Edit, Spot
from pausewright.desk.cards.words import plain_words
from pausewright.frozen import frozen
from pausewright.script.attributes.braces import escaped
from pausewright.script.attributes.values import ValueProblem, question_numbers
from pausewright.script.written_words import written

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from pausewright.desk.cards.model import Attribute, Cards

NewKind: TypeAlias = Literal["question", "instruction", "stop", "page-turn", "part", "group"]
NEW_KINDS: Final[tuple[NewKind, ...]] = (
    "question",
    "instruction",
    "stop",
    "page-turn",
    "part",
    "group",
)
_NUMBER: Final = re.compile(r"\d{1,9}")
_NAMES_QUESTIONS: Final = frozenset({"questions", "for-questions"})
_Count: TypeAlias = tuple[bool, int]
"""Which questions are counted together: practice or not; the part, if each begins anew."""


@frozen
class Placed:
    """A text after cards were added, deleted or moved."""

    text: str
    line: int
    """Of the card that was added or moved, or of the one that stands in a deleted one's place."""


def deleted(text: str, line: int) -> Placed:
    """Return a text without a card.

    Raises
    ------
    CardError
        If there is no such card, or what stands around it would mean something else without it.
    """
    cards = read_cards(text)
    card = cards.at(line)
    if card.kind == "settings":
        raise CardError("a test cannot be without its settings", "change them in their card")
    rows = list(cards.rows)
    first, last = card.first, card.last
    is_open = not first or not rows[first - 1].strip()
    while is_open and last + 1 < len(rows) and not rows[last + 1].strip():
        last += 1
    if last + 1 >= len(rows):
        while first and not rows[first - 1].strip():
            first -= 1
        last = len(rows) - 1
        rows[first:] = [""] if first else []
    else:
        del rows[first : last + 1]
    order = [one for one in cards.cards if one is not card]
    new = _finished(cards, order, "\n".join(rows))
    at = min(cards.cards.index(card), len(order) - 1)
    return Placed(new, read_cards(new).cards[at].line if order else 1)


def moved(text: str, line: int, by: Literal[-1, 1]) -> Placed:
    """Return a text in which a card has changed places with the one before or after it.

    Raises
    ------
    CardError
        If there is no such card or none to change with, or it would mean something else there.
    """
    cards = read_cards(text)
    card = cards.at(line)
    index = cards.cards.index(card)
    others = cards.cards[index + by : index + by + 1] if index + by >= 0 else ()
    if not others or "settings" in {card.kind, others[0].kind}:
        raise CardError("there is nothing to move it past", "it stands at the end already")
    upper, lower = sorted((card, cards.cards[index + by]), key=lambda one: one.first)
    rows = list(cards.rows)
    between = rows[upper.last + 1 : lower.first]
    if not any(not row.strip() for row in between) and not (_is_line(upper) and _is_line(lower)):
        between = [*between, ""]
    one, other = rows[upper.first : upper.last + 1], rows[lower.first : lower.last + 1]
    ends_open = _is_line(upper) or lower.last + 1 >= len(rows) or not rows[lower.last + 1].strip()
    rows[upper.first : lower.last + 1] = [*other, *between, *one, *([] if ends_open else [""])]
    order = list(cards.cards)
    order[index], order[index + by] = order[index + by], order[index]
    new = _finished(cards, order, "\n".join(rows))
    return Placed(new, read_cards(new).cards[index + by].line)


def added(text: str, after: int, kind: NewKind, words: str, attributes: str = "") -> Placed:
    """Return a text with a new card after another.

    Parameters
    ----------
    after : line of the card before it; 0: at the beginning
    words : what is said, or the title of a part or group
    attributes : what stands in its braces, without them

    Raises
    ------
    CardError
        If there are no words, or no card on that line.
    """
    plain = plain_words(words)
    if not plain:
        raise CardError("it needs words", "write what is said, or what a part is called")
    cards = read_cards(text)
    if not after and cards.cards and cards.cards[0].kind == "settings":
        after = cards.cards[0].line
    before = cards.at(after) if after else None
    at = cards.cards.index(before) + 1 if before else 0
    rows = list(cards.rows)
    line = before.last + 1 if before else cards.settings_end + 1
    block = _block(kind, plain, attributes)
    is_row = kind == "question" and before is not None and _is_line(before)
    above = [] if is_row or not line or not rows[line - 1].strip() else [""]
    is_open = line >= len(rows) or not rows[line].strip()
    below = [] if is_open or (kind == "question" and rows[line][:1].isdigit()) else [""]
    rows[line:line] = [*above, *block, *below]
    new = _finished(cards, [*cards.cards[:at], None, *cards.cards[at:]], "\n".join(rows))
    return Placed(new, read_cards(new).cards[at].line)


def _block(kind: NewKind, plain: str, attributes: str) -> list[str]:
    braces = f" {{{attributes}}}" if attributes else ""
    if kind in {"part", "group"}:
        title = written(plain.replace("\n", " "), begins_line=False)
        return [f"{'#' if kind == 'part' else '##'} {title}{braces}"]
    if kind == "question":
        first, *more = (written(plain) + braces).split("\n")
        return [f"1. {first}", *(f"    {row}" for row in more)]
    rows = written(plain).split("\n")
    if kind == "instruction":
        return [*rows[:-1], rows[-1] + braces]
    return [f"::: {kind}{braces}", *rows, ":::"]


def _is_line(card: Card) -> bool:
    """Return whether a card is a question of one line."""
    return card.kind == "question" and card.first == card.last


# ---- numbers ------------------------------------------------------------------------------


def _finished(before: Cards, order: Sequence[Card | None], text: str) -> str:
    """Return a text with its questions numbered again, proved to hold the cards in this order.

    Raises
    ------
    CardError
        If it does not: what stands around them means something else now.
    """
    after = read_cards(text)
    if len(after.cards) != len(order):
        raise CardError("this cannot be done here", "do it in the text beside the cards")
    for card, found in zip(order, after.cards, strict=True):
        if card is not None and (card.shape, card.fields) != (found.shape, found.fields):
            raise CardError("this cannot be done here", "do it in the text beside the cards")
    if not _is_counted(before):
        return text
    numbers = _numbers(after)
    edits: list[Edit] = []
    new_of: dict[tuple[_Count, int], int] = {}
    for card, found in zip(order, after.cards, strict=True):
        number = numbers.get(found.line, 0)
        if card is not None and card.number:
            new_of[_count(before, card), card.number] = number
        if number and number != found.number:
            digits = _NUMBER.match(after.rows[found.first])
            if digits is not None:
                end = Spot(found.first, digits.end())
                edits.append(Edit(Spot(found.first, 0), end, str(number)))
    for card, found in zip(order, after.cards, strict=True):
        if card is not None:
            count = (False, card.part if before.by_part else 0)
            edits += _references(found, partial(_new_number, new_of, count))
    return applied(after.rows, edits)


def _new_number(new_of: Mapping[tuple[_Count, int], int], count: _Count, number: int) -> int | None:
    return new_of.get((count, number))


def _count(cards: Cards, card: Card) -> _Count:
    return card.practice, card.part if cards.by_part else 0


def _numbers(cards: Cards) -> dict[int, int]:
    """Return the number that each question gets in order, by its line."""
    counts: dict[_Count, int] = {}
    found = {}
    for one in cards.cards:
        if one.number:
            count = _count(cards, one)
            counts[count] = counts.get(count, 0) + 1
            found[one.line] = counts[count]
    return found


def _is_counted(cards: Cards) -> bool:
    """Return whether all questions were numbered in order."""
    numbers = _numbers(cards)
    return all(numbers[one.line] == one.number for one in cards.cards if one.number)


def _references(card: Card, new_of: Callable[[int], int | None]) -> list[Edit]:
    """Return the edits by which attributes name the same questions as before."""
    edits = []
    for piece in card.pieces:
        for item in piece.attributes.items:
            if item.name in _NAMES_QUESTIONS and item.value and piece.attributes.is_own:
                new = _renamed(item, new_of)
                if new and new != item.value:
                    edits.append(Edit(item.start, item.end, f'{item.name}="{escaped(new)}"'))
    return edits


def _renamed(item: Attribute, new_of: Callable[[int], int | None]) -> str:
    """Return the new numbers of an attribute; "" where none is left or it names unknown ones."""
    try:
        old = question_numbers(item.value or "")
    except ValueProblem:
        return ""
    new = [new_of(one) for one in old]
    if all(a == b for a, b in zip(old, new, strict=True)):
        return item.value or ""
    runs: list[list[int]] = []
    for one in sorted({n for n in new if n}):
        if runs and one == runs[-1][-1] + 1:
            runs[-1].append(one)
        else:
            runs.append([one])
    return ", ".join(f"{run[0]}-{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)
