"""What can be wrong in a room: each has a plain sentence, and neither place nor log is lost."""

from __future__ import annotations

import re
import shutil
import time
from typing import TYPE_CHECKING

import pytest
from support.browser.open_pages import with_room
from support.browser.pages import needs_browser
from support.browser.screen_pages import (
    SHORT,
    Made,
    begin,
    in_phase,
    made,
    place_s,
    ready,
    shown,
    until,
    wait_for_stop,
)
from support.browser.screen_reader import heard_text

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from playwright.sync_api import Browser, Page

pytestmark = [*needs_browser, pytest.mark.real_time]

FIRST_WORDS = "document.getElementById('sound').currentTime > 0.6"


def _changed(built: Made, folder: Path, before: str, after: str) -> Path:
    """Copy a room's folder with something changed in its page."""
    shutil.copytree(built.room.parent, folder)
    page = folder / built.room.name
    text = page.read_text("utf-8")
    assert before in text
    page.write_text(text.replace(before, after, 1), encoding="utf-8")
    return page


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("There are two", "There are 2"),
        ('"length_ms":1', '"length_ms":2'),
        ('"cues":[[', '"cues":[[9'),
    ],
)
def test_a_damaged_page_says_so_and_does_not_start(
    chromium: Browser, built: Made, tmp_path: Path, before: str, after: str
) -> None:
    """A changed caption, length or time: the page knows its own sum."""
    page_file = _changed(built, tmp_path / "room", before, after)
    with shown(chromium, page_file) as page:
        in_phase(page, "unusable")
        assert "changed or damaged" in page.inner_text("#checks li.warn")
        assert page.is_disabled("#main")


def test_the_file_can_be_compared_to_the_last_byte(
    chromium: Browser, built: Made, tmp_path: Path
) -> None:
    """The right file is told from one of the same length that is another."""
    other = made(tmp_path, SHORT.replace("narwhals swim", "narwhals swam")).track
    with shown(chromium, built.room) as page:
        ready(page)
        page.set_input_files("#compare", built.track)
        until(page, "document.getElementById('checks').textContent.includes('the very file')")
        page.set_input_files("#compare", other)
        until(page, "document.getElementById('checks').textContent.includes('another file than')")


FULL = """(() => { const put = Storage.prototype.setItem; window.isFull = false;
    Storage.prototype.setItem = function (...all) {
        if (window.isFull) throw new DOMException('full', 'QuotaExceededError');
        return put.apply(this, all); };
    const own = IDBDatabase.prototype.transaction;
    IDBDatabase.prototype.transaction = function (...all) {
        if (window.isFull) throw new DOMException('full', 'QuotaExceededError');
        return own.apply(this, all); }; })()"""


def test_a_disk_that_fills_up_is_told(chromium: Browser, built: Made) -> None:
    """While it plays: save the log now; the log on the page goes on."""
    with shown(chromium, built.room, before=FULL) as page:
        begin(page)
        until(page, FIRST_WORDS)
        page.evaluate("window.isFull = true")
        until(page, "document.getElementById('trouble').textContent.includes('Save the log now')")
        wait_for_stop(page)
        assert "waits: Stop 1" in page.inner_text("#log-rows")


def test_a_clock_that_is_set_back_changes_no_length(chromium: Browser, built: Made) -> None:
    """It is logged, the test goes on, and what was stopped is counted rightly."""
    with shown(chromium, built.room) as page:
        begin(page)
        until(page, FIRST_WORDS)
        page.evaluate("() => { const now = Date.now; Date.now = () => now() - 3600000; }")
        until(
            page, "document.getElementById('log-rows').textContent.includes('set back by 60 min')"
        )
        before_s = time.monotonic()
        wait_for_stop(page)
        page.wait_for_timeout(1200)
        told = re.match(r"Stopped for (\d+) seconds?\.", page.inner_text("#stopped"))
        assert told
        assert 1 <= int(told[1]) <= time.monotonic() - before_s


@pytest.mark.parametrize(
    ("event", "told"),
    [
        ("unplugged", "A sound device was plugged in or out"),
        ("stuck", "The sound stood still"),
        ("soundless", "no sound output"),
        ("failed", "cannot be read any more"),
    ],
)
def test_a_lost_sound_pauses(
    chromium: Browser, unhurried: Made, tmp_path: Path, event: str, told: str
) -> None:
    """The place is kept, and the sentence says where to look."""
    page_file = with_room(unhurried.room, tmp_path / "room")
    with shown(chromium, page_file) as page:
        begin(page)
        until(page, FIRST_WORDS)
        page.evaluate(f"room.send('{event}')")
        assert told in page.inner_text("#says")
        assert ("stick" in page.inner_text("#trouble")) == (event == "failed")
        at_s = place_s(page)
        page.wait_for_timeout(300)
        assert place_s(page) == at_s
        assert page.evaluate("document.getElementById('sound').paused")


GOLDEN = "room_tree.txt"


def _tree(page: Page) -> str:
    """Return what a screen reader has of a page as it stands."""
    return heard_text(page).rstrip()


def test_a_screen_readers_view_of_a_whole_test(
    chromium: Browser, built: Made, golden: Callable[[str, str], None]
) -> None:
    """Chromium's accessibility tree in each phase, as text; clock times and lengths are signs."""
    trees = []
    with shown(chromium, built.room) as page:
        ready(page)
        trees.append(("untested", _tree(page)))
        page.click("#main")
        in_phase(page, "ready")
        trees.append(("ready", _tree(page)))
        page.wait_for_timeout(750)
        page.click("#main")
        wait_for_stop(page)
        until(page, "document.getElementById('stopped').textContent.includes('so far')")
        trees.append(("halted", _tree(page)))
        page.wait_for_timeout(750)
        page.click("#main")
        answering_s = built.data["silences"][1][0] / 1000
        until(page, f"document.getElementById('sound').currentTime > {answering_s + 0.3}")
        page.keyboard.press("Space")  # a second press at once would be none: the last is long ago
        in_phase(page, "paused")
        trees.append(("paused", _tree(page)))
        page.click("#view")
        trees.append(("candidates", _tree(page)))
        page.keyboard.press("Escape")
        page.reload()
        in_phase(page, "offered")
        trees.append(("offered", _tree(page)))
        page.click("#main")
        in_phase(page, "ended")
        trees.append(("ended", _tree(page)))
    golden(GOLDEN, "\n".join(f"== {name}\n{tree}\n" for name, tree in trees))
