"""What the readers of one paragraph share: its tokens, its places, where problems go."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeVar

from pausewright.problems import name_hint
from pausewright.script.attributes import values
from pausewright.script.attributes.attribute_table import misplaced
from pausewright.script.attributes.values import ValueProblem

if TYPE_CHECKING:
    from collections.abc import Callable

    from markdown_it.token import Token

    from pausewright.problems import Place, Problems
    from pausewright.script.attributes.braces import Braces, Item
    from pausewright.script.source.paragraph_places import Places

Word = TypeVar("Word", bound=str)
T = TypeVar("T")


@dataclass(slots=True)
class InlineContext:
    """One paragraph while it is read."""

    token: Token
    places: Places
    problems: Problems
    kind: str
    """Of its block: "paragraph", "question", "part" …"""
    tokens: list[Token]
    attrs: list[Item] = field(default_factory=list)
    """Attributes of the block, found at its end."""
    include: str | None = None

    @property
    def on_paper(self) -> bool:
        """Whether the paragraph stands on paper only."""
        return self.kind in {"sheet", "key", "staff-note"}

    def at(self, token: Token, length: int = 1) -> Place:
        """Return the place of `length` characters from the start of a token."""
        return self.places.at(offset_of(token), length)

    def error(self, place: Place, message: str, hint: str, code: str) -> None:
        """Add an error."""
        self.problems.error(place, message, hint, code=code)

    def items(self, braces: Braces | None, kind: str) -> dict[str, Item]:
        """Return the attributes in braces that may stand on `kind`; the others are problems."""
        found: dict[str, Item] = {}
        for item in braces.items if braces else ():
            trouble = misplaced(item.name, item.value, kind)
            if trouble:
                self.error(self.item_place(item), *trouble, "attribute-unknown")
            else:
                found[item.name] = item
        return found

    def item_place(self, item: Item) -> Place:
        """Return where an attribute stands."""
        return self.places.at(item.start, item.end - item.start)

    def value(self, item: Item | None, read: Callable[[str], T]) -> T | None:
        """Read the value of an attribute by its reader; None without it, or with a problem."""
        if item is None or item.value is None:
            return None
        try:
            return read(item.value)
        except ValueProblem as problem:
            message = f"{item.name}: {problem.message}"
            self.error(self.item_place(item), message, problem.hint, "value-unreadable")
            return None

    def width(self, item: Item | None) -> str | None:
        """Read a width on paper; None without it, or with a problem."""
        if item is None:
            return None
        try:
            return values.width(item.value or "")
        except ValueProblem as problem:
            self.error(self.item_place(item), problem.message, problem.hint, "width")
            return None

    def choice(self, item: Item | None, allowed: tuple[Word, ...]) -> Word | None:
        """Read an attribute that is one of several words."""
        if item is None or item.value is None:
            return None
        for word in allowed:
            if item.value == word:
                return word
        message = f"‘{item.value}’ is not known for ‘{item.name}’"
        hint = name_hint(item.value, allowed, "write one of: " + ", ".join(allowed))
        self.error(self.item_place(item), message, hint, "value-unknown")
        return None


def offset_of(token: Token) -> int:
    """Return the offset of a token in its paragraph's text."""
    return int(token.meta.get("pos") or 0)
