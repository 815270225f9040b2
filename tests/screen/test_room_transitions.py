"""Every pair of phase and event of the room screen in a real Chromium, and a long random walk."""

from __future__ import annotations

import json
import random
from typing import TYPE_CHECKING, Any

import pytest
from support.browser.open_pages import with_room
from support.browser.pages import needs_browser
from support.browser.screen_modules import evaluated, modules, needs_node
from support.browser.screen_pages import Made, in_phase, ready, shown, until
from support.browser.transitions import PAIRS, STILL

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from playwright.sync_api import Browser, Page

pytestmark = [*needs_browser, needs_node]


def test_every_pair_does_in_the_browser_what_the_table_says(
    chromium: Browser, built: Made, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """All phases times all events: the phase that follows, the actions, what the page shows."""
    table, events = evaluated(
        modules(tmp_path / "modules"),
        'import {TABLE, EVENTS} from "./room/machine.js";',
        "[TABLE, EVENTS]",
    )
    pairs = [(phase, event) for phase in table for event in events]
    page_file = with_room(built.room, tmp_path / "room")
    with shown(chromium, page_file) as page:
        ready(page)
        page.focus("#main")
        seen = page.evaluate(PAIRS, [pairs, sorted(STILL)])
        page.evaluate("room.machine.phase = 'ended'")
    record_property("n_pairs", len(seen))

    assert len(seen) == len(table) * len(events) >= 300
    for phase, event, after, done, drawn, _, is_silent in seen:
        row = table[phase].get(event)
        assert after == (row["to"] if row else phase), (phase, event)
        assert done == (row["does"] if row else []), (phase, event)
        assert is_silent, (phase, event)
        if row:
            assert drawn == after, (phase, event)


WALK_KEYS = ("Space", "Space", "Space", "Enter", "Tab", "Shift+Tab", "Escape", "ArrowRight", "a")
WALK_CLICKS = (
    *("#main", "#main", "#second", "#captions", "#view", "#larger", "#smaller", "#level"),
    *("#reason", "#detail", "#entries", "h1", "#c-question", "#caption-larger"),
)

WATCH = """() => {
    window.bad = [];
    window.sounding_ms = 0;
    let last = performance.now();
    const sound = document.getElementById("sound");
    const check = document.getElementById("check-sound");
    setInterval(() => {
        const now = performance.now();
        const {phase} = room.machine;
        if (!sound.paused && ["paused", "halted", "offered", "untested", "ready"].includes(phase)) {
            window.bad.push(`sound during ${phase}`);
        }
        if (!sound.paused && !check.paused) window.bad.push("two at once");
        if (phase === "playing") window.sounding_ms += now - last;
        last = now;
    }, 5);
}"""

SUMS = """() => {
    const {log, run, steady, machine, media} = room;
    const sums = run.sums(machine.phase, steady.now_ms);
    const rows = log.entries;
    const from = rows.findLastIndex(one => /^started(?! without)/.test(one.what));
    const since = rows.slice(from + 1);
    const open = run.row >= 0 ? steady.now_ms - run.rowSince_ms : 0;
    return {
        all_ms: sums.all_ms, played_ms: sums.played_ms, stopped_ms: sums.stopped_ms,
        logged_ms: open + since.filter(one => one.what !== "ended")
            .reduce((sum, one) => sum + (one.lasted_ms ?? 0), 0),
        moved_ms: since.reduce((sum, one) => sum + one.moved_ms, 0),
        place_ms: 1000 * media.now_s, phase: machine.phase, rows: since.length,
        dated_ms: (machine.phase === "ended" ? rows.at(-1).at : Date.now()) - rows[from].at,
    };
}"""


def _walk(page: Page, rng: random.Random, n_presses: int) -> None:
    for _ in range(n_presses):
        if rng.random() < 0.5:
            page.keyboard.press(rng.choice(WALK_KEYS))
        else:
            page.evaluate(
                "name => { const one = document.querySelector(name);"
                " if (one && one.getClientRects().length) { one.focus(); one.click(); } }",
                rng.choice(WALK_CLICKS),
            )
        page.wait_for_timeout(rng.choice((0, 0, 10, 40, 800)))


def _goes_on(page: Page) -> None:
    """Leave the candidates' screen, and let the test go on where it stands still."""
    page.keyboard.press("Escape") if page.is_hidden("#staff") else None
    page.wait_for_timeout(750)
    if page.evaluate("['paused', 'halted'].includes(room.machine.phase)"):
        page.evaluate("room.send('press')")


@pytest.mark.real_time
@pytest.mark.parametrize("n_presses", [200, pytest.param(2000, marks=pytest.mark.long)])
def test_a_random_walk_does_no_harm(
    chromium: Browser,
    built: Made,
    tmp_path: Path,
    n_presses: int,
    record_property: Callable[[str, object], None],
) -> None:
    """Presses and clicks at random: no sound while it stands still, never two, sums that add up.

    All time since the start is played or stopped; the rows of the log hold what was stopped; and
    where the track is, is what was played and what it was moved by.
    """
    rng = random.Random(20_311)  # noqa: S311  no secret
    page_file = with_room(built.room, tmp_path / "room")
    worst: dict[str, float] = {"clock": 0, "log": 0, "place": 0}
    n_done = 0
    with shown(chromium, page_file) as page:
        while n_done < n_presses:
            ready(page)
            page.evaluate(WATCH)
            page.click("#second")
            in_phase(page, "playing")
            while n_done < n_presses and page.evaluate("room.machine.phase") != "ended":
                _walk(page, rng, 20)
                n_done += 20
                _note_worst(page.evaluate(SUMS), worst)
                if page.evaluate("room.machine.phase") != "playing":
                    _goes_on(page)
            assert page.evaluate("window.bad") == []
            if page.evaluate("room.machine.phase") != "ended":
                _goes_on(page)
                until(page, "room.machine.phase !== 'starting'")
            page.evaluate("room.machine.phase = 'ended'; room.interruption.keepPlace()")
            page.wait_for_timeout(300)
            page.reload()
    record_property("n_presses", n_done)
    record_property("worst_ms", json.dumps({name: round(ms, 1) for name, ms in worst.items()}))

    assert worst["clock"] <= 100
    assert worst["log"] <= 100
    assert worst["place"] <= 1000  # every start of the sound costs some hundredths of a second


def _note_worst(sums: dict[str, Any], worst: dict[str, float]) -> None:
    """Keep how far the sums were from the clock, the log from the sums, the place from both."""
    off = {
        "clock": sums["all_ms"] - sums["dated_ms"],
        "log": sums["logged_ms"] - sums["stopped_ms"],
        "place": sums["place_ms"] - sums["moved_ms"] - sums["played_ms"],
    }
    for name, ms in off.items():
        worst[name] = max(worst[name], abs(ms))
