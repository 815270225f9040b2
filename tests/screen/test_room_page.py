"""The room screen as a file: what is in it, what is not, and that it stands alone."""

from __future__ import annotations

import base64
import hashlib
import json
import os
import re
from html.parser import HTMLParser
from typing import TYPE_CHECKING

import pytest
from pausewright.captions.cues import Cue
from pausewright.plan.steps import steps
from pausewright.plan.timeline import timeline
from pausewright.problems import OutputError
from pausewright.screen import room_screen as room
from pausewright.screen.bundle import bundle
from pausewright.screen.reader_screen import reader_screen
from pausewright.screen.room_screen import played_track, room_screen
from pausewright.screen.screen_files import sound_of
from pausewright.screen.screen_page import page_data
from support.browser.screen_pages import SHORT, WITHHELD, Made, island, made
from support.scripts.short_scripts import worded

if TYPE_CHECKING:
    from pathlib import Path

HOSTILE = "</script><script>alert(1)</script><!-- & \u2028\u2029 \"quoted\" 'single' ]]>"


class _Elements(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


def test_no_withheld_word_is_in_the_rooms_folder(built: Made) -> None:
    """No word of a question, sheet, key or note is in any file that the room gets."""
    for file in built.room.parent.iterdir():
        contents = file.read_bytes().lower()
        assert [word for word in WITHHELD if word.encode() in contents] == [], file.name


def test_the_readers_page_has_the_questions_and_no_key(built: Made) -> None:
    """The person who reads gets every word that is spoken, and nothing else."""
    page = built.reader.read_text("utf-8").lower()

    assert [word for word in WITHHELD[:4] if word not in page] == []
    assert [word for word in WITHHELD[4:] if word in page] == []
    assert "confidential" in page


def test_captions_are_those_that_the_script_allows(built: Made, tmp_path: Path) -> None:
    """The page holds what the caption file holds; with `captions: nothing`, no place for them."""
    vtt = built.track.with_suffix(".vtt").read_text("utf-8")
    lines = [line for cue in built.data["cues"] for line in cue[2]]
    assert lines
    assert all(line in vtt for line in lines)

    none = made(tmp_path, SHORT.replace("show-time", "captions: nothing\nshow-time"))
    assert none.data["cues"] == []
    assert 'id="caption"' not in none.room.read_text("utf-8")


def test_nothing_timed_is_there_unless_declared(built: Made, tmp_path: Path) -> None:
    """Without `show-time: yes` neither bar nor sentence nor lengths of silences are in the page."""
    assert len(built.data["silences"]) == 4
    assert 'id="c-time"' in built.room.read_text("utf-8")

    untimed = made(tmp_path, SHORT.replace("show-time: yes\n", ""))
    assert untimed.data["silences"] == []
    assert 'id="c-time"' not in untimed.room.read_text("utf-8")


def test_the_page_stands_alone_and_its_policy_says_so(built: Made) -> None:
    """No address but the audio's; the policy allows this script and this style, by their hashes."""
    for file in (built.room, built.reader):
        text = file.read_text("utf-8")
        elements = _Elements(text).found
        addresses = [
            value
            for _, attributes in elements
            for name, value in attributes.items()
            if name in {"src", "href", "action", "data", "poster", "srcset"}
        ]
        check = f"{built.track.stem}_sound-check.flac"
        assert addresses == ([built.track.name, check] if file == built.room else [])
        assert not re.search(r"https?://|//[a-z]+\.", text)
        assert not [a for _, attributes in elements for a in attributes if a.startswith("on")]

        policy = next(a["content"] for t, a in elements if a.get("http-equiv"))
        assert policy is not None
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        for tag in ("script", "style"):
            (inside,) = re.findall(rf"<{tag}>(.*?)</{tag}>", text, re.DOTALL)
            digest = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
            assert f"{tag}-src 'sha256-{digest}'" in policy


def test_nothing_plays_by_itself(built: Made) -> None:
    """No `autoplay` (WC-04: WCAG 1.4.2, WC-10: ACT rule 80f0bf), no controls that could seek."""
    audio = [a for tag, a in _Elements(built.room.read_text("utf-8")).found if tag == "audio"]

    assert audio == [
        {"id": "sound", "preload": "none", "src": built.track.name},
        {
            "id": "check-sound",
            "preload": "none",
            "src": f"{built.track.stem}_sound-check.flac",
        },
    ]


def test_hostile_texts_stay_texts(tmp_path: Path) -> None:
    """A title and captions that look like markup end no element and start no script."""
    title = "Unit 3: <b>&amp; 'more' </title><img src=x>"
    text = SHORT.replace("title: Harbour morning", f'title: "{title}"')
    found = worded(tmp_path, text)
    line = timeline(steps(found), lambda _: 1000, 1000)
    track = tmp_path / "a&b <i>.flac"
    track.write_bytes(b"sound")
    cue = Cue("1", 0, 10, (HOSTILE,), speaker="<b>Ada</b>", named=True)
    page = room_screen(found.script, line, [cue], track, label="A", edition="2GS7QW")
    reader = reader_screen(found.script, line, label="A", edition="2GS7QW")
    (tmp_path / "page.html").write_text(page, encoding="utf-8")

    for text in (page, reader):
        assert not [tag for tag, _ in _Elements(text).found if tag in {"b", "i", "img"}]
        assert text.count("</script>") == 2
    assert island(tmp_path / "page.html")["cues"] == [[0, 10, [f"<b>Ada</b>: {HOSTILE}"]]]
    audio, check = [a for tag, a in _Elements(page).found if tag == "audio"]
    assert audio["src"] == "a%26b%20%3Ci%3E.flac"
    assert "src" not in check


def test_json_in_a_page_is_harmless_and_whole() -> None:
    """`<`, `>`, `&` and line separators are escaped (HTML's script data states); all is there."""
    text = page_data({"x": HOSTILE})

    assert re.search(r"[<>&\u2028\u2029]", text) is None
    assert json.loads(text) == {"x": HOSTILE}
    with pytest.raises(ValueError, match="not JSON compliant"):
        page_data(float("nan"))


def test_the_code_ends_no_element() -> None:
    """Our own code holds nothing that would end the element it stands in."""
    for name in ("room/room.js", "reader/reader.js"):
        assert "</" not in bundle(name), name
        assert "<!--" not in bundle(name), name


def test_audio_can_stand_inside_the_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Inline, the page holds the very bytes of the track; what is too large is refused."""
    found = made(tmp_path / "a", kind="mp3", sound="inline")
    held = re.search(r'id="held">([^<]*)<', found.room.read_text("utf-8"))
    assert held
    assert base64.b64decode(held[1]) == found.track.read_bytes()
    assert "src=" not in found.room.read_text("utf-8").split("<script")[0].split("<audio")[1]

    monkeypatch.setattr(room, "LARGEST_INLINE_BYTES", 1000)
    with pytest.raises(OutputError, match="too large to stand inside a page"):
        made(tmp_path / "b", kind="mp3", sound="inline")
    assert not list((tmp_path / "b" / "out").glob("*"))


def test_the_track_that_browsers_enter_exactly_is_played(tmp_path: Path) -> None:
    """FLAC before WAV before MP3; for MP3 the page goes back a little further."""
    paths = [tmp_path / f"x.{kind}" for kind in ("mp3", "wav", "flac")]
    assert played_track(paths).suffix == ".flac"
    assert played_track(paths[:2]).suffix == ".wav"
    assert made(tmp_path / "m", kind="mp3").data["late_ms"] == room.MP3_LATE_MS


def test_pages_are_made_alike_and_recorded(built: Made, tmp_path: Path) -> None:
    """Same script, same bytes; the build record knows both pages by their kind."""
    again = made(tmp_path)
    assert again.room.read_bytes() == built.room.read_bytes()
    assert again.reader.read_bytes() == built.reader.read_bytes()

    record = json.loads(
        (again.room.parent.parent / "confidential" / "build-record_A.json").read_text("utf-8")
    )
    found = {file["kind"]: file["path"].split("/")[0] for file in record["files"]}
    assert {kind: found[kind] for kind in ("reader-screen", "staff-notes", "room-screen")} == {
        "reader-screen": "print", "staff-notes": "print", "room-screen": "version-A",
    }  # fmt: skip
    assert found["sound-check"] == "version-A"


def test_staff_notes_stand_in_a_file_of_their_own(built: Made, tmp_path: Path) -> None:
    """With the time and the place on the track; without a note there is no such page."""
    (notes,) = built.reader.parent.glob("*_staff-notes.html")
    text = notes.read_text("utf-8")
    assert "TAPIR" in text
    assert "Test: Question 2 of 2" in text
    assert "OKAPI" not in text
    if os.name != "nt":
        assert notes.stat().st_mode & 0o077 == 0

    none = made(tmp_path, SHORT.replace("    ::: staff-note\n    TAPIR\n    :::\n", ""))
    assert not list(none.reader.parent.glob("*_staff-notes.html"))


@pytest.mark.parametrize("answer_s", ["2.0001", "2.0003", "2.0005", "2.0007"])
def test_a_note_stands_at_its_question_wherever_that_begins(tmp_path: Path, answer_s: str) -> None:
    """Not at the answer time of the question before, which ends in the same millisecond."""
    built = made(tmp_path, SHORT.replace('answer-time="2 s"', f'answer-time="{answer_s} s"'))
    (notes,) = built.reader.parent.glob("*_staff-notes.html")

    assert "Test: Question 2 of 2, first reading" in notes.read_text("utf-8")


def test_the_two_ways_to_hold_the_audio() -> None:
    """Other words are refused with the ones to write."""
    assert [sound_of("beside"), sound_of("inline")] == ["beside", "inline"]
    with pytest.raises(OutputError, match="‘inside’ is no way"):
        sound_of("inside")
