"""The transcript as a page: the words of the plain one, headings, languages, nothing withheld."""

from __future__ import annotations

import hashlib
import re
from base64 import b64encode
from html.parser import HTMLParser
from typing import TYPE_CHECKING

import pytest
from pausewright.captions.transcript import transcript
from pausewright.captions.transcript_page import instructions_of, transcript_page
from pausewright.deliver.build import Options, build
from support.tracks.sound_samples import at_samples, laid_out, say, small_test, wait
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from pathlib import Path

LANGUAGES = """---
title: "Market <words> & signs"
language: en-GB
voice: joe
announce: "Number {number}."
accept-voice-language: "tests"
---

# First steps

Say [dos]{lang="es"} after dos: [dos panes]{lang="es"}. Then wait.

[Hola a todos.]{lang="es"}

1. How many zebrafish? {key="QUOKKA" sheet="PANGOLIN" answer-time="2 s"}

::: staff-note
TAPIR
:::

# Last steps

The test is over.
"""


class Reader(HTMLParser):
    """The standard library's reader of HTML: what is marked how."""

    def __init__(self, page: str) -> None:
        """Read a page."""
        super().__init__()
        self.found: list[tuple[str, str, str]] = []
        """Element, language in force and text of everything visible, in order."""
        self._open: list[tuple[str, str]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element and its language."""
        if tag != "meta":
            language = dict(attrs).get("lang") or (self._open[-1][1] if self._open else "")
            self._open.append((tag, language))

    def handle_endtag(self, tag: str) -> None:
        """Close an element: the last that was opened."""
        assert self._open.pop()[0] == tag

    def handle_data(self, data: str) -> None:
        """Note a text."""
        if data.strip() and self._open[-1][0] not in {"style", "title"}:
            self.found.append((*self._open[-1], data))


def page_of(text: str) -> str:
    """Return a page's visible words in one line, as a browser joins them."""
    body = re.sub(r"<(?:/?(?:b|span)\b[^>]*)>", "", text[text.index("<body>") :])
    return " ".join(re.sub(r"<[^>]*>", " ", body).split())


def test_the_page_holds_the_words_of_the_plain_transcript() -> None:
    """Word for word, speakers included; titles of parts are headings of the second level."""
    steps = [*small_test(), wait("2"), say("Hello?", speaker="Marta"), say("Me.", speaker="Jo")]
    timeline = laid_out(steps)
    page = transcript_page(timeline, title="Road", language="en-GB", label="A", edition="K7M2")
    heading = ["Road", "Version A · edition K7M2"]

    assert page_of(page).split() == transcript(timeline, heading=heading, words="shown").split()
    assert [row for row in Reader(page).found if row[0] in {"h1", "h2", "b"}] == [
        ("h1", "en-GB", "Road"),
        ("h2", "en-GB", "Road"),
        ("b", "en-GB", "Marta:"),
        ("b", "en-GB", "Jo:"),
    ]


def test_instructions_with_their_times_by_hand() -> None:
    """Minutes and the whole seconds gone by, worked out by hand; questions are withheld."""
    timeline = at_samples(
        1_000,
        (say("Listen."), 999, 1_900),
        (wait("0.4", "pause"), 1_900, 2_300),
        (say("Write."), 2_300, 3_000),
        (wait("56.999"), 3_000, 59_999),
        (say("How many?", role="question"), 59_999, 60_500),
        (wait("3540.5"), 60_500, 3_601_000),
        (say("Stop.", speaker="Jo"), 3_601_000, 3_602_000),
    )
    page = transcript_page(
        instructions_of(timeline), title="Road", language="en", label="A", edition="K", timed=True
    )

    assert page_of(page).endswith(" 0:00 Listen. Write. 60:01 Jo: Stop.")
    assert re.findall('datetime="(.*?)"', page) == ["PT0S", "PT3601S"]


def test_the_transcript_tells_no_time() -> None:
    """What candidates get by themselves is untimed; only the page for staff to give has times."""
    page = transcript_page(
        laid_out(small_test()), title="Road", language="en", label="A", edition="K7M2"
    )

    assert "<time" not in page
    assert not re.search(r"\d:\d\d", page_of(page))


@pytest.fixture(scope="module")
def built_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the page of a test in two languages, built with a fake voice."""
    folder = tmp_path_factory.mktemp("market")
    (folder / "market.md").write_text(LANGUAGES, encoding="utf-8")
    built = build(
        folder / "market.md",
        Options(
            folder / "out", ("wav",), engines=fake_engines(FakeEngine(ramp_s=0.02)),
            profiles=fake_profiles(folder),
        ),
    )  # fmt: skip
    return next(file for file in built.files if file.name.endswith("_transcript.html"))


def test_languages_are_marked_where_they_change(built_page: Path) -> None:
    """Words of a span (WCAG 2.2, 3.1.2) and whole sentences; equal letters in English are not."""
    page = built_page.read_text("utf-8")

    assert '<html lang="en-GB">' in page
    assert [row for row in Reader(page).found if row[1] == "es"] == [
        ("span", "es", "dos"),
        ("span", "es", "dos panes"),
        ("span", "es", "Hola a todos."),
    ]
    assert "Say <span" in page
    assert "after dos: <span" in page


def test_nothing_withheld_is_in_the_source(built_page: Path) -> None:
    """No word of a question, no key, no sheet and no note; the plain transcript lies beside it."""
    page = built_page.read_text("utf-8")

    assert "Number 1." in page
    for word in ("zebrafish", "quokka", "pangolin", "tapir"):
        assert word not in page.lower()
    plain = built_page.with_suffix(".txt").read_text("utf-8")
    shown = page_of(page).replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
    assert shown.split() == plain.split()


def test_hostile_words_stay_words() -> None:
    """Markup, entities and right-to-left marks in words and names are text (nothing is lost)."""
    words = "</p><script>alert(1)</script> &amp; \u202eabc --> e\u0301"
    timeline = laid_out([say(words, speaker='<b onclick="x">')])
    page = transcript_page(timeline, title=words, language="en", label="A", edition="K7M2")
    texts = [text for tag, _, text in Reader(page).found if tag in {"h1", "p", "b", "span"}]

    assert "<script" not in page
    assert "".join(texts).count(words) == 2
    assert '<b onclick="x">:' in texts


def test_the_page_loads_nothing_and_allows_its_own_style_alone() -> None:
    """The policy names the hash of the very style sheet (Content Security Policy, level 2)."""
    page = transcript_page(
        laid_out(small_test()), title="Road", language="en", label="A", edition="K7M2"
    )
    found = re.search(r"<style>(.*?)</style>", page, re.DOTALL)
    assert found
    digest = b64encode(hashlib.sha256(found[1].encode()).digest()).decode()

    assert f"default-src 'none'; style-src 'sha256-{digest}'" in page
    assert not re.search(r"(?:src|href|url)\s*[=(]", page)
