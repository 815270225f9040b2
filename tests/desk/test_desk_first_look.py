"""What somebody meets first who never saw the desk: the next step, and what a test is called."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from pausewright.script.voices_of_languages import BY_LANGUAGE
from support.browser.pages import Look, needs_browser
from support.desks.browser import desk_page, is_read
from support.desks.client import let_in, started
from support.desks.made import made_place

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser
    from support.desks.folder import Place

WITH_A_NEXT_STEP = ("words", "versions", "make", "listen", "rooms", "day", "changes")
FIRST_NEXT = """() => {
  const next = [...document.querySelectorAll("main .next")].find((one) => one.checkVisibility());
  return next ? Math.round(next.getBoundingClientRect().bottom) : null;
}"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """Return an open desk on a test that is made, where nobody else has laid out a room yet."""
    with made_place(tmp_path_factory.mktemp("first-look") / "tests") as place:
        yield place


in_looks = pytest.mark.parametrize(
    "look",
    [
        pytest.param(Look(width_px=1280, height_px=800), marks=needs_browser, id="desk"),
        pytest.param(Look(width_px=768, height_px=1024), marks=needs_browser, id="tablet"),
    ],
)


@in_looks
def test_the_next_step_is_on_the_first_screen(made: Place, browser: Browser, look: Look) -> None:
    """The coloured button of each page is seen whole without scrolling."""
    test = f"/test/{made.id_of('lantern.md')}"
    addresses = ["/", "/check", "/season", *(f"{test}/{one}" for one in WITH_A_NEXT_STEP)]
    ends_px: dict[str, int | None] = {}
    with desk_page(browser, made.folder, look) as page:
        own = page.url.rstrip("/")
        for address in addresses:
            page.goto(own + address)
            is_read(page)
            ends_px[address] = page.evaluate(FIRST_NEXT)

    below = {one: end for one, end in ends_px.items() if not 0 < (end or 0) <= look.height_px}
    assert below == {}


@in_looks
def test_an_empty_folder_has_a_next_step(tmp_path: Path, browser: Browser, look: Look) -> None:
    """It stands above the fields."""
    folder = tmp_path / "tests"
    folder.mkdir()
    with started(folder), desk_page(browser, folder, look) as page:
        end_px = page.evaluate(FIRST_NEXT)
        field = page.get_by_label("What is it called?").bounding_box()

    assert field is not None
    assert 0 < end_px < field["y"]


def test_problems_are_the_next_step(place: Place) -> None:
    """Where something must be changed, the page of the words leads to it, in colour."""
    page = place.client.waited(f"/test/{place.id_of('<b>bold.md')}/words", "must be changed")

    assert 'class="next" href="#problems-head"' in page
    assert "Go on: make it" not in page


def test_the_first_voice_of_a_language_is_its_usual_one(tmp_path: Path) -> None:
    """As the page says above its list."""
    folder = tmp_path / "tests"
    folder.mkdir()
    with started(folder):
        page = let_in(folder).get("/voices").text
    listed = re.findall(r'<h2>([\w-]+) <span class="soft">([\w-]+)</span>', page)
    first = {language: name for name, language in reversed(listed)}

    assert {one: first[one] for one in BY_LANGUAGE} == {
        one: voices[0] for one, voices in BY_LANGUAGE.items()
    }
    assert next(language for _, language in listed) == next(iter(BY_LANGUAGE))


def test_a_test_keeps_its_name_while_it_is_read_again(tmp_path: Path) -> None:
    """It was called by its file's name each time that it was made or changed."""
    folder = tmp_path / "tests"
    folder.mkdir()
    script = folder / "short.md"
    text = "---\ntitle: A long name\nlanguage: en-GB\n---\n\n# Part\n\nListen.\n"
    script.write_text(text, encoding="utf-8")
    with started(folder):
        client = let_in(folder)
        client.waited("/", "A long name")
        script.write_text(text.replace("Listen.", "Listen well."), encoding="utf-8")
        page = client.get("/").text

    assert "A long name" in page
