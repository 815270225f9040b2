"""Three whole jobs by the keyboard alone in a real Chromium, each from an empty folder.

The steps are counted: a field, a box, a button or a link each. The limits are the project's own:
what a job took when it was written, and may not take more of.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from support.browser.pages import launched, needs_browser
from support.desks.browser import desk_page
from support.desks.client import started
from support.desks.folder import GOOD
from support.desks.keyboard import Keyboard

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser

pytestmark = [*needs_browser, pytest.mark.voice]

ONE_VERSION = GOOD.replace(
    "arrangements:\n  standard: {label: A}\n  slower: {label: B, pace: 80 %, basis: file 1}\n", ""
)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return a browser of the system."""
    found = launched()
    yield found
    found.close()


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    """Return an empty folder with a desk on it."""
    place = tmp_path / "tests"
    place.mkdir()
    with started(place):
        yield place


def begin(keys: Keyboard, title: str, text: str) -> None:
    """Begin a test and paste its words."""
    keys.write("What is it called?", title)
    keys.button("Begin a test")
    keys.write("The script of this test", text)
    keys.button("Save and look for problems")


def make(keys: Keyboard) -> None:
    """Make all versions, as they are offered."""
    keys.button("Make it and check it")
    keys.waits_for("Made, and the check found it good")


def test_the_teacher_gets_a_captioned_track(folder: Path, browser: Browser) -> None:
    """Pasted words become a track with captions; the track is played and counts as heard."""
    with desk_page(browser, folder) as page:
        keys = Keyboard(page)
        begin(keys, "Tide table", ONE_VERSION)
        keys.link("Make", exact=True)
        make(keys)
        keys.link("Listen to it")
        keys.waits_for("not heard by a person yet")
        keys.link("Play what nobody has heard yet: question 1")
        page.get_by_text("heard: 2 of 2 questions").wait_for(timeout=120_000)
        keys.link("Papers and files", exact=True)
        page.get_by_role("link", name="captions").first.wait_for()

    built = folder / "out" / "tide-table" / "version-A"
    assert list(built.glob("*.vtt"))
    assert list(built.glob("*.mp3"))
    assert len(keys.steps) <= 9, keys.steps
    assert keys.n_keys <= 200  # Tab passes the cards on the way to the text


def test_the_coordinator_shows_that_two_versions_are_right(folder: Path, browser: Browser) -> None:
    """Two versions side by side, made, checked again as a whole against the words; signed for."""
    with desk_page(browser, folder) as page:
        keys = Keyboard(page)
        begin(keys, "Tide table", GOOD)
        keys.link("Versions", exact=True)
        keys.button("Lay them side by side")
        keys.waits_for("All versions side by side")
        keys.link("Back to the versions")
        keys.link("Make", exact=True)
        make(keys)
        keys.link("Check a file")
        keys.choose("File or folder", "out/tide-table/")
        test = page.locator("form[action='/check'] select[name='test']")
        keys.to(test)
        page.keyboard.type("Tide")
        keys.steps.append("choose: its test")
        keys.button("Check this")
        page.locator(".verdict").wait_for(timeout=400_000)
        verdict = page.locator(".verdict").inner_text()
        keys.link("Tests", exact=True)
        keys.link("Tide table", exact=True)
        keys.link("Listen and sign", exact=True)
        keys.write("Your name", "Coordinator 3")
        page.get_by_label("I have heard the whole track").wait_for()
        keys.tick("I have heard the whole track")
        keys.button("Sign")
        keys.waits_for("Signed for sound by Coordinator 3")

    assert "0 errors" in verdict
    assert "not good" not in verdict.lower()
    assert (folder / "tide-table.signatures.json").is_file()
    assert list((folder / "out" / "tide-table" / "version-B").glob("*.mp3"))
    assert len(keys.steps) <= 20, keys.steps
    assert keys.n_keys <= 400


def test_the_officer_changes_one_word_in_the_morning(
    folder: Path, browser: Browser, tmp_path: Path
) -> None:
    """A misprint: what must be made, printed, replaced; made; the stick written and read back."""
    stick = tmp_path / "stick"
    stick.mkdir()
    with desk_page(browser, folder) as page:
        evening = Keyboard(page)
        begin(evening, "Tide table", GOOD)
        evening.link("Make", exact=True)
        make(evening)
        evening.link("Rooms and sticks", exact=True)
        evening.write("Candidate's code, row 1", "C101")
        evening.write("Room, row 1", "Hall")
        evening.button("Save the list")
        evening.button("Lay out the rooms")
        evening.waits_for("1 room laid out")

        keys = Keyboard(page)
        keys.link("Tests", exact=True)
        keys.link("Tide table", exact=True)
        keys.to(page.get_by_label("The script of this test"))
        keys.press("Control+End")  # lines are wrapped, so the way by lines is not known
        keys.press("ArrowLeft", len(GOOD[GOOD.index('? {key="27"') :]))
        keys.press("Backspace")
        page.keyboard.type("4")
        keys.steps.append("change the word")
        keys.button("Save and look for problems")
        keys.link("What changed", exact=True)
        keys.button("See what changed since it was made")
        keys.waits_for("1 thing changed")
        shown = page.locator("main").inner_text()
        keys.link("Make what must be made")
        make(keys)
        keys.link("Rooms and sticks", exact=True)
        keys.waits_for("from an older state")
        keys.button("Lay out the rooms")
        keys.waits_for("1 room laid out")
        keys.link("Write the sticks")
        keys.write("Or any folder", str(stick))
        keys.button("Write it and read it back")
        keys.waits_for("Right.")
        told = page.locator("main").inner_text()

    assert "9 times 4" in (folder / "tide-table.md").read_text("utf-8")
    for head in ("To be made again", "To be heard again", "To be replaced in the rooms"):
        assert head in shown
    assert "question 2" in shown
    assert "Hall" in shown
    assert "every file is the one that is laid out here now" in told
    assert list(stick.rglob("*.mp3"))
    assert len(keys.steps) <= 14, keys.steps
    assert keys.n_keys <= 450
