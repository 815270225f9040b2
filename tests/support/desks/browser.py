"""The desk in a real browser: the system's Chromium, let in as a person is, nowhere else."""

from __future__ import annotations

import contextlib
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

from support.browser.pages import Look
from support.desks.client import way_in
from support.desks.screens import PAGE_MS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Locator, Page

    from support.desks.screens import Thing

IS_FOCUSED = "one => one === document.activeElement"


@contextlib.contextmanager
def desk_page(
    browser: Browser,
    folder: Path,
    look: Look | None = None,
    *,
    has_script: bool = True,
    expected: tuple[str, ...] = ("409 (Conflict)",),
) -> Iterator[Page]:
    """Give a page that was let in; what it asks elsewhere, or complains of, fails the test.

    `expected` is what the browser may say: by itself of a text that was changed elsewhere.
    """
    look = look or Look()
    port, key = way_in(folder)
    own = f"http://127.0.0.1:{port}/"
    complaints: list[str] = []
    context = browser.new_context(
        viewport={"width": look.width_px, "height": look.height_px},
        color_scheme="dark" if look.dark else "light",
        forced_colors="active" if look.forced_colours else "none",
        java_script_enabled=has_script,
    )
    try:
        context.set_default_timeout(60_000)
        page = context.new_page()
        page.on(
            "request",
            lambda asked: None if asked.url.startswith(own) else complaints.append(asked.url),
        )
        page.on(
            "console",
            lambda said: (
                None if any(one in said.text for one in expected) else complaints.append(said.text)
            ),
        )
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(f"{own}open?key={key}")
        page.wait_for_url(own)
        yield page
        assert complaints == [], complaints
    finally:
        context.close()


def awaited(found: Locator, n: int = 1) -> None:
    """Wait until a page shows so many of something: a click returns before the next page is whole.

    Raises AssertionError after a minute.
    """
    from playwright.sync_api import expect  # noqa: PLC0415  only where there is a browser

    expect(found).to_have_count(n, timeout=60_000)


def becomes(page: Page, condition: str, most_ms: int = PAGE_MS) -> bool:
    """Wait until JavaScript is true on a page, or on the one that follows; say whether it is."""
    from playwright.sync_api import Error  # noqa: PLC0415  only where there is a browser

    end_s = time.monotonic() + most_ms / 1000
    while time.monotonic() < end_s:
        with contextlib.suppress(Error):  # the page was left meanwhile
            if page.evaluate(condition):
                return True
        page.wait_for_timeout(20)
    return False


def is_read(page: Page) -> None:
    """Wait until a page is whole and nothing on it is still being read: it may load itself anew."""
    whole = "document.readyState === 'complete'"
    assert becomes(page, f"{whole} && document.querySelector('[data-reload]') === null")


NOTE_LEAVING = "() => { window.leaves = false; onbeforeunload = () => { window.leaves = true; }; }"
"""Has a page note that it is being left, which comes before anything is asked of the desk."""
SETTLE_MS = 1200
"""A page that is not being left by then stays."""


@dataclass(frozen=True)
class ChromiumScreen:
    """A page of Playwright's, which finds things by the names that assistive programs are told."""

    page: Page

    def press(self, key: str) -> int:
        """Press a key, or some at once; without a window, Tab leads from the end to the start."""
        self.page.keyboard.press(key)
        return 1

    def type(self, words: str) -> None:
        """Press a key for each letter."""
        self.page.keyboard.type(words)

    def paste(self, words: str) -> None:
        """Put words in place of what is marked."""
        self.page.keyboard.insert_text(words)

    def enter(self) -> None:
        """Press Enter, and wait for the page to which it leads, if it leads to one."""
        self.page.evaluate(NOTE_LEAVING)
        self.page.keyboard.press("Enter")
        if becomes(self.page, "window.leaves !== false", SETTLE_MS):
            whole = "document.readyState === 'complete'"
            assert becomes(self.page, f"window.leaves === undefined && {whole}")

    def is_shown(self, thing: Thing, most_ms: int = PAGE_MS) -> bool:
        """Wait for something; return whether it came."""
        from playwright.sync_api import Error  # noqa: PLC0415  only where there is a browser

        try:
            self._found(thing).wait_for(timeout=most_ms)
        except Error:
            return False
        return True

    def is_at(self, thing: Thing) -> bool:
        """Return whether it has the focus."""
        return bool(self._found(thing).evaluate(IS_FOCUSED))

    def is_ticked(self, thing: Thing) -> bool:
        """Return whether a box is ticked."""
        return self._found(thing).is_checked()

    def text(self, query: str) -> str:
        """Return the words that are seen in a part of the page, when it is whole."""
        self.page.wait_for_load_state()
        return self.page.locator(query).inner_text()

    def _found(self, thing: Thing) -> Locator:
        if thing.kind == "field":
            return self.page.get_by_label(thing.name, exact=thing.exact).first
        if thing.kind == "words":
            return self.page.get_by_text(thing.name, exact=thing.exact).first
        if thing.kind == "part":
            return self.page.locator(thing.name).first
        return self.page.get_by_role(thing.kind, name=thing.name, exact=thing.exact).first
