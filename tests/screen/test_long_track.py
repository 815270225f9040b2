"""A track of three hours: its page opens as soon as that of a quarter of an hour, and stays small.

Made tracks: as many questions as fit, a tone for every sound, written as FLAC block by block.
"""

from __future__ import annotations

import statistics
import time
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import pytest
import soundfile
from pausewright.captions.cues import Cue
from pausewright.plan.steps import steps
from pausewright.plan.timeline import Say, timeline
from pausewright.screen.room_screen import room_screen
from support.browser.open_pages import with_room
from support.browser.pages import needs_browser
from support.browser.screen_pages import in_phase, ready, shown
from support.scripts.short_scripts import HEAD, worded

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pausewright.plan.timeline import Timeline
    from playwright.sync_api import Browser, Page

pytestmark = [*needs_browser, pytest.mark.long]

RATE_HZ = 16_000
SHORT_S, LONG_S = 15 * 60, 3 * 60 * 60
QUESTION_S = Fraction(30)
"""Two readings of two seconds, 1.5 s between them, announcements, an answer time."""
N_OPENED = 7
MOST_RATIO = 2.0
"""The figure of this project, for the time from the address to a page that can be started."""
MOST_MORE_BYTES = 1_000_000
"""So much may a script's memory grow while an hour and a half of the track goes by in jumps."""


def _script(length_s: int) -> str:
    n_questions = int(length_s / QUESTION_S)
    rows = [f"{k}. How many boats are there?" for k in range(1, n_questions + 1)]
    answers = f'\n\n# Test {{answer-time="{QUESTION_S - 8} s"}}\n\n'
    return HEAD + answers + "\n".join(rows) + "\n\n# End\n\nStop.\n"


def _made(folder: Path, length_s: int) -> Path:
    """Write a track and its page, and return the page."""
    folder.mkdir()
    found = worded(folder, _script(length_s))
    line = timeline(steps(found), lambda _: 2 * RATE_HZ, RATE_HZ)
    _write(folder / "track.flac", line)
    cues = [
        Cue(
            str(k), 1000 * one.start_sample // RATE_HZ, 1000 * one.end_sample // RATE_HZ, ("Boats",)
        )
        for k, one in enumerate(line.placed)
        if isinstance(one.step, Say)
    ]
    text = room_screen(found.script, line, cues, folder / "track.flac", label="A", edition="2GS7QW")
    (folder / "page.html").write_text(text, encoding="utf-8")
    return with_room(folder / "page.html", folder.with_name(f"{folder.name}-room"))


def _write(track: Path, line: Timeline) -> None:
    tone = (8000 * np.sin(np.arange(2 * RATE_HZ) / 6)).astype(np.int16)
    with soundfile.SoundFile(
        track, "w", samplerate=RATE_HZ, channels=1, format="FLAC", subtype="PCM_16"
    ) as opened:
        for one in line.placed:
            n_samples = one.end_sample - one.start_sample
            is_heard = isinstance(one.step, Say)
            opened.write(tone[:n_samples] if is_heard else np.zeros(n_samples, np.int16))


def _opened_s(chromium: Browser, page_file: Path) -> float:
    start_s = time.perf_counter()
    with shown(chromium, page_file) as page:
        ready(page)
        return time.perf_counter() - start_s


def _heap_bytes(page: Page) -> int:
    """Return what the page's script holds once everything that is done with is thrown away."""
    devtools = page.context.new_cdp_session(page)
    try:
        devtools.send("HeapProfiler.enable")
        devtools.send("HeapProfiler.collectGarbage")
        devtools.send("HeapProfiler.collectGarbage")
        return int(devtools.send("Runtime.getHeapUsage")["usedSize"])
    finally:
        devtools.detach()


def test_three_hours_open_like_a_quarter_of_an_hour_and_stay_small(
    chromium: Browser, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    """In turn, so that other work on the machine weighs on both; memory after jumps and playing."""
    short, long = _made(tmp_path / "short", SHORT_S), _made(tmp_path / "long", LONG_S)
    _opened_s(chromium, short)
    times = [(_opened_s(chromium, short), _opened_s(chromium, long)) for _ in range(N_OPENED)]
    ratio = statistics.median(b for _, b in times) / statistics.median(a for a, _ in times)

    with shown(chromium, long) as page:
        ready(page).click("#second")
        in_phase(page, "playing")
        heaps = []
        for share in (0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6):
            page.evaluate("s => room.playing.gone(s)", share * LONG_S)
            page.evaluate("room.media.play()")
            page.wait_for_timeout(3000)
            heaps.append(_heap_bytes(page))
        page.evaluate("room.machine.phase = 'ended'")
    record_property("ratio", round(ratio, 2))
    record_property("opened_s", [round(b, 2) for _, b in times])
    record_property("heaps", heaps)

    assert ratio <= MOST_RATIO
    assert max(heaps[2:]) - heaps[1] <= MOST_MORE_BYTES
