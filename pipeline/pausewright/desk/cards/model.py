"""What a card is: one block of a script, its words and attributes with their places in the text.

Places are those of `spots`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.frozen import frozen
from pausewright.problems import PausewrightError

if TYPE_CHECKING:
    from pausewright.desk.cards.spots import Spot
    from pausewright.desk.cards.words import Words

CardKind: TypeAlias = Literal[
    "settings",
    "part",
    "group",
    "instruction",
    "question",
    "passage",
    "dictation",
    "again",
    "stop",
    "page-turn",
    "sheet",
    "staff-note",
    "text",
]
"""`text`: what no card can show; it is changed in the text alone."""
NOTES: Final = frozenset({"sheet", "key", "staff-note"})


@frozen
class Attribute:
    """One attribute as it stands in braces."""

    name: str
    value: str | None
    """None for a yes."""
    start: Spot
    end: Spot


@frozen
class Attributes:
    """The braces of one block, or the place where they would be written."""

    items: tuple[Attribute, ...]
    start: Spot
    end: Spot
    """Equal to `start`: there are no braces yet."""
    is_own: bool = True
    """Whether a card may change them: they were understood and hold no comment."""
    block: str = ""
    """The name of the `:::` block, which its braces may hold too."""

    def value(self, name: str) -> str:
        """Return a value; "yes" for a yes, "" for what is not there."""
        found = next((one for one in self.items if one.name == name), None)
        return "" if found is None else "yes" if found.value is None else found.value


@frozen
class Body:
    """The lines of a sheet, key or staff note."""

    rows: tuple[str, ...]
    """As written, without the blanks at the start that all share."""
    first: int
    """Line of the first of them."""
    lead: int
    """Blanks at the start of each."""
    opens: int
    """Line of the `:::` that opens the block."""
    closes: int
    """Line of the `:::` that closes it."""

    @property
    def text(self) -> str:
        """What stands in it."""
        return "\n".join(self.rows).strip("\n")


@frozen
class Piece:
    """Something of a card with words, attributes or lines of its own."""

    name: str
    """Within its card: "" for the block itself, "p1" for a paragraph, "A" for an answer …"""
    kind: str
    """As the table of attributes calls it: "question", "option", "turn", "phrase" …"""
    line: int
    attributes: Attributes
    words: Words | None = None
    body: Body | None = None


@frozen
class Card:
    """One block of a script."""

    kind: CardKind
    first: int
    """Its first line."""
    last: int
    """Its last line that is not empty."""
    pieces: tuple[Piece, ...]
    text: str
    """Its lines as written."""
    number: int = 0
    """Of a question."""
    practice: bool = False
    part: int = 0
    """How many parts begin before it or with it."""
    lead: int = 4
    """Blanks before what belongs to it."""

    @property
    def line(self) -> int:
        """Its first line, counted from 1: its name for as long as the text stays."""
        return self.first + 1

    def piece(self, name: str) -> Piece | None:
        """Return a piece by its name."""
        return next((one for one in self.pieces if one.name == name), None)

    @property
    def fields(self) -> dict[tuple[str, str], str]:
        """What can be changed, by piece and field: words, lines, and attributes that are there."""
        found: dict[tuple[str, str], str] = {}
        for one in self.pieces:
            if one.words is not None:
                found[one.name, "words"] = one.words.shown
            if one.body is not None:
                found[one.name, "note"] = one.body.text
            for item in one.attributes.items:
                if item.name != one.attributes.block:
                    found[one.name, item.name] = one.attributes.value(item.name)
        return found

    @property
    def shape(self) -> tuple[object, ...]:
        """What it is made of, words and values left out."""
        return self.kind, tuple((one.name, one.kind) for one in self.pieces)


@frozen
class Cards:
    """All cards of a script, in order."""

    cards: tuple[Card, ...]
    rows: tuple[str, ...]
    """The lines of the text."""
    by_part: bool = False
    """Whether questions are numbered anew in each part."""
    settings_end: int = -1
    """Line of the `---` that closes the settings; −1 without."""

    def at(self, line: int) -> Card:
        """Return the card that begins on a line, counted from 1.

        Raises
        ------
        CardError
            If none does.
        """
        for one in self.cards:
            if one.line == line:
                return one
        raise CardError("there is no such card any more", "look at the page again")


class CardError(PausewrightError):
    """A card cannot do what was asked; nothing was changed."""
