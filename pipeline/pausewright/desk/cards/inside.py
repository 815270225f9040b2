"""What is added inside a question: a paragraph, an answer to choose, a part of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.desk.cards.changes import applied
from pausewright.desk.cards.model import CardError
from pausewright.desk.cards.reading import read_cards
from pausewright.desk.cards.spots import Edit, Spot
from pausewright.desk.cards.words import plain_words
from pausewright.script.written_words import written

if TYPE_CHECKING:
    from pausewright.desk.cards.model import Card, Cards, Piece

InnerKind: TypeAlias = Literal["paragraph", "answer", "sub-question"]
INNER_KINDS: Final[tuple[InnerKind, ...]] = ("paragraph", "answer", "sub-question")
_PIECES: Final[dict[InnerKind, str]] = {
    "paragraph": "indented paragraph",
    "answer": "option",
    "sub-question": "sub-question",
}
_MOST_LETTERS: Final = 26


def added_inside(text: str, line: int, kind: InnerKind, words: str) -> str:
    """Return a text with something more in a question, after what it has of the kind.

    Raises
    ------
    CardError
        If there is no such question, no words, or it has the other kind of letters.
    """
    plain = plain_words(words).replace("\n", " ")
    if not plain:
        raise CardError("it needs words", "write what is said")
    cards = read_cards(text)
    card = cards.at(line)
    if card.kind != "question":
        raise CardError("only a question can have this", "add a question first")
    own = [one for one in card.pieces if one.kind == _PIECES[kind] and "." not in one.name]
    others = {"option", "sub-question"} - {_PIECES[kind]}
    if kind != "paragraph" and any(one.kind in others for one in card.pieces):
        raise CardError(
            "this question has answers to choose or parts already, and not both",
            "write another question for it",
        )
    if len(own) >= _MOST_LETTERS:
        raise CardError("there are no more letters", "write another question for it")
    before = own[-1] if own else _last_paragraph(card)
    after = _last_line(cards, card, before)
    letter = chr(ord("A" if kind == "answer" else "a") + len(own))
    mark = "" if kind == "paragraph" else f"- {letter}. "
    row = f"    {mark}{written(plain, begins_line=kind == 'paragraph')}"
    is_row = kind == "answer" and bool(own)
    spot = Spot(after, len(cards.rows[after]))
    following = cards.rows[after + 1] if after + 1 < len(cards.rows) else ""
    tail = "\n" if following.strip() else ""
    new = applied(
        cards.rows, [Edit(spot, spot, f"\n{row}{tail}" if is_row else f"\n\n{row}{tail}")]
    )
    _refuse_other(cards, card, new, plain)
    return new


def _last_paragraph(card: Card) -> Piece:
    """Return the last paragraph before anything else of a question."""
    found = card.pieces[0]
    for one in card.pieces[1:]:
        if one.kind != "indented paragraph":
            break
        found = one
    return found


def _last_line(cards: Cards, card: Card, piece: Piece) -> int:
    """Return the last line of a piece, with what belongs to it."""
    inside = [one for one in card.pieces if one.name.startswith(f"{piece.name}.") and piece.name]
    index = card.pieces.index(inside[-1] if inside else piece) + 1
    last = card.pieces[index].line - 2 if index < len(card.pieces) else card.last
    while last > card.first and not cards.rows[last].strip():
        last -= 1
    return last


def _refuse_other(before: Cards, card: Card, text: str, plain: str) -> None:
    """Refuse what would read otherwise: one more piece with these words, and all else as it was."""
    after = read_cards(text)
    index = before.cards.index(card)
    is_same = len(after.cards) == len(before.cards) and all(
        one.text == other.text
        for n, (one, other) in enumerate(zip(before.cards, after.cards, strict=True))
        if n != index
    )
    values = sorted(after.cards[index].fields.values()) if is_same else []
    if values != sorted([*card.fields.values(), plain]):
        raise CardError("this cannot be written in the card", "write it in the text")
