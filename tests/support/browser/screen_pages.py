"""Room and reader's screens of short tracks with a fake voice, and a browser for them."""

from __future__ import annotations

import contextlib
import json
import re
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pausewright.deliver.build import Options, build

from support.browser.pages import context_of, launched
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from pausewright.screen.room_screen import Sound
    from pausewright.sound.track_files import Format
    from playwright.sync_api import Browser, Page

    from support.browser.pages import Look

SHORT = """---
title: Harbour morning
language: en-GB
voice: joe
readings: 2
between-readings: 0.8 s
announce: "Number {number}."
show-time: yes
---

# Opening

There are [two]{states="questions"} questions.

::: stop {for="2 s"}
Ask now.
:::

# Test {answer-time="2 s"}

1. Zebrafish or quokka? {key="AXOLOTL" sheet="PANGOLIN"}
2. Two narwhals swim. {key="OKAPI"}

    ::: staff-note
    TAPIR
    :::

# End

Stop.
"""
"""About 20 s: a stop after 3 s, two questions read twice, a last word."""

LONG_OPENING = SHORT.replace("There are", "Please listen. " * 25 + "There are")
"""The same with its stop much later: for hands that are at work while it plays, and may be slow."""

WITHHELD = ("zebrafish", "quokka", "narwhal", "swim", "axolotl", "pangolin", "okapi", "tapir")
"""Words of questions, keys, sheets and notes of `SHORT`; none may be in the room's folder."""


@dataclass(frozen=True)
class Made:
    """The pages of a built track."""

    room: Path
    reader: Path
    track: Path

    @property
    def data(self) -> dict[str, Any]:
        """What the room screen knows."""
        return island(self.room)


def island(page: Path) -> dict[str, Any]:
    """Return the data that a page holds."""
    found = re.search(r'id="data">(.*?)</script>', page.read_text("utf-8"), re.DOTALL)
    assert found
    data: dict[str, Any] = json.loads(found[1])
    return data


def made(
    folder: Path, text: str = SHORT, *, kind: Format = "flac", sound: Sound = "beside"
) -> Made:
    """Build a script with the fake voice and return its pages."""
    folder.mkdir(parents=True, exist_ok=True)
    script = folder / "short.md"
    script.write_text(text, encoding="utf-8")
    built = build(
        script,
        Options(
            folder / "out", (kind,), engines=fake_engines(FakeEngine(ramp_s=0.02)),
            profiles=fake_profiles(folder), screen=sound,
        ),
    )  # fmt: skip
    (room,) = (built.folder / "version-A").glob("*_room-screen.html")
    (reader,) = (built.folder / "print" / "staff").glob("*_reader-screen.html")
    track = room.with_name(room.name.replace("_room-screen.html", f".{kind}"))
    return Made(room, reader, track)


@contextlib.contextmanager
def browser() -> Iterator[Browser]:
    """Give the system's Chromium."""
    found = launched()
    try:
        yield found
    finally:
        found.close()


@contextlib.contextmanager
def shown(
    chromium: Browser, file: Path, look: Look | None = None, *, before: str = "", expects: str = ""
) -> Iterator[Page]:
    """Give a page in a profile of its own, offline; it may ask for its own folder's files alone.

    `before` is JavaScript that runs before the page's own; a complaint on the console fails
    unless it holds `expects`.
    """
    with context_of(chromium, look) as context:
        page = context.new_page()
        if before:
            page.add_init_script(before)
        with watched(page, file.parent, expects):
            page.goto(file.as_uri())
            yield page


@contextlib.contextmanager
def watched(page: Page, folder: Path, expects: str = "") -> Iterator[None]:
    """Fail if a page asks for anything outside a folder, or complains."""
    asked: list[str] = []
    complaints: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("dialog", lambda dialog: dialog.accept())
    yield
    allowed = (folder.as_uri(), "blob:")
    assert [url for url in asked if not url.startswith(allowed)] == []
    assert [text for text in complaints if not expects or expects not in text] == []


def until(page: Page, condition: str, *, within_s: float = 60) -> Any:
    """Return the value of a JavaScript expression as soon as it is true."""
    end_s = time.monotonic() + within_s
    while time.monotonic() < end_s:
        if value := page.evaluate(condition):
            return value
        page.wait_for_timeout(20)
    raise AssertionError(f"never came: {condition}; the page says: {page.inner_text('main')}")


def texts_when(page: Page, condition: str, *ids: str) -> list[str]:
    """Return the texts of parts of a page in the very moment in which a condition is true."""
    texts = f"{json.dumps(ids)}.map(id => document.getElementById(id).textContent)"
    found: list[str] = until(page, f"({condition}) && {texts}")
    return found


def note_start(page: Page) -> None:
    """Have the page note as `began` from where its sound plays next; it goes on at once."""
    page.evaluate(
        "() => { const sound = document.getElementById('sound');"
        " sound.addEventListener('play', () => { window.began = sound.currentTime; }); }"
    )


def ready(page: Page) -> Page:
    """Wait until the page can be started, its sound not tested yet."""
    until(page, "document.body.dataset.phase === 'untested'")
    return page


def begin(page: Page) -> Page:
    """Wait until the page can be started, and start it without a test of the sound."""
    ready(page).click("#second")
    return page


def phase(page: Page) -> str:
    """Return the phase of the machine."""
    return str(page.evaluate("document.body.dataset.phase"))


def in_phase(page: Page, name: str) -> Page:
    """Wait for a phase."""
    until(page, f"document.body.dataset.phase === '{name}'")
    return page


def place_s(page: Page) -> float:
    """Return where the recording is."""
    return float(page.evaluate("document.getElementById('sound').currentTime"))


def says(page: Page) -> str:
    """Return the status sentence."""
    return page.inner_text("#says")


def press(page: Page, key: str = "Enter") -> None:
    """Press a key on the main button, after the time in which a second press is a slip.

    On the candidates' screen there is no button: there only the space bar does anything.
    """
    page.wait_for_timeout(750)
    if page.is_visible("#main"):
        page.focus("#main")
    page.keyboard.press(key)


def wait_for_stop(page: Page) -> None:
    """Wait until the recording waits at a stop."""
    in_phase(page, "halted")


def eventually(call: Callable[[], bool], *, within_s: float = 30) -> bool:
    """Return whether a call becomes true in time."""
    end_s = time.monotonic() + within_s
    while time.monotonic() < end_s:
        if call():
            return True
        time.sleep(0.02)
    return False
