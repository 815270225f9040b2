"""The candidates' screen: a window of its own that the invigilator's drives, and what is on it."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

import pytest
from support.browser.pages import Look, needs_browser, violations
from support.browser.screen_pages import (
    WITHHELD,
    Made,
    begin,
    in_phase,
    phase,
    press,
    ready,
    shown,
    texts_when,
    until,
    wait_for_stop,
    watched,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from playwright.sync_api import Browser, Page

pytestmark = [*needs_browser, pytest.mark.real_time]

SIZES = ((1280, 720), (1920, 1080), (3840, 2160), (1024, 768))

BOXES = """() => Object.fromEntries(["c-number", "c-doing", "c-time", "c-question"].map(id => {
    const {top, bottom, left, right} = document.getElementById(id).getBoundingClientRect();
    return [id, [top, bottom, left, right]];
}))"""


def _opened(page: Page) -> Page:
    """Open a candidates' window and return it."""
    with page.expect_popup() as held:
        page.click("#open-window")
    held.value.locator("#c-number", has_text="Please wait").wait_for()  # drawn, not only loaded
    return held.value


@contextlib.contextmanager
def _windows(chromium: Browser, built: Made) -> Iterator[tuple[Page, Page]]:
    """Give the invigilator's window and a candidates' one."""
    with shown(chromium, built.room) as page:
        ready(page)
        other = _opened(page)
        with watched(other, built.room.parent):
            yield page, other


@pytest.fixture
def both(chromium: Browser, built: Made) -> Iterator[tuple[Page, Page]]:
    """Give both windows of the short track."""
    with _windows(chromium, built) as found:
        yield found


def test_a_second_window_follows_the_invigilators(both: tuple[Page, Page]) -> None:
    """Number, what to do, captions; nothing plays in it and nothing of the staff's is in it."""
    page, other = both
    assert other.inner_text("#c-number") == "Please wait"
    assert other.locator("#staff").count() == 0
    page.click("#second")
    until(other, "document.getElementById('caption').textContent.includes('There are two')")
    wait_for_stop(page)
    until(other, "document.getElementById('c-number').textContent === 'Please wait'")
    press(page)
    doing, *named = texts_when(
        other,
        "document.getElementById('c-number').textContent === '1'",
        *("c-doing", "c-name", "c-of", "c-part"),
    )
    assert doing in {"Listen", "Wait"}
    assert named == ["Question", "of 2", "Test"]
    answering = "document.getElementById('time-says').textContent.startsWith('Answer time')"
    assert texts_when(other, answering, "c-doing") == ["Write your answer"]
    assert other.evaluate("document.getElementById('sound').paused")
    assert other.evaluate("document.getElementById('sound').readyState") == 0  # nor loaded
    words = other.content().lower()
    assert [word for word in WITHHELD if word in words] == []
    until(other, "document.getElementById('c-number').textContent === 'The end'")


def test_it_outlives_a_reload_of_the_invigilators(both: tuple[Page, Page]) -> None:
    """While that is away it waits; then it follows again, without being opened anew."""
    page, other = both
    page.click("#second")
    wait_for_stop(page)
    press(page)
    until(other, "document.getElementById('c-number').textContent === '1'")
    page.reload()
    in_phase(page, "offered")
    until(other, "document.getElementById('c-number').textContent === 'Please wait'")
    page.click("#main")
    until(other, "document.getElementById('c-number').textContent === '1'")


def test_its_space_bar_pauses(chromium: Browser, unhurried: Made) -> None:
    """A hand that finds itself in the wrong window can stop the test all the same."""
    with _windows(chromium, unhurried) as (page, other):
        other.keyboard.press("Space")
        assert phase(page) == "untested"
        page.click("#second")
        in_phase(page, "playing")
        page.wait_for_timeout(750)
        other.keyboard.press("Space")
        in_phase(page, "paused")
        until(other, "document.getElementById('c-number').textContent === 'Please wait'")


WATCH = """() => {
    window.seen = [];
    const caption = document.getElementById("caption");
    new MutationObserver(() => window.seen.push(
        [Date.now(), [...caption.querySelectorAll("span")].map(one => one.textContent)]
    )).observe(caption, {childList: true});
}"""


def test_captions_come_in_time_in_both_windows(
    both: tuple[Page, Page], built: Made, record_property: Callable[[str, object], None]
) -> None:
    """Each within 100 ms of the sound's own clock (EN-01: ETSI EN 301 549, 7.1.2)."""
    page, other = both
    other.evaluate(WATCH)
    page.evaluate(
        """() => { window.at = []; setInterval(() => { const s =
            document.getElementById("sound").currentTime;
            window.at.push([Date.now(), s]); }, 5); }"""
    )
    page.click("#second")
    wait_for_stop(page)
    press(page)
    in_phase(page, "ended")
    seen, clock = other.evaluate("window.seen"), page.evaluate("window.at")

    def place_ms(date: float) -> float:
        return 1000 * float(min(clock, key=lambda one: abs(one[0] - date))[1])

    late = []
    for start_ms, end_ms, lines in built.data["cues"]:
        places = [(place_ms(date), text) for date, text in seen]
        came_ms = next(at for at, text in places if text == lines and at > start_ms - 100)
        gone_ms = next(at for at, text in places if text != lines and at > came_ms)
        late += [came_ms - start_ms, gone_ms - end_ms]
    record_property("worst_caption_ms", round(max(map(abs, late)), 1))

    assert len(late) >= 10
    assert max(map(abs, late)) <= 100


def test_captions_look_as_each_window_wants(both: tuple[Page, Page]) -> None:
    """Larger and at the top in one, as they were in the other; kept after a reload."""
    page, other = both
    third = _opened(page)
    size = "parseFloat(getComputedStyle(document.getElementById('caption')).fontSize)"
    usual = other.evaluate(size)
    other.click("#caption-look summary")
    other.click("#caption-larger")
    other.click("#caption-place")
    assert other.evaluate(size) == pytest.approx(1.25 * usual)
    assert third.evaluate(size) == usual
    assert "caption-top" in (other.get_attribute("#candidates", "class") or "")
    assert "caption-top" not in (third.get_attribute("#candidates", "class") or "")
    other.reload()
    until(other, "document.body.classList.contains('candidates')")
    assert other.evaluate(size) == pytest.approx(1.25 * usual)
    third.keyboard.press("+")
    assert third.evaluate(size) == pytest.approx(1.25 * usual)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_the_number_fills_its_share_and_nothing_moves(
    chromium: Browser, built: Made, size: tuple[int, int]
) -> None:
    """The number is 1/5 to 1/3 of the height; from listening to writing it stays where it is."""
    width_px, height_px = size
    with shown(chromium, built.room, Look(width_px=width_px, height_px=height_px)) as page:
        begin(page)
        page.click("#view")
        wait_for_stop(page)
        press(page, "Space")
        until(page, "document.getElementById('c-number').textContent === '1'")
        boxes = [page.evaluate(BOXES)]
        until(page, "document.getElementById('time-says').textContent.startsWith('Answer')")
        boxes.append(page.evaluate(BOXES))
        page.keyboard.press("Space")
        page.wait_for_timeout(100)
        boxes.append(page.evaluate(BOXES))
        assert violations(page) == []
        assert page.evaluate("document.getElementById('candidates').scrollHeight") <= height_px
    top, bottom, _, _ = boxes[0]["c-number"]
    assert height_px / 5 <= bottom - top <= height_px / 3
    for box in boxes:
        assert box["c-number"][:2] == pytest.approx(boxes[0]["c-number"][:2], abs=0.5)
        assert box["c-time"][:2] == pytest.approx(boxes[0]["c-time"][:2], abs=0.5)
        assert box["c-time"][1] <= height_px
    assert boxes[0]["c-time"][3] - boxes[0]["c-time"][2] >= 0.9 * width_px
