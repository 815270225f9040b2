"""Words of the candidates' screen: in the language of the script, or all of them in English."""

from __future__ import annotations

import re
import shutil
import wave
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from pausewright.captions.cues import Cue
from pausewright.plan.steps import steps
from pausewright.plan.timeline import timeline
from pausewright.screen.room_screen import room_screen
from pausewright.script.silences import CANDIDATES
from pausewright.wording.screen_words import screen_words
from support.browser.open_pages import with_room
from support.browser.pages import needs_browser
from support.browser.screen_modules import evaluated, modules, needs_node
from support.browser.screen_pages import SHORT, island, ready, shown
from support.scripts.short_scripts import worded

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser

OTHERS = ("cy", "de", "fr", "es")
FIELDS = re.compile(r"\{\w+\}")


@pytest.mark.parametrize("tag", OTHERS)
def test_each_language_has_every_word_of_its_own(tag: str) -> None:
    """The same names and fields as in English, and no English among them."""
    own, english = screen_words(tag), screen_words("en-GB")
    assert own.language == tag
    assert english.language == "en"
    assert set(own.words) == set(english.words) >= set(CANDIDATES)
    for name, words in own.words.items():
        assert sorted(FIELDS.findall(words)) == sorted(FIELDS.findall(english.words[name])), name
    same = {name for name, words in own.words.items() if words == english.words[name]}
    assert same <= ({"question", "questions"} if tag == "fr" else set())


def test_a_language_without_a_table_has_english_words_and_says_so() -> None:
    """Never a mixture, and the page tells screen readers which language it is."""
    assert screen_words("it-IT") == screen_words("en-GB")


@pytest.fixture(params=["de-DE", "cy-GB", "it-IT"])
def page(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[str, Path]:
    """Return a language, and the room screen of a script in it."""
    found = worded(tmp_path, SHORT)
    settings = replace(found.script.settings, language=request.param)
    script = replace(found.script, settings=settings)
    line = timeline(steps(found), lambda _: 8000, 8000)
    track = tmp_path / "short.wav"
    with wave.open(str(track), "wb") as opened:
        opened.setnchannels(1)
        opened.setsampwidth(2)
        opened.setframerate(8000)
        opened.writeframes(bytes(2 * line.n_samples))
    file = tmp_path / "page.html"
    cue = Cue("1", 0, 10, ("Eins",))
    text = room_screen(script, line, [cue], track, label="A", edition="2GS7QW")
    file.write_text(text, encoding="utf-8")
    return request.param, file


def test_the_page_holds_them(page: tuple[str, Path]) -> None:
    """What is asked, the silences and the buttons of the captions; the part says its language."""
    tag, file = page
    expected = screen_words(tag)
    data, text = island(file), file.read_text("utf-8")
    assert data["words"] == {**expected.words, "language": expected.language}
    assert {one[5][0] for one in data["stretches"] if one[5]} == {expected.words["question"]}
    assert expected.words["answer-time"] in {one[2] for one in data["silences"]}
    (tagged,) = re.findall(r'<main id="candidates" lang="([^"]*)"', text)
    assert tagged == expected.language
    assert f"<summary>{expected.words['captions']}</summary>" in text


@needs_node
def test_lengths_in_signs_are_the_same_in_every_language(tmp_path: Path) -> None:
    """Minutes and seconds by their international signs (BIPM, SI Brochure: min, s)."""
    call = "[0, 5, 60, 65, 3600].map(lengthInSigns)"
    imports = 'import {lengthInSigns} from "./shared/words.js";'
    assert evaluated(modules(tmp_path), imports, call) == [
        "0 s", "5 s", "1 min", "1 min 5 s", "60 min",
    ]  # fmt: skip


class TestInTheBrowser:
    """What candidates read."""

    pytestmark = needs_browser

    def test_candidates_read_them(
        self, chromium: Browser, page: tuple[str, Path], tmp_path: Path
    ) -> None:
        """Before the start; in an answer time with its number and what is left of it."""
        tag, file = page
        words = screen_words(tag).words
        data = island(file)
        copy = with_room(_alone(file, tmp_path / "alone"), tmp_path / "room")
        with shown(chromium, copy) as opened:
            ready(opened)
            opened.click("#view")
            assert opened.inner_text("#c-number") == words["please-wait"]
            answer = next(one for one in data["silences"] if one[2] == words["answer-time"])
            drawn = opened.evaluate(DRAW, (answer[0] + 1000) / 1000)
            assert drawn["c-name"] == words["question"]
            assert drawn["c-of"] == words["of"].replace("{n}", "2")
            assert drawn["c-doing"] == words["write"]
            says = drawn["time-says"]
            assert says.startswith(f"{words['answer-time']}")
            assert ("second" in says) == (screen_words(tag).language == "en")
            assert "1 s" in says


DRAW = """s => {
    room.candidates.draw("playing", s);
    return Object.fromEntries(["c-name", "c-of", "c-doing", "time-says"].map(
        id => [id, document.getElementById(id).textContent]));
}"""


def _alone(file: Path, folder: Path) -> Path:
    """Return a copy of a page and its track in a folder of their own."""
    folder.mkdir()
    for one in (file, file.with_name("short.wav")):
        shutil.copy(one, folder)
    return folder / file.name
