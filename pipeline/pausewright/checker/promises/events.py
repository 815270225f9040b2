"""What a version promises, as plain values: what is said, and how long candidates wait, in order.

Words are compared as they are written, without blanks and marks: which words a voice makes of them
nobody can measure without hearing them.
"""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING, TypeAlias

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from fractions import Fraction

    from pausewright.checker.expect.expected import Role
    from pausewright.checker.result.items import Item
    from pausewright.problems import Place
    from pausewright.script.declared import ToneSpec
    from pausewright.script.silences import SilenceKind

Key: TypeAlias = "tuple[Role, Item | None, int, Item | None]"
"""Role, item and reading; for what belongs to no item, the last item heard before it."""


def solid(text: str) -> str:
    """Return letters, figures and signs of sums and money, without all that only parts them."""
    return "".join(c for c in text if c.isalnum() or unicodedata.category(c) in {"Sm", "Sc"})


@frozen
class Wild:
    """Words that are not known here: a stated value, or a sentence of the program's own."""

    states: str = ""
    """What the words state; "" where they state nothing."""
    place: Place | None = None


@frozen
class Mark:
    """A place inside a reading where a declared pause must be."""

    kind: str
    """"sentence" or "clause"."""
    at: int
    """Solid signs of its text before it."""
    place: Place
    excuse: str = ""
    """Why the language names no pause here; "" where it does."""


@frozen
class Shown:
    """Some written words, and whether candidates may read them."""

    text: str
    is_visible: bool


@frozen
class Said:
    """Something that is heard."""

    role: Role
    item: Item | None
    reading: int
    place: Place
    block: int
    """Of the standard script, counted from 0."""
    chunks: tuple[str | Wild, ...] = ()
    """Its words as written."""
    shown: tuple[Shown, ...] = ()
    marks: tuple[Mark, ...] = ()
    tones: tuple[ToneSpec, ...] = ()
    recordings: tuple[str, ...] = ()
    voice: str = ""
    after: Item | None = None
    is_shown_whole: bool = False
    """Whether candidates may read it where nothing inside says otherwise."""

    @property
    def key(self) -> Key:
        """What it is compared under."""
        return key_of(self.role, self.item, self.reading, self.after)

    @property
    def n_solid(self) -> int:
        """How many solid signs are written in it."""
        return sum(len(solid(one)) for one in self.chunks if isinstance(one, str))


@frozen
class Waited:
    """A silence that is declared."""

    kind: SilenceKind
    wait_s: Fraction
    item: Item | None
    place: Place
    block: int
    after: Item | None = None
    is_answer_of_row: bool = False
    role: Role = "instruction"
    reading: int = 0
    at: int = 0
    """Solid signs said before it under its key: only of the author's pauses."""
    is_of_arrangement: bool = False
    is_last: bool = True
    """Whether nothing of its line is heard after it."""

    @property
    def key(self) -> Key:
        """Under which words it is heard."""
        return key_of(self.role, self.item, self.reading, self.after)


Event: TypeAlias = Said | Waited


def key_of(role: Role, item: Item | None, reading: int, after: Item | None) -> Key:
    """Return what sounds of one kind at one place are compared under."""
    return (role, item, reading, None) if item is not None else (role, None, 0, after)
