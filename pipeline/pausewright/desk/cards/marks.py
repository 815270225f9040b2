"""What is marked as doubtful above a card: comments that begin with "look at this"."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.desk.cards.model import CardError
from pausewright.desk.cards.reading import read_cards
from pausewright.drafting.paper_script import LOOK

if TYPE_CHECKING:
    from pausewright.desk.cards.model import Card, Cards

_MARK: Final = re.compile(rf"\s*<!-- (?:{LOOK}|listen at [\d:.]+): (.*) -->\s*")
"""Of imported papers, and of drafts of recordings."""


def marks_of(cards: Cards) -> dict[int, tuple[tuple[int, str], ...]]:
    """Return the marks above each card, by its line: each with its own line, from 1."""
    found = {}
    for index, card in enumerate(cards.cards):
        first = cards.cards[index - 1].last + 1 if index else cards.settings_end + 1
        rows = [
            (line + 1, mark[1])
            for line in range(first, card.first)
            if (mark := _MARK.fullmatch(cards.rows[line]))
        ]
        if rows:
            found[card.line] = tuple(rows)
    return found


def settled(text: str, card: Card, line: int) -> str:
    """Return a text without the mark on a line above a card, from 1.

    Raises
    ------
    CardError
        If no such mark stands there.
    """
    cards = read_cards(text)
    if line not in {at for at, _ in marks_of(cards).get(card.line, ())}:
        raise CardError("this mark is no longer there", "look at the page again")
    rows = list(cards.rows)
    first = last = line - 1
    if (
        first
        and not rows[first - 1].strip()
        and last + 1 < len(rows)
        and not rows[last + 1].strip()
    ):
        last += 1
    del rows[first : last + 1]
    return "\n".join(rows)
