"""Both pages for everybody who looks at them: axe-core, targets, zoom, spacing, colours, paper."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from support.browser.pages import (
    Look,
    for_any_look,
    needs_browser,
    overflow_px,
    small_targets,
    violations,
)
from support.browser.screen_pages import (
    SHORT,
    Made,
    begin,
    in_phase,
    made,
    press,
    ready,
    shown,
    until,
    wait_for_stop,
)

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = needs_browser

CLIPPED = """() => [...document.querySelectorAll('body *')].filter(one => {
    const style = getComputedStyle(one);
    return one.getClientRects().length && !one.closest('.unseen, .bar, thead')
        && style.overflow !== 'visible' && style.display !== 'inline'
        && (one.scrollWidth > one.clientWidth + 1 || one.scrollHeight > one.clientHeight + 1);
    }).map(one => one.outerHTML.slice(0, 100))"""
"""Elements whose contents do not fit and are cut off."""


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Return the pages of the short track, under a title with a very long word."""
    text = SHORT.replace("Harbour morning", f"Harbour {'unbrokenword' * 5}")
    return made(tmp_path_factory.mktemp("room"), text)


def _is_right(page: Page) -> None:
    assert violations(page) == []
    assert small_targets(page) == []
    assert overflow_px(page) <= 0
    assert page.evaluate(CLIPPED) == []


@for_any_look
def test_nothing_is_wrong_for_any_look(chromium: Browser, built: Made, look: Look) -> None:
    """axe-core finds nothing in any state; targets 24 px (WC-06), nothing sticks out (1.4.10)."""
    with shown(chromium, built.room, look) as page:
        ready(page)
        _is_right(page)
        page.click("#second")
        in_phase(page, "playing")
        _is_right(page)
        wait_for_stop(page)
        _is_right(page)
        press(page)
        until(page, "document.getElementById('where').textContent.includes('answer time')")
        page.wait_for_timeout(750)
        page.click("#main")
        _is_right(page)
        page.click("#view")
        page.click("#caption-look summary")
        _is_right(page)
        page.reload()
        in_phase(page, "offered")
        _is_right(page)
    with shown(chromium, built.reader, look) as page:
        page.click("#next")
        _is_right(page)


def is_kept(page: Page, contrast: str) -> bool:
    """Return whether a choice outlives a reload; a busy browser may lose one that is just made."""
    for _ in range(2):
        page.select_option("#contrast", contrast)
        page.reload()
        ready(page)
        if page.evaluate("document.documentElement.dataset.look") == contrast:
            return True
    return False


@pytest.mark.parametrize("contrast", ["light", "dark", "strong", "strong-dark"])
def test_chosen_contrasts_are_enough(chromium: Browser, built: Made, contrast: str) -> None:
    """Every palette has 4.5:1 and more (WC-09: WCAG 1.4.3), whatever the computer prefers."""
    for dark in (False, True):
        with shown(chromium, built.room, Look(dark=dark)) as page:
            ready(page)
            page.select_option("#contrast", contrast)
            assert violations(page) == []
            assert is_kept(page, contrast)


def test_text_grows_to_twice_its_size(chromium: Browser, built: Made) -> None:
    """The page's own control reaches 200 % (WCAG 1.4.4) and stays after a reload."""
    with shown(chromium, built.room, Look(width_px=640)) as page:
        ready(page)
        for _ in range(10):
            if page.is_enabled("#larger"):
                page.click("#larger")
        assert page.evaluate("getComputedStyle(document.body).fontSize") == "32px"
        _is_right(page)
        page.reload()
        ready(page)
        assert page.evaluate("getComputedStyle(document.body).fontSize") == "32px"
        page.click("#smaller")
        assert page.evaluate("getComputedStyle(document.body).fontSize") == "28px"


def test_more_space_between_letters_clips_nothing(chromium: Browser, built: Made) -> None:
    """With the spacing of WCAG 1.4.12 (CV-25) no text is cut off and nothing sticks out."""
    spaced = """() => { for (const one of document.querySelectorAll('*')) {
        one.style.lineHeight = '1.5'; one.style.letterSpacing = '0.12em';
        one.style.wordSpacing = '0.16em'; }
        for (const one of document.querySelectorAll('p')) one.style.marginBottom = '2em'; }"""
    for file in (built.room, built.reader):
        for width_px in (320, 1280):
            with shown(chromium, file, Look(width_px=width_px)) as page:
                if file == built.room:
                    ready(page)
                else:
                    page.click("#next")
                page.evaluate(spaced)
                assert overflow_px(page) <= 0
                assert page.evaluate(CLIPPED) == []


def test_a_clipped_text_would_be_found(chromium: Browser, built: Made) -> None:
    """The look for clipped text finds a box that is too small."""
    with shown(chromium, built.room) as page:
        ready(page)
        page.evaluate(
            "() => { const one = document.getElementById('where');"
            " one.style.cssText = 'height: 5px; min-height: 0; overflow: hidden'; }"
        )
        assert len(page.evaluate(CLIPPED)) == 1


@pytest.mark.real_time
def test_reduced_motion_is_kept_to(chromium: Browser, built: Made) -> None:
    """No transition, and the bar moves once a second."""
    with shown(chromium, built.room) as page:
        page.emulate_media(reduced_motion="reduce")
        ready(page)
        style = "getComputedStyle(document.getElementById('main'))"
        assert page.evaluate(f"{style}.transitionDuration + {style}.animationName") == "0snone"
        page.click("#second")
        page.click("#view")
        wait_for_stop(page)
        press(page, "Space")
        until(page, "document.getElementById('time-says').textContent.includes('Answer time')")
        widths = set()
        for _ in range(100):
            says, width = page.evaluate(
                "[document.getElementById('time-says').textContent,"
                " document.getElementById('fill').style.width]"
            )
            if not says.startswith("Answer time"):
                break
            widths.add(width)
            page.wait_for_timeout(20)
        assert 1 <= len(widths) <= 3


def test_the_log_and_the_steps_print_on_a4(chromium: Browser, built: Made) -> None:
    """On paper: the room's log without buttons; all steps of the reader."""
    with shown(chromium, built.room) as page:
        begin(page)
        wait_for_stop(page)
        pdf = page.pdf(prefer_css_page_size=True)
        page.emulate_media(media="print")
        assert page.is_visible("#log-rows")
        assert page.is_visible("#entries")
        assert not page.is_visible("#main")
        assert not page.is_visible("#level")
    with shown(chromium, built.reader) as page:
        steps = page.pdf(prefer_css_page_size=True)
        page.emulate_media(media="print")
        assert page.locator("#steps tbody tr").count() > 10
        assert page.is_visible("#steps")
    for printed in (pdf, steps):
        boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", printed)
        assert 1 <= len(boxes) <= 2
        for width, height in boxes:
            assert float(width) == pytest.approx(210 / 25.4 * 72, abs=1)
            assert float(height) == pytest.approx(297 / 25.4 * 72, abs=1)
