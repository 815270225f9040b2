"""The reader's screen: its steps against a plan written by hand, and in a real Chromium."""

from __future__ import annotations

import time
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from pausewright.plan.steps import steps
from pausewright.plan.timeline import timeline
from pausewright.screen.reading_aloud import reading_lines
from support.browser.pages import needs_browser
from support.browser.screen_pages import SHORT, Made, shown, until
from support.scripts.short_scripts import worded

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from playwright.sync_api import Browser, Page


def test_steps_are_sentences_and_candidates_silences(tmp_path: Path) -> None:
    """One sentence a step, without default pauses and what ends a stop on the recording."""
    found = worded(
        tmp_path,
        SHORT.replace("Two narwhals", 'The year [1905]{say="nineteen oh five"}. Two narwhals'),
    )
    lines = reading_lines(found.script, timeline(steps(found), lambda _: 1000, 1000))

    assert [(line.kind, line.text, line.printed) for line in lines] == [
        ("say", "There are two questions.", ""),
        ("say", "Ask now.", ""),
        ("signal", "Wait until you may go on", ""),
        ("say", "Number one.", "Number 1."),
        ("say", "Zebrafish or quokka?", ""),
        ("wait", "Silence before the second reading", ""),
        ("say", "Zebrafish or quokka?", ""),
        ("wait", "Answer time", ""),
        ("say", "Number two.", "Number 2."),
        ("say", "The year nineteen oh five.", "The year 1905."),
        ("say", "Two narwhals swim.", ""),
        ("wait", "Silence before the second reading", ""),
        ("say", "The year nineteen oh five.", "The year 1905."),
        ("say", "Two narwhals swim.", ""),
        ("wait", "Answer time", ""),
        ("say", "Stop.", ""),
    ]
    assert [line.length_ms for line in lines if line.kind == "wait"] == [800, 2000, 800, 2000]
    assert lines[6].where == "Test: Question 1 of 2, second reading"


def _read_to(page: Page, words: str) -> None:
    """Press for every sentence until these words are shown, for example the name of a silence."""
    until(page, "!document.getElementById('next').disabled")
    end_s = time.monotonic() + 60
    while page.inner_text("#words") != words:  # seen soon: a silence does not wait
        assert time.monotonic() < end_s, f"never came to ‘{words}’"
        if page.evaluate("document.getElementById('hold').hidden"):
            page.wait_for_timeout(420)
            page.keyboard.press("Space")
        page.wait_for_timeout(20)


EARLY = """addEventListener('load', () => {
    document.dispatchEvent(new KeyboardEvent('keydown', {key: ' '}));
});
const own = IDBFactory.prototype.open;
IDBFactory.prototype.open = function (...all) {
    const asked = own.apply(this, all);
    const set = call => asked.addEventListener('success', () => setTimeout(call, 500));
    Object.defineProperty(asked, 'onsuccess', {set});
    return asked;
};"""
"""Presses the space bar as soon as the page is there, and makes its memory slow."""


class TestInTheBrowser:
    """What a person does who reads."""

    pytestmark = needs_browser

    @pytest.mark.real_time
    def test_keys_lead_through_and_silences_end_by_themselves(
        self, chromium: Browser, built: Made, record_property: Callable[[str, object], None]
    ) -> None:
        """Space for each sentence; a stopped silence lasts what was declared, within 100 ms."""
        with shown(chromium, built.reader) as page:
            page.evaluate(
                """() => { window.seen = []; new MutationObserver(() => window.seen.push(
                    [performance.now(), document.getElementById('words').textContent]))
                    .observe(document.getElementById('words'), {childList: true}); }"""
            )
            until(page, "!document.getElementById('next').disabled")
            for _ in range(60):
                page.wait_for_timeout(420)
                if page.is_disabled("#next"):
                    break
                if not page.evaluate("!document.getElementById('hold').hidden"):
                    page.keyboard.press("Space")
            assert page.inner_text("#where") == "The end"
            seen = page.evaluate("window.seen")
        off = []
        lengths = {"Answer time": 2000, "Silence before the second reading": 800}
        for (at_ms, text), (next_ms, _) in pairwise(seen):
            if text in lengths:
                off.append(next_ms - at_ms - lengths[text])
        record_property("worst_silence_ms", round(max(off), 1))

        assert [text for _, text in seen][:3] == [
            "There are two questions.", "Ask now.", "Wait until you may go on",
        ]  # fmt: skip
        assert len(off) == 4
        # the observer is told a few ms after the watch was started, and so sees silences short
        assert min(off) >= -20
        assert max(off) <= 100

    @pytest.mark.real_time
    def test_the_watch_can_be_stopped_and_one_can_go_back(
        self, chromium: Browser, built: Made
    ) -> None:
        """A stopped watch waits for ever and counts on from where it was."""
        with shown(chromium, built.reader) as page:
            _read_to(page, "Answer time")
            page.click("#hold")
            assert "watch stopped" in page.inner_text("#watch")
            page.wait_for_timeout(2500)
            assert page.inner_text("#words") == "Answer time"
            page.click("#before")
            assert page.inner_text("#words") == "Zebrafish or quokka?"
            assert page.inner_text("#onward") == "Back to step 8"
            page.wait_for_timeout(420)
            page.click("#before")
            assert page.inner_text("#words") == "Silence before the second reading"
            page.wait_for_timeout(1500)  # a silence that was given is not counted again
            assert page.inner_text("#words") == "Silence before the second reading"
            page.keyboard.press("Space")
            assert page.inner_text("#words") == "Zebrafish or quokka?"
            page.click("#onward")
            assert page.inner_text("#words") == "Answer time"
            assert "watch stopped" in page.inner_text("#watch")
            page.click("#hold")
            until(page, "document.getElementById('words').textContent === 'Number two.'")

    @pytest.mark.real_time
    def test_a_silence_ends_early_only_by_a_press_that_is_held(
        self, chromium: Browser, built: Made
    ) -> None:
        """Short presses only say how; a second of space bar or mouse does it, and is logged."""
        with shown(chromium, built.reader) as page:
            _read_to(page, "Answer time")
            page.click("#hold")
            page.keyboard.press("Space")
            page.focus("#next")
            page.keyboard.press("Enter")
            page.wait_for_timeout(420)
            page.keyboard.down("Space")
            page.wait_for_timeout(500)
            page.keyboard.up("Space")
            page.wait_for_timeout(700)
            assert page.inner_text("#words") == "Answer time"
            assert "hold the space bar or the button" in page.inner_text("#says")

            page.keyboard.down("Space")
            until(page, "document.getElementById('words').textContent === 'Number two.'")
            page.keyboard.up("Space")
            assert page.inner_text("#words") == "Number two."

            _read_to(page, "Answer time")
            page.click("#hold")
            page.hover("#next")
            page.mouse.down()
            until(page, "document.getElementById('words').textContent === 'Stop.'")
            page.mouse.up()
            assert page.inner_text("#words") == "Stop."
            rows = page.locator("#log-rows tr").all_text_contents()
            told = page.inner_text("#log-sums")
        early = [row for row in rows if "silence ended early, after" in row]
        assert len(early) == 2
        assert "Question 1 of 2, answer time" in early[0]
        assert all(" of 2 seconds: " in row and " s cut" in row for row in early)
        assert " were cut in 2 silences." in told

    def test_a_reload_comes_back_to_the_same_sentence(self, chromium: Browser, built: Made) -> None:
        """The step is kept; a silence begins anew, by hand."""
        with shown(chromium, built.reader) as page:
            page.click("#next")
            page.wait_for_timeout(500)
            page.click("#next")
            assert page.inner_text("#words") == "Ask now."
            page.wait_for_timeout(300)
            page.reload()
            until(page, "document.getElementById('next').textContent === 'Go on at step 2'")
            assert "interrupted at step 2 of 14" in page.inner_text("#says")
            page.keyboard.press("Enter")
            page.click("#next")
            assert page.inner_text("#words") == "Ask now."
            assert "opened again" in page.inner_text("#log-rows")

    def test_nobody_begins_before_it_is_known_what_was_kept(
        self, chromium: Browser, built: Made
    ) -> None:
        """A press while the page still looks does nothing: it would lose the place to go on at."""
        with shown(chromium, built.reader, before=EARLY) as page:
            page.click("#next")
            assert page.inner_text("#words") == "There are two questions."
            page.reload()
            until(page, "document.getElementById('next').textContent === 'Go on at step 1'")

    def test_a_rehearsal_is_no_run(self, chromium: Browser, built: Made) -> None:
        """It is logged as one; opened again, the large button starts anew."""
        with shown(chromium, built.reader) as page:
            until(page, "document.getElementById('count').textContent")
            page.click("#rehearse")
            assert page.inner_text("#words") == "There are two questions."
            assert page.inner_text("#where").startswith("Rehearsal. ")
            assert "rehearsal: started" in page.inner_text("#log-rows")
            page.wait_for_timeout(300)
            page.reload()
            until(page, "document.getElementById('next').textContent === 'Start again'")
            assert "This was rehearsed to step 1 of 14" in page.inner_text("#says")
            page.click("#next")
            assert page.inner_text("#next") == "Begin the test"
            page.click("#next")
            until(page, "document.getElementById('words').textContent")
            assert not page.inner_text("#where").startswith("Rehearsal")

    @pytest.mark.real_time
    def test_space_twice_and_a_double_click_move_one_step(
        self, chromium: Browser, built: Made
    ) -> None:
        """A second press at once is a slip of the hand."""
        with shown(chromium, built.reader) as page:
            page.dblclick("#next")
            assert page.inner_text("#words") == "There are two questions."
            page.wait_for_timeout(500)
            page.keyboard.press("Space")
            page.keyboard.press("Space")
            assert page.inner_text("#words") == "Ask now."
