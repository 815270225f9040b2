"""A real browser for tests of pages: the system's Chromium, driven by Playwright, offline.

Nothing is downloaded: Playwright's own browsers are not used. `.ci/run` installs the browser, Node
and axe-core; without them the tests that need them are skipped with the reason.

    pytestmark = needs_browser

    def test_a_page(tmp_path):
        with opened(tmp_path / "page.html", look=Look(dark=True)) as page:
            assert violations(page) == []
"""

from __future__ import annotations

import atexit
import contextlib
import os
import shutil
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import pytest

from support.amounts import IS_LONG_SET
from support.places import TESTS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from playwright.sync_api import Browser, BrowserContext, Page, Playwright

AXE = TESTS / "axe" / "node_modules" / "axe-core" / "axe.min.js"
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
PROGRAM = next((found for name in NAMES if (found := shutil.which(name))), None)

needs_browser = [
    pytest.mark.skipif(PROGRAM is None, reason="no Chromium on this machine: install chromium"),
    pytest.mark.skipif(not AXE.is_file(), reason="axe-core is missing: npm ci in tests/axe"),
    pytest.mark.timeout(600),
]
"""For `pytestmark`: skips where the browser or axe-core is missing."""

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
"""axe-core's rules: WCAG 2.0 to 2.2, levels A and AA, and its own good practice."""


@dataclass(frozen=True)
class Look:
    """How somebody looks at a page."""

    dark: bool = False
    forced_colours: bool = False
    width_px: int = 1280
    height_px: int = 900

    @property
    def name(self) -> str:
        """For the id of a test."""
        colours = "forced" if self.forced_colours else "dark" if self.dark else "light"
        return f"{colours}-{self.width_px}"


LOOKS = (
    Look(),
    Look(dark=True),
    Look(forced_colours=True),
    Look(dark=True, forced_colours=True),
    Look(width_px=320, height_px=640),
)
"""Every colour scheme at 100 %, and 1280 px at 400 % zoom (WCAG 1.4.10)."""
LONG_LOOKS = (Look(width_px=640), Look(dark=True, width_px=320, height_px=640))

for_any_look = pytest.mark.parametrize(
    "look",
    [*LOOKS, *(pytest.param(look, marks=pytest.mark.long) for look in LONG_LOOKS)],
    ids=lambda look: look.name + "-dark" * look.dark,
)
"""Calls a test with each look; those between, in which nothing new meets, in the long set."""


@cache
def driver() -> Playwright:
    """Return the one driver of this process (a second cannot be started), made when needed."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415  only where there is a browser

    started = sync_playwright().start()
    atexit.register(started.stop)
    return started


def launched() -> Browser:
    """Return a fresh browser of the system; close it."""
    is_root = hasattr(os, "geteuid") and os.geteuid() == 0
    return driver().chromium.launch(
        executable_path=PROGRAM, args=["--no-sandbox"] if is_root else [], timeout=120_000
    )


@cache
def _browser() -> Browser:
    """Return the one browser of pages that share it, started when it is first needed."""
    browser = launched()
    atexit.register(browser.close)
    return browser


@contextlib.contextmanager
def context_of(browser: Browser, look: Look | None = None) -> Iterator[BrowserContext]:
    """Give a profile of its own, offline, in which pages look as told."""
    look = look or Look()
    context = browser.new_context(
        viewport={"width": look.width_px, "height": look.height_px},
        color_scheme="dark" if look.dark else "light",
        forced_colors="active" if look.forced_colours else "none",
        offline=True,
    )
    try:
        context.set_default_timeout(60_000)
        yield context
    finally:
        context.close()


@contextlib.contextmanager
def opened(file: Path, look: Look | None = None) -> Iterator[Page]:
    """Give a page of a file in the browser; every request but for that file fails the test."""
    address = file.resolve().as_uri()
    asked: list[str] = []
    complaints: list[str] = []
    with context_of(_browser(), look) as context:
        page = context.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(address)
        yield page
        assert [url for url in asked if url.split("#")[0] != address] == []
        assert complaints == []


OF_COLOURS = ["color-contrast", "link-in-text-block"]
"""The rules of axe-core that judge by colours; all others find the same in every colour scheme."""


def violations(page: Page, rules: Sequence[str] = ()) -> list[str]:
    """Return what axe-core finds wrong on a page as it stands, one line for each element.

    `rules` are asked alone; all of `TAGS` without them.
    """
    if not page.evaluate("typeof axe === 'object'"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    asked = {"type": "rule", "values": list(rules)} if rules else {"type": "tag", "values": TAGS}
    found: dict[str, Any] = page.evaluate(
        "async asked => await axe.run(document, {runOnly: asked})", asked
    )
    assert len(found["passes"]) > (0 if rules else 10), "axe-core looked at nothing"
    return [
        f"{rule['id']}: {node['html'][:200]} {node['failureSummary']}"
        for rule in found["violations"]
        for node in rule["nodes"]
    ]


def wrong_in_any_look(page: Page) -> list[str]:
    """Return what is wrong with a page as it stands, in every look (those between: long set).

    A colour scheme changes colours alone: where only that is new, only their rules are asked again.
    """
    found: list[str] = []
    widths: set[int] = set()
    for look in (*LOOKS, *(LONG_LOOKS if IS_LONG_SET else ())):
        page.set_viewport_size({"width": look.width_px, "height": look.height_px})
        page.emulate_media(
            color_scheme="dark" if look.dark else "light",
            forced_colors="active" if look.forced_colours else "none",
        )
        is_new = look.width_px not in widths
        widths.add(look.width_px)
        wrong = violations(page, () if is_new else OF_COLOURS)
        if is_new:
            wrong += small_targets(page)
            if (wider_px := overflow_px(page)) > 0:
                wrong.append(f"{wider_px} px too wide")
        found += [f"{look.name}: {one}" for one in wrong]
    first = LOOKS[0]
    page.set_viewport_size({"width": first.width_px, "height": first.height_px})
    page.emulate_media(color_scheme="light", forced_colors="none")
    return found


def small_targets(page: Page, least_px: float = 24) -> list[str]:
    """Return what can be clicked and is smaller than `least_px` (WCAG 2.2, 2.5.8: 24 CSS px)."""
    found: list[str] = page.evaluate(
        """least => [...document.querySelectorAll('a, button, input, select, summary, textarea')]
            .filter(one => one.getClientRects().length)
            .map(one => [one, one.getBoundingClientRect()])
            .filter(([_, box]) => Math.min(box.width, box.height) < least)
            .map(([one, box]) => `${one.outerHTML.slice(0, 120)}: ${box.width} × ${box.height}`)""",
        least_px,
    )
    return found


def overflow_px(page: Page) -> int:
    """Return by how much a page is wider than its window."""
    return int(page.evaluate("document.documentElement.scrollWidth - window.innerWidth"))
