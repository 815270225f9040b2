"""A person who works by the keyboard alone, from one thing to the next; counts what it takes."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

MOST_TABS = 200
JOB_MS = 400_000
IS_FOCUSED = "one => one === document.activeElement"


@dataclass
class Keyboard:
    """Keys that were pressed, and steps that were taken: a field, a button, a link each."""

    page: Page
    n_keys: int = 0
    steps: list[str] = field(default_factory=list)

    def press(self, key: str, times: int = 1) -> None:
        """Press a key."""
        for _ in range(times):
            self.page.keyboard.press(key)
        self.n_keys += times

    def to(self, wanted: Locator) -> None:
        """Go to something by Tab; what cannot be reached so fails the test."""
        wanted.wait_for()
        for _ in range(MOST_TABS):
            if wanted.evaluate(IS_FOCUSED):
                return
            self.press("Tab")
        raise AssertionError(f"{wanted} is not reached by Tab")

    def link(self, name: str, *, exact: bool = False) -> None:
        """Follow a link."""
        self.to(self.page.get_by_role("link", name=name, exact=exact).first)
        self._go(f"link: {name}")

    def button(self, name: str) -> None:
        """Press a button."""
        self.to(self.page.get_by_role("button", name=name).first)
        self._go(f"button: {name}")

    def _go(self, step: str) -> None:
        self.press("Enter")
        self.steps.append(step)
        self.page.wait_for_load_state()

    def write(self, label: str, text: str) -> None:
        """Write into a field, or paste: one step."""
        self.to(self.page.get_by_label(label).first)
        self.press("Control+a")
        self.page.keyboard.insert_text(text)
        self.n_keys += 1
        self.steps.append(f"write: {label}")

    def tick(self, label: str) -> None:
        """Tick a box."""
        box = self.page.get_by_label(label).first
        was = box.is_checked()
        self.to(box)
        self.press("Space")
        assert box.is_checked() != was
        self.steps.append(f"tick: {label}")

    def choose(self, label: str, words: str) -> None:
        """Choose in a list by its first letters, as browsers have it."""
        chosen = self.page.get_by_label(label).first
        self.to(chosen)
        self.page.keyboard.type(words)
        self.n_keys += len(words)
        self.steps.append(f"choose: {label}")

    def waits_for(self, words: str) -> None:
        """Wait until work is done; looking is no step."""
        from playwright.sync_api import Error  # noqa: PLC0415  only where there is a browser

        try:
            self.page.get_by_text(words).first.wait_for(timeout=JOB_MS)
        except Error as missing:
            shown = self.page.locator("main").inner_text()
            raise AssertionError(f"‘{words}’ did not appear: {shown}") from missing
