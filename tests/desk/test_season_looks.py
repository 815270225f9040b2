"""The season's page of the desk in a real browser: axe-core, widths, without its script."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from support.browser.pages import (
    Look,
    for_any_look,
    launched,
    needs_browser,
    overflow_px,
    small_targets,
    violations,
)
from support.desks.browser import awaited, desk_page
from support.desks.season import season_place

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser
    from support.desks.folder import Place

pytestmark = needs_browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return a browser of the system."""
    chromium = launched()
    yield chromium
    chromium.close()


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """Return an open desk on a season that was made."""
    with season_place(tmp_path_factory.mktemp("season") / "tests") as place:
        yield place


@for_any_look
def test_the_page_is_for_everyone(season: Place, browser: Browser, look: Look) -> None:
    """Nothing found by axe-core, nothing to scroll sideways, nothing too small to hit."""
    answer = season.client.started("/more/season-ask", {"question": "length"})
    found: dict[str, object] = {}
    with desk_page(browser, season.folder, look) as page:
        own = page.url.rstrip("/")
        for address in ("/season", answer):
            page.goto(own + address)
            wrong = [*violations(page), *small_targets(page)]
            if overflow_px(page) > 0:
                wrong.append(f"{overflow_px(page)} px too wide")
            found[address] = wrong

    assert {address: wrong for address, wrong in found.items() if wrong} == {}


def test_the_page_works_without_its_script(season: Place, browser: Browser) -> None:
    """From More to the table, a question, its answer, and back, by links and forms alone."""
    with desk_page(browser, season.folder, has_script=False) as page:
        page.goto(f"{page.url}more")
        page.get_by_role("link", name="All tests at once").click()
        page.get_by_label("Which versions?").select_option("length")
        page.get_by_role("button", name="List them").click()
        for _ in range(300):
            if page.get_by_text("4 versions in this list.").count():
                break
            page.wait_for_timeout(200)
            page.reload()
        page.get_by_role("link", name="To all tests").click()
        awaited(page.get_by_role("row"), 1 + 4)
