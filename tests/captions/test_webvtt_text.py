"""WebVTT by W3C's grammar, read back by another program."""

from __future__ import annotations

import html
import io
import re
from typing import Any

import pytest
import webvtt as other_reader
from hypothesis import given, settings
from hypothesis import strategies as st
from pausewright.captions.cues import Cue, cues
from pausewright.captions.webvtt import vtt_time, webvtt
from support.amounts import cases
from support.tracks.sound_samples import at_samples, laid_out, say, small_test

HOSTILE = [
    "3 < 5 & 6 > 2",
    "an arrow --> here",
    "&amp; &lt; &#62; &nbsp",
    "<v Somebody>not a voice</v> <b>",
    "שלום \u200f(3 + 4)\u200e עולם",
    "e\u0301 n\u0303 a\u030a\u0323",
    "NOTE STYLE REGION WEBVTT",
    "00:00:01.000 --> 00:00:02.000",
    "{\\an8} \\N \ufeff",
    "x" * 10_000,
    "word & " * 1_430,
]

TIME = r"(?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3}"


def broken_rules(text: str) -> list[str]:
    """Return which of W3C's rules a file breaks, none for a good one.

    W3C WebVTT draft, repository w3c/webvtt, commit 92a85cc, as transcribed in check values
    VTT-01 to VTT-08; written for the tests, apart from the writer and the product's check.
    """
    broken = []
    blocks = [block.strip("\n") for block in re.split(r"\n{2,}", text)]
    if not re.fullmatch(r"\ufeff?WEBVTT([ \t].*)?", blocks[0]):
        broken.append("VTT-01 header")
    identifiers = []
    latest = -1
    for block in blocks[1:]:
        lines = block.split("\n")
        if lines[0].startswith("NOTE") and "-->" not in block:
            continue
        if "-->" not in lines[0]:
            identifiers.append(lines.pop(0))
        found = re.fullmatch(rf"({TIME})[ \t]+-->[ \t]+({TIME})", lines[0] if lines else "")
        if not found:
            broken.append(f"VTT-02/03 times {lines[:1]}")
            continue
        start, end = (int(re.sub(r"\D", "", time)) for time in found.groups())
        broken += ["VTT-04 order"] * (start < latest) + ["VTT-05 end"] * (end <= start)
        latest = start
        payload = "\n".join(lines[1:])
        broken += ["VTT-07 arrow"] * ("-->" in payload)
        spans = re.sub(r"<v [^<>&\n]*(?:&\w+;[^<>&\n]*)*>|</v>", "", payload)
        broken += ["VTT-08 raw"] * bool(re.search(r"<|&(?!(amp|lt|gt);)", spans))
    broken += ["VTT-06 identifiers"] * (len(set(identifiers)) != len(identifiers))
    return broken


def read_back(text: str) -> list[tuple[str, str]]:
    """Return speaker and words of each cue as webvtt-py reads them, references decoded."""
    captions: Any = other_reader.from_buffer(io.StringIO(text))
    return [
        (html.unescape(caption.voice or ""), html.unescape(caption.text.replace("\n", " ")))
        for caption in captions
    ]


def test_a_small_file_by_hand() -> None:
    """The whole text of a file with a speaker, two lines and characters to escape."""
    timeline = at_samples(
        1_000,
        (say("3 < 5 & 6?"), 500, 1_500),
        (say("I will be there at half past nine, I think.", speaker="Marta"), 2_000, 3_601_000),
    )

    assert webvtt(cues(timeline), language="en-GB") == (
        "WEBVTT\n\nNOTE Language: en-GB\n\n"
        "1\n00:00:00.500 --> 00:00:01.500\n3 &lt; 5 &amp; 6?\n\n"
        "2\n00:00:02.000 --> 01:00:01.000\n"
        "<v Marta>I will be there\nat half past nine, I think.</v>\n"
    )


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_words_break_no_rule_and_are_not_lost(text: str) -> None:
    """W3C's rules hold, and webvtt-py with html.unescape gives back every character."""
    found = cues(at_samples(44_100, (say(text, speaker="A & <B> -->"), 0, 441_000)))

    written = webvtt(found, language="he")

    assert broken_rules(written) == []
    back = read_back(written)
    assert " ".join(words for _, words in back) == " ".join(text.split())
    assert {speaker for speaker, _ in back} == {"A & <B> -->"}


@settings(max_examples=cases(50, 1500), deadline=None)
@given(st.lists(st.text(st.characters(exclude_categories=["Cs"]), max_size=80), max_size=6))
def test_any_words_make_a_valid_file(texts: list[str]) -> None:
    """No text whatever can break W3C's rules."""
    steps = [(say(text), at * 5_000, at * 5_000 + 4_000) for at, text in enumerate(texts)]

    assert broken_rules(webvtt(cues(at_samples(1_000, *steps)), language="en")) == []


def test_the_rules_in_this_test_can_fail() -> None:
    """The grammar above finds every kind of damage: it is no test that always passes."""
    good = webvtt(cues(laid_out(small_test())), language="en")
    assert broken_rules(good) == []
    damages = [
        ("WEBVTT", "WEBVTTX"),
        ("00:00:00.500", "00:00:00,500"),
        ("00:00:00.500", "00:00:60.500"),
        ("00:00:00.500", "0:00:00.500"),
        (" --> ", "-->"),
        ("Listen to", "Listen --> to"),
        ("Listen to", "Listen & to"),
        ("Listen to", "Listen <b to"),
        ("\n2\n", "\n1\n"),
        ("00:00:00.500", "00:59:00.500"),
    ]
    for old, new in damages:
        assert broken_rules(good.replace(old, new, 1)), (old, new)


@pytest.mark.parametrize(
    ("time_ms", "text"),
    [
        (0, "00:00:00.000"),
        (59_999, "00:00:59.999"),
        (60_000, "00:01:00.000"),
        (3_599_999, "00:59:59.999"),
        (3_600_000, "01:00:00.000"),
        (360_000_001, "100:00:00.001"),
    ],
)
def test_times(time_ms: int, text: str) -> None:
    """Minutes and seconds never reach 60; hours have two digits or more (check value VTT-02)."""
    assert vtt_time(time_ms) == text


@given(st.integers(0, 10**9))
def test_times_read_back(time_ms: int) -> None:
    """Every time reads back as itself."""
    hours, minutes, seconds = vtt_time(time_ms).split(":")
    back_ms = (int(hours) * 60 + int(minutes)) * 60_000 + int(seconds.replace(".", ""))

    assert back_ms == time_ms


def test_a_hostile_language_stays_a_comment() -> None:
    """Line ends and arrows in the language cannot leave the comment."""
    written = webvtt((Cue("1", 0, 10, ("A",)),), language="en\n\n--> x")

    assert broken_rules(written) == []
    assert written.split("\n\n")[1] == "NOTE Language: en → x"


def test_a_track_without_captions_has_a_valid_file() -> None:
    """No cue at all is still a WebVTT file."""
    assert broken_rules(webvtt((), language="en")) == []
