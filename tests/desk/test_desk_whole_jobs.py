"""Three whole jobs by the keyboard alone in Chromium and in Firefox, each from the first page on.

The steps are counted: a field, a box, a button or a link each. The limits are the project's own:
what a job took when it was written, and may not take more of.
"""

from __future__ import annotations

import contextlib
import shutil
import time
from typing import TYPE_CHECKING

import pytest
from pausewright.voice.store import FOLDER
from support.browser.firefox import needs_firefox
from support.browser.pages import needs_browser
from support.desks.browser import ChromiumScreen, desk_page
from support.desks.client import started
from support.desks.firefox import FirefoxScreen
from support.desks.keyboard import JOB_MS, Keyboard
from support.desks.screens import Thing

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from contextlib import AbstractContextManager
    from pathlib import Path

    from support.desks.screens import Screen

    At = AbstractContextManager[Screen]

pytestmark = pytest.mark.voice

PAGE = """Tide table

1. What is 7 times 8?
Answer: 56
2. What is 9 times 3?
Answer: 27
"""
"""As it comes from a word processor: no job needs a word that is meant for the program."""
IN_FIREFOX = "firefox"
a_whole_job = pytest.mark.timeout(1800)
"""Some seconds on an idle machine, each with a track that is voiced, checked and played."""


CHROMIUM = pytest.param("chromium", marks=needs_browser)
FIREFOX = pytest.param(IN_FIREFOX, marks=needs_firefox)


@pytest.fixture(scope="module")
def at_desk(request: pytest.FixtureRequest) -> Iterator[Callable[[Path], At]]:
    """Return what gives a screen that was let in to the desk of a folder."""
    if request.param == IN_FIREFOX:
        firefox = FirefoxScreen()
        yield firefox.at_desk
        firefox.end()
        return
    browser = request.getfixturevalue("browser")

    @contextlib.contextmanager
    def opened(folder: Path) -> Iterator[Screen]:
        with desk_page(browser, folder) as page:
            yield ChromiumScreen(page)

    yield opened


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return where takes are kept between the jobs, so that one of them voices for all."""
    return tmp_path_factory.mktemp("kept")


@pytest.fixture
def folder(tmp_path: Path, kept: Path) -> Iterator[Path]:
    """Return a folder with a desk on it, empty but for takes that an earlier job has voiced."""
    place = tmp_path / "tests"
    shutil.copytree(kept, place)
    with started(place):
        yield place
    shutil.copytree(place / FOLDER, kept / FOLDER, dirs_exist_ok=True)


def begin(keys: Keyboard) -> None:
    """Begin a test with a page that is pasted."""
    keys.link("begin with a page of questions")
    keys.write("The page", PAGE)
    keys.write("What is it called?", "Tide table")
    keys.write("How long to answer, in seconds?", "4")
    keys.button("Begin with this page")
    keys.waits_for("2 questions found")
    keys.link("Look at the words")


def make(keys: Keyboard) -> None:
    """Make all versions, as they are offered."""
    keys.button("Make it and check it")
    keys.waits_for("Made, and the check found it good")


def was_heard(keys: Keyboard) -> bool:
    """Wait until the track was played; False where the browser says that it can play nothing.

    Firefox plays nothing on a machine without a sound device; Chromium has a silent one.
    """
    until_s = time.monotonic() + 120
    while time.monotonic() < until_s:
        if keys.screen.is_shown(Thing("words", "heard: 2 of 2 questions"), 500):
            return True
        if keys.screen.is_shown(Thing("words", "is there a sound device?"), 500):
            return False
    raise AssertionError(f"it was neither heard nor refused: {keys.shown()}")


@pytest.mark.parametrize("at_desk", [CHROMIUM, FIREFOX], indirect=True)
@a_whole_job
def test_the_teacher_gets_a_captioned_track(folder: Path, at_desk: Callable[[Path], At]) -> None:
    """Pasted words become a track with captions; the track is played and counts as heard."""
    with at_desk(folder) as screen:
        keys = Keyboard(screen)
        begin(keys)
        keys.link("Make", exact=True)
        make(keys)
        keys.link("Listen to it")
        keys.waits_for("not heard by a person yet")
        keys.link("Play what nobody has heard yet: question 1")
        was_heard(keys)
        keys.link("Papers and files", exact=True)
        assert screen.is_shown(Thing("link", "captions"))

    built = folder / "out" / "tide-table" / "version-A"
    assert list(built.glob("*.vtt"))
    assert list(built.glob("*.mp3"))
    assert len(keys.steps) <= 11, keys.steps
    assert keys.n_keys <= 200  # Tab passes the cards on the way to the text


@pytest.mark.parametrize("at_desk", [CHROMIUM, FIREFOX], indirect=True)
@a_whole_job
def test_the_coordinator_shows_that_two_versions_are_right(
    folder: Path, at_desk: Callable[[Path], At]
) -> None:
    """Two versions side by side, made, checked again as a whole against the words; signed for."""
    with at_desk(folder) as screen:
        keys = Keyboard(screen)
        begin(keys)
        keys.link("Versions", exact=True)
        keys.write("What does the office call it?", "slower speech")
        keys.write("Why is it permitted?", "Access file 14/B")
        keys.write("Slower speech", "80")
        keys.button("Add it and lay all side by side")
        keys.waits_for("All versions side by side")
        keys.link("Back to the versions")
        keys.link("Make", exact=True)
        make(keys)
        keys.link("Check a file")
        keys.choose("File or folder", "out/tide-table/")
        keys.choose_in(Thing("part", "form[action='/check'] select[name='test']"), "Tide")
        keys.button("Check this")
        assert screen.is_shown(Thing("part", ".verdict"), JOB_MS)
        verdict = screen.text(".verdict")
        keys.link("Tests", exact=True)
        keys.link("Tide table", exact=True)
        keys.link("Listen and sign", exact=True)
        keys.write("Your name", "Coordinator 3")
        keys.tick("I have heard the whole track")
        keys.button("Sign")
        keys.waits_for("Signed for sound by Coordinator 3")

    assert "0 errors" in verdict
    assert "not good" not in verdict.lower()
    assert (folder / "tide-table.signatures.json").is_file()
    assert list((folder / "out" / "tide-table" / "version-B").glob("*.mp3"))
    assert len(keys.steps) <= 24, keys.steps
    assert keys.n_keys <= 400


@pytest.mark.parametrize("at_desk", [CHROMIUM, FIREFOX], indirect=True)
@a_whole_job
def test_the_officer_changes_one_word_in_the_morning(
    folder: Path, at_desk: Callable[[Path], At], tmp_path: Path
) -> None:
    """A misprint: what must be made, printed, replaced; made; the stick written and read back."""
    stick = tmp_path / "stick"
    stick.mkdir()
    with at_desk(folder) as screen:
        evening = Keyboard(screen)
        begin(evening)
        evening.link("Make", exact=True)
        make(evening)
        evening.link("Rooms and sticks", exact=True)
        evening.write("Candidate's code, row 1", "C101")
        evening.write("Room, row 1", "Hall")
        evening.button("Save the list")
        evening.button("Lay out the rooms")
        evening.waits_for("1 room laid out")

        keys = Keyboard(screen)
        keys.link("Tests", exact=True)
        keys.link("Tide table", exact=True)
        keys.to(Thing("field", "What is asked, Question 2"))
        keys.press("End")
        keys.press("ArrowLeft")
        keys.press("Backspace")
        screen.type("4")
        keys.steps.append("change the word")
        keys.waits_for("Saved.")
        keys.link("What changed", exact=True)
        keys.button("See what changed since it was made")
        keys.waits_for("1 thing changed")
        shown = keys.shown()
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
        told = keys.shown()

    assert "9 times 4" in (folder / "tide-table.md").read_text("utf-8")
    for head in ("To be made again", "To be heard again", "To be replaced in the rooms"):
        assert head in shown
    assert "question 2" in shown
    assert "Hall" in shown
    assert "every file is the one that is laid out here now" in told
    assert list(stick.rglob("*.mp3"))
    assert len(keys.steps) <= 12, keys.steps
    assert keys.n_keys <= 450
