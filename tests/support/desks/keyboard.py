"""A person who works by the keyboard alone, from one thing to the next; counts what it takes."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from support.desks.screens import Thing

if TYPE_CHECKING:
    from support.desks.screens import Screen

MOST_TABS = 200
JOB_MS = 400_000


@dataclass
class Keyboard:
    """Keys that were pressed, and steps that were taken: a field, a button, a link each."""

    screen: Screen
    n_keys: int = 0
    steps: list[str] = field(default_factory=list)

    def press(self, key: str, times: int = 1) -> None:
        """Press a key."""
        for _ in range(times):
            self.n_keys += self.screen.press(key)

    def to(self, wanted: Thing) -> None:
        """Go to something by Tab; what cannot be reached so fails the test."""
        if not self.screen.is_shown(wanted):
            raise AssertionError(f"{wanted} did not appear: {self.shown()}")
        for _ in range(MOST_TABS):
            if self.screen.is_at(wanted):
                return
            self.press("Tab")
        raise AssertionError(f"{wanted} is not reached by Tab")

    def link(self, name: str, *, exact: bool = False) -> None:
        """Follow a link."""
        self.to(Thing("link", name, exact))
        self._go(f"link: {name}")

    def button(self, name: str) -> None:
        """Press a button."""
        self.to(Thing("button", name))
        self._go(f"button: {name}")

    def _go(self, step: str) -> None:
        self.screen.enter()
        self.n_keys += 1
        self.steps.append(step)

    def write(self, label: str, text: str) -> None:
        """Write into a field, or paste: one step."""
        self.to(Thing("field", label))
        self.press("Control+a")
        self.screen.paste(text)
        self.n_keys += 1
        self.steps.append(f"write: {label}")

    def tick(self, label: str) -> None:
        """Tick a box."""
        box = Thing("field", label)
        self.to(box)
        was = self.screen.is_ticked(box)
        self.press("Space")
        assert self.screen.is_ticked(box) != was
        self.steps.append(f"tick: {label}")

    def choose(self, label: str, words: str) -> None:
        """Choose in a list by its first letters, as browsers have it."""
        self.choose_in(Thing("field", label), words)

    def choose_in(self, chosen: Thing, words: str) -> None:
        """Do so in a list that has no name of its own."""
        self.to(chosen)
        self.screen.type(words)
        self.n_keys += len(words)
        self.steps.append(f"choose: {chosen.name}")

    def waits_for(self, words: str, most_ms: int = JOB_MS) -> None:
        """Wait until work is done; looking is no step."""
        if not self.screen.is_shown(Thing("words", words), most_ms):
            raise AssertionError(f"‘{words}’ did not appear: {self.shown()}")

    def shown(self) -> str:
        """Return what a person reads on the page."""
        return self.screen.text("main")
