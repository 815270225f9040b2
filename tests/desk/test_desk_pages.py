"""The desk in a real browser: axe-core, widths, colours, by keyboard, without its script."""

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
from support.desks.browser import desk_page
from support.desks.folder import GOOD

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page
    from support.desks.folder import Place

pytestmark = needs_browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return a browser of the system."""
    started = launched()
    yield started
    started.close()


def addresses(place: Place) -> list[str]:
    """Return every page that can be reached without a build, with refused and missing ones."""
    of_test = f"/test/{place.id_of('tide.md')}"
    wrong = f"/test/{place.id_of('<b>bold.md')}"
    own = [f"{of_test}/{page}" for page in ("words", "make", "versions", "papers", "listen")]
    return ["/", "/check", "/voices", "/nothing", *own, f"{wrong}/words", f"{wrong}/make"]


def is_read(page: Page) -> None:
    """Wait until nothing on a page is still being read."""
    page.locator("[data-reload]").wait_for(state="detached")


@for_any_look
def test_pages_are_for_everyone(place: Place, browser: Browser, look: Look) -> None:
    """Nothing found by axe-core, nothing to scroll sideways, nothing too small to hit."""
    place.client.waited(f"/test/{place.id_of('tide.md')}/make", "Make it and check it")
    place.client.waited(f"/test/{place.id_of('<b>bold.md')}/make", "Must be changed")
    found: dict[str, object] = {}
    with desk_page(browser, place.folder, look) as page:
        own = page.url.rstrip("/")
        for address in addresses(place):
            if address == "/nothing":  # the browser itself says in its console that it is missing
                continue
            page.goto(own + address)
            is_read(page)
            wrong = [*violations(page), *small_targets(page)]
            if overflow_px(page) > 0:
                wrong.append(f"{overflow_px(page)} px too wide")
            found[address] = wrong

    assert {address: wrong for address, wrong in found.items() if wrong} == {}


def test_writing_is_saved_by_itself(place: Place, browser: Browser) -> None:
    """A key press is on the disk soon after the pause; what is wrong appears, and leads there."""
    file = place.folder / "typed.md"
    file.write_text(GOOD, encoding="utf-8")
    with desk_page(browser, place.folder) as page:
        page.goto(f"{page.url}test/{place.id_of('typed.md')}/words")
        page.get_by_label("The script of this test").fill(GOOD.replace("answer-time", "no-such"))
        page.get_by_text("Saved.").wait_for()
        assert "no-such" in file.read_text("utf-8")
        link = page.locator("#problems li", has_text="no-such").locator("a").first
        link.wait_for()
        link.focus()
        page.keyboard.press("Enter")
        chosen = page.evaluate(
            "(() => { const t = document.querySelector('#text'); "
            "return [document.activeElement === t, "
            "t.value.slice(t.selectionStart, t.selectionEnd)]; })()"
        )
    assert chosen == [True, 'no-such="4 s"']


def test_a_change_from_elsewhere_is_seen(place: Place, browser: Browser) -> None:
    """Writing goes on in the page, nothing is saved over it, and the way on is a button."""
    file = place.folder / "other.md"
    file.write_text(GOOD, encoding="utf-8")
    with desk_page(browser, place.folder) as page:
        page.goto(f"{page.url}test/{place.id_of('other.md')}/words")
        file.write_text(GOOD + "theirs\n", encoding="utf-8")
        field = page.get_by_label("The script of this test")
        field.fill(GOOD + "mine\n")
        page.get_by_text("Not saved").wait_for()
        assert file.read_text("utf-8") == GOOD + "theirs\n"


def test_it_works_without_its_script(place: Place, browser: Browser) -> None:
    """A test is begun, changed and looked at by forms and links alone, and by the keyboard."""
    with desk_page(browser, place.folder, has_script=False) as page:
        page.get_by_label("What is it called?").fill("Quiet harbour")
        page.keyboard.press("Enter")
        page.get_by_role("heading", name="Words").wait_for()
        field = page.get_by_label("The script of this test")
        text = field.input_value()
        field.fill(text.replace("My first test", "Quiet harbour"))
        page.get_by_role("button", name="Save and look").click()
        page.get_by_role("link", name="Make", exact=True).click()
        for _ in range(100):
            if page.get_by_role("button", name="Make it and check it").count():
                break
            page.wait_for_timeout(200)
            page.reload()
        assert page.get_by_role("button", name="Make it and check it").count() == 1
    assert "title: Quiet harbour" in (place.folder / "quiet-harbour.md").read_text("utf-8")
