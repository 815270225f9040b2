"""A reading that was chosen for a doubtful piece of text, written as the script's `say`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.desk.cards.changes import applied
from pausewright.desk.cards.model import CardError
from pausewright.desk.cards.reading import read_cards
from pausewright.desk.cards.spots import Edit, Spot
from pausewright.script.attributes.braces import escaped

if TYPE_CHECKING:
    from pausewright.desk.cards.model import Card, Cards


def said_as(text: str, line: int, column: int, length: int, words: str) -> str:
    """Return a text in which a piece of a card's words is put in brackets with what is said.

    Parameters
    ----------
    line, column, length : of the piece, as a problem's place gives them: from 1, in signs
    words : to be said for it

    Raises
    ------
    CardError
        If no words of a card stand there, or they would be others than before.
    """
    cards = read_cards(text)
    row = cards.rows[line - 1] if 0 < line <= len(cards.rows) else ""
    start, end = column - 1, column - 1 + length
    piece = row[start:end]
    if not piece.strip() or not words.strip() or not 0 <= start < end <= len(row):
        raise CardError("these words are no longer there", "look at the page again")
    if not any(_stands_in(one, Spot(line - 1, start)) for one in cards.cards):
        raise CardError("no words of a card stand there", "write it in the text beside the cards")
    edit = Edit(
        Spot(line - 1, start), Spot(line - 1, end), f'[{piece}]{{say="{escaped(words.strip())}"}}'
    )
    new = applied(cards.rows, [edit])
    if _shown(cards) != _shown(read_cards(new)):
        raise CardError("this cannot be chosen here", "write it in the text beside the cards")
    return new


def _stands_in(card: Card, spot: Spot) -> bool:
    words = [one.words for one in card.pieces if one.words is not None]
    return any(one.at(spot) is not None for one in words)


def _shown(cards: Cards) -> list[object]:
    return [(one.shape, one.fields) for one in cards.cards]
