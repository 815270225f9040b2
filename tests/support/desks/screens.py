"""What a person at a keyboard has before them, the same for every browser that is driven."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, Protocol

PAGE_MS = 60_000


@dataclass(frozen=True)
class Thing:
    """Something on a page, called as people see it: its words, or a part of them."""

    kind: Literal["link", "button", "field", "words", "part"]
    """A field is called by its label; a part by a query, where it has no name of its own."""
    name: str
    exact: bool = False


class Screen(Protocol):
    """A page in a browser, for somebody without a mouse."""

    def press(self, key: str) -> int:
        """Press a key, or some at once: "Control+a"; return how many it took.

        Tab takes more than one where it leads through the browser's own buttons.
        """

    def type(self, words: str) -> None:
        """Press a key for each letter."""

    def paste(self, words: str) -> None:
        """Put words in place of what is marked, at once."""

    def enter(self) -> None:
        """Press Enter, and wait for the page to which it leads, if it leads to one."""

    def is_shown(self, thing: Thing, most_ms: int = PAGE_MS) -> bool:
        """Wait for something; return whether it came."""

    def is_at(self, thing: Thing) -> bool:
        """Return whether it has the focus."""

    def is_ticked(self, thing: Thing) -> bool:
        """Return whether a box is ticked."""

    def text(self, query: str) -> str:
        """Return the words that are seen in a part of the page, when it is whole."""
