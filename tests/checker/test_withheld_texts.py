"""Words that may not be read, where no caption and no transcript is: pages, tags, notes."""

from __future__ import annotations

import re
import shutil
from typing import TYPE_CHECKING

import pytest
from mutagen.flac import FLAC
from mutagen.id3 import COMM, ID3, SYLT, TIT2, TXXX, USLT
from pausewright.checker.promises.events import Said, Shown
from pausewright.checker.promises.withheld import withheld
from pausewright.checker.shown.other_texts import (
    other_texts,
    own_words_of_code,
    own_words_of_page,
)
from pausewright.deliver.recheck import recheck
from pausewright.problems import Place
from support.rooms.layouts import codes
from support.tracks.delivered_tests import built_test, stick
from support.voices.fake_voice import UNLIKE_SPEECH

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pausewright.deliver.build import Built

SCRIPT = """---
title: Lantern walk
language: en-GB
voice: joe
readings: 2
between-readings: 0.8 s
captions: instructions
---

# Only {answer-time="1 s"}

Listen.

1. How many legs do six spiders have? {key="48"}
2. How many rivers are there? {key="QUOKKA"}

# End

Thank you.
"""
ASKED = "How many legs do six spiders have? 48"


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """Return a test whose captions show its instructions alone."""
    return built_test(tmp_path_factory.mktemp("office"), SCRIPT, formats=("mp3", "flac"))


@pytest.fixture
def copied(built: Built, tmp_path: Path) -> Path:
    """Return the script beside a copy of the folder of its version."""
    stick(built, tmp_path / "version-A")
    shutil.copy(built.folder.parent.parent / "morning.md", tmp_path / "morning.md")
    return tmp_path


def found_in(folder: Path, ending: str = ".mp3") -> list[str]:
    """Return what the check says of a track, but for what its voice is known for."""
    track = next(
        one for one in (folder / "version-A").glob(f"*{ending}") if "_sound-check" not in one.name
    )
    found = recheck(track, script=folder / "morning.md")
    return [one for one in codes(found) if one not in UNLIKE_SPEECH]


def in_page(*change: str) -> Callable[[Path], None]:
    """Return what writes into a room screen: text after a mark."""
    mark, more = change

    def write(folder: Path) -> None:
        (page,) = folder.glob("*_room-screen.html")
        text = page.read_text("utf-8")
        assert mark in text
        page.write_text(text.replace(mark, mark + more, 1), "utf-8")

    return write


def in_captions(more: str, ending: str = ".vtt") -> Callable[[Path], None]:
    """Return what adds a block to a caption file."""

    def write(folder: Path) -> None:
        (file,) = folder.glob(f"*{ending}")
        file.write_text(f"{file.read_text('utf-8').rstrip()}\n\n{more}\n", "utf-8")

    return write


def in_tags(*frames: object) -> Callable[[Path], None]:
    """Return what adds frames to an MP3's tags."""

    def write(folder: Path) -> None:
        (track,) = (one for one in folder.glob("*.mp3") if "_sound-check" not in one.name)
        tags = ID3(track)
        for frame in frames:
            tags.add(frame)
        tags.save()

    return write


def in_a_chapter(folder: Path) -> None:
    """Write into the name of a chapter of an edition that is not told."""
    (track,) = (one for one in folder.glob("*.mp3") if "_sound-check" not in one.name)
    tags = ID3(track)
    chapter = next(frame for name, frame in tags.items() if name.startswith("CHAP"))
    chapter.sub_frames["TIT2"].text = [ASKED]
    tags.save()


@pytest.mark.parametrize(
    "leak",
    [
        in_page("<body>", f"<h2>{ASKED}</h2>"),
        in_page("<body>", "<h2>48</h2>"),
        in_page("<body>", f"<p hidden>{ASKED}</p>"),
        in_page("<body>", f'<p title="{ASKED}"></p>'),
        in_page("<body>", '<p title="QUOKKA"></p>'),
        in_page("<body>", f'<p data-more="{ASKED}"></p>'),
        in_page("<body>", f"<!-- {ASKED} -->"),
        in_page("<body>", f"<script>let more = '{ASKED}';</script>"),
        in_page("<body>", "<script>let more = 'How many \\u006cegs do six spiders';</script>"),
        in_page("<body>", f"<style>p::after {{ content: '{ASKED}'; }}</style>"),
        in_page('id="data">{', f'"more":"{ASKED}",'),
        in_page('id="data">{', '"more":["How","many","\\u006cegs","do","six"],'),
        in_page("<title>", "spiders "),
        in_captions(f"NOTE {ASKED}"),
        in_captions(f"NOTE\n{ASKED}"),
        in_captions(f"STYLE\n/* {ASKED} */"),
        in_captions(ASKED, ".srt"),
        in_tags(USLT(encoding=3, lang="eng", desc="", text=ASKED)),
        in_tags(COMM(encoding=3, lang="eng", desc="", text=ASKED)),
        in_tags(TXXX(encoding=3, desc="MORE", text=ASKED)),
        in_tags(TIT2(encoding=3, text=ASKED)),
        in_tags(SYLT(encoding=3, lang="eng", format=2, type=1, desc="", text=[(ASKED, 0)])),
        in_a_chapter,
    ],
)
def test_words_that_may_not_be_read_are_found(leak: Callable[[Path], None], copied: Path) -> None:
    """In each place where somebody could read them, seen or not."""
    leak(copied / "version-A")

    assert "error withheld-shown" in found_in(copied)


def test_the_source_of_a_transcript_is_read(copied: Path) -> None:
    """What its page does not say stands there all the same."""
    (page,) = (copied / "version-A").glob("*_transcript.html")
    page.write_text(page.read_text("utf-8").replace("<body", f'<body data-x="{ASKED}"'), "utf-8")

    assert found_in(copied) == ["error withheld-shown"]


def test_tags_of_flac_are_read(copied: Path) -> None:
    """Fields of any name."""
    assert found_in(copied, ".flac") == []
    (track,) = (copied / "version-A").glob("*_??????.flac")
    tags = FLAC(track)
    tags["LYRICS"] = ASKED
    tags.save()

    assert found_in(copied, ".flac") == ["error withheld-shown"]


@pytest.mark.parametrize(
    "harmless",
    [
        lambda _: None,
        in_page("<body>", "<p>Thank you. Listen.</p>"),
        in_captions("NOTE made on a Tuesday, how many captions there are is 4"),
        in_tags(COMM(encoding=3, lang="eng", desc="", text="How many files have six? 48 kHz")),
    ],
)
def test_other_words_are_none_of_its_business(
    harmless: Callable[[Path], None], copied: Path
) -> None:
    """What may be read, and what has two or three words in common with a question."""
    harmless(copied / "version-A")

    assert found_in(copied) == []


def test_the_line_of_proof_says_so(copied: Path) -> None:
    """A leak in a page is a promise about captions that is not kept."""
    in_page("<body>", f"<h2>{ASKED}</h2>")(copied / "version-A")
    track = next(one for one in (copied / "version-A").glob("*_??????.mp3"))
    (check,) = recheck(track, script=copied / "morning.md").rooms[0].checks

    assert [proof.is_kept for proof in check.proofs if proof.field == "captions"] == [False]


def test_a_run_needs_a_word_of_its_own() -> None:
    """Four words in a row, one of them only where nothing may be read; all of a shorter text."""
    place = Place(None, 1, 1)  # type: ignore[arg-type]
    said = Said("question", None, 1, place, 0, shown=(
        Shown("A boat leaves ", is_visible=False), Shown("at half past nine.", is_visible=False),
    ))  # fmt: skip
    held = withheld([said], ["grey old heron", "two herons"], {"boat", "heron", "herons"})

    assert held.told_in("The boat leaves at noon") == set()
    assert held.told_in("(A boat — leaves at) noon") == {"boat"}
    assert held.told_in("leaves at half past nine") == set()
    assert held.told_in("one grey old heron") == {"heron"}
    assert held.told_in("two herons, old heron") == set()


def test_the_programs_own_page_is_known() -> None:
    """Its texts, those of what it includes, and none of its markup."""
    own = own_words_of_page()

    assert {"Looking …", "Log", "Contrast"} <= {row.strip() for row in own.split("\n")} | set(
        own.split()
    )
    assert "screen-only" not in own
    code = own_words_of_code()
    assert "export" in code
    assert {"clockwork", "held_button"} <= set(re.findall(r"\w+", code))


def test_the_programs_own_code_tells_nothing(built: Built) -> None:
    """Each line of the page as it is built is of code that is known, whatever questions ask."""
    (page,) = (built.folder / "version-A").glob("*_room-screen.html")
    lines = [one.text for one in other_texts([page]) if one.is_code]
    own = set(re.findall(r"\w+", own_words_of_code()))

    assert len(lines) > 1000
    strange = set(re.findall(r"\w+", " ".join(lines))) - own
    assert {word for word in strange if "_" not in word} == set()  # names of whole modules have one


def test_broken_pages_are_read(tmp_path: Path) -> None:
    """Any text is read somehow."""
    page = tmp_path / "a_room-screen.html"
    for source in (
        "<![if spiders",
        "<script>six spiders",
        "<p title='spiders",
        "<!-- spiders",
        "<?spiders",
    ):
        page.write_text(source, "utf-8")
        assert "spiders" in " ".join(one.text for one in other_texts([page])), source
