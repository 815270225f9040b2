"""Caption files of an author: what is allowed, what is told with line and column, what is kept."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pausewright.problems import PausewrightError, Problems
from pausewright.script.recordings.caption_files import parsed, read_caption_file
from pausewright.script.recordings.supplied_cues import CaptionFile, with_inner_times, written
from support.amounts import cases
from support.tracks.webvtt_texts import ALLOWED, GOOD, timed

SRT = "1\n00:00:01,000 --> 00:00:02,000\nA\n\n2\n00:00:03,000 --> 00:00:04,000\nB\n"


def held(text: str | bytes, name: str = "t.vtt") -> tuple[CaptionFile, list[tuple[int, int, str]]]:
    """Return what a file holds and its problems: line, column and sentence."""
    problems = Problems()
    raw = text.encode() if isinstance(text, str) else text
    found = parsed(Path(name), raw, problems)
    return found, [(p.place.line, p.place.column, p.message) for p in problems.all]


@pytest.mark.parametrize("text", ALLOWED.values(), ids=ALLOWED)
def test_good_webvtt(text: str) -> None:
    """What the W3C's draft allows is no problem (check values VTT-01 to VTT-09)."""
    found, problems = held(text)

    assert problems == []
    assert len(found.cues) == 1


@pytest.mark.parametrize(
    ("text", "line", "column", "sentence"),
    [
        pytest.param("WEBVTTX" + GOOD[6:], 1, 1, "not WEBVTT", id="VTT-01"),
        pytest.param("WEBVTT\n00:01.000 --> 00:02.000\nA\n", 2, 1, "empty line", id="VTT-01-blank"),
        pytest.param(timed("00:01,000 --> 00:02.000"), 3, 1, "‘00:01,000’", id="VTT-02-comma"),
        pytest.param(timed("00:01.000 --> 00:02.00"), 3, 15, "‘00:02.00’", id="VTT-02-digits"),
        pytest.param(timed("00:00:60.000 --> 00:01:01.000"), 3, 1, "not a time", id="VTT-02-60"),
        pytest.param(timed("1:00:00.000 --> 01:00:01.000"), 3, 1, "not a time", id="VTT-02-hour"),
        pytest.param(timed("00:01.000-->00:02.000"), 3, 10, "blank is missing", id="VTT-03"),
        pytest.param(
            "WEBVTT\n\n00:05.000 --> 00:06.000\nA\n\n00:04.000 --> 00:09.000\nB\n", 6, 1,
            "before an earlier one", id="VTT-04",
        ),
        pytest.param(timed("00:01.000 --> 00:01.000"), 3, 15, "not after its start", id="VTT-05"),
        pytest.param(timed("00:02.000 --> 00:01.000"), 3, 15, "not after its start", id="back"),
        pytest.param(
            "WEBVTT\n\na\n00:01.000 --> 00:02.000\nA\n\na\n00:03.000 --> 00:04.000\nB\n", 7, 1,
            "the name ‘a’ stands above line 3", id="VTT-06",
        ),
        pytest.param(timed("00:01.000 --> 00:02.000", "A --> B"), 4, 3, "an arrow", id="VTT-07"),
        pytest.param("WEBVTT\n\nNOTE a --> b\n", 3, 8, "an arrow", id="VTT-07-note"),
        pytest.param(timed("00:01.000 --> 00:02.000", "3 < 5"), 4, 3, "a bare <", id="VTT-08"),
        pytest.param(timed("00:01.000 --> 00:02.000", "x\nBed & b"), 5, 5, "a bare &", id="and"),
        pytest.param(timed("00:01.000 --> 00:02.000", "&nosuch;"), 4, 1, "a bare &", id="nosuch"),
        pytest.param(
            timed("00:01.000 --> 00:02.000", "A <00:03.000>B"), 4, 3, "between", id="VTT-09"
        ),
        pytest.param(timed("00:01.000 --> 00:02.000", "a <x>A</x>"), 4, 3, "‘<x>’", id="tag"),
        pytest.param(timed("00:01.000 --> 00:02.000", "<b>A"), 4, 5, "is not closed", id="open"),
        pytest.param(timed("00:01.000 --> 00:02.000", "A</b>"), 4, 2, "closes what", id="close"),
        pytest.param(timed("00:01.000 --> 00:02.000 colour:red"), 3, 25, "‘colour:red’", id="set"),
        pytest.param(timed("00:01.000 --> 00:02.000 size:120%"), 3, 25, "‘size:120%’", id="over"),
        pytest.param("WEBVTT\n\nlost text\n", 3, 1, "no times", id="no-times"),
        pytest.param(GOOD + "\nSTYLE\n::cue {}\n", 7, 1, "STYLE stands after", id="style"),
        pytest.param(GOOD.replace("Say", "S\0y"), 5, 2, "NUL", id="NUL"),
        pytest.param(
            "WEBVTT\n\n00:01.000 --> 00:03.000\nA\n\n00:02.000 --> 00:04.000\nB\n", 6, 1,
            "the one of line 3 still stands", id="overlap",
        ),
    ],
)  # fmt: skip
def test_bad_webvtt(text: str, line: int, column: int, sentence: str) -> None:
    """Each departure from the W3C's draft is told at its place (VTT-01 to VTT-09)."""
    _, problems = held(text)

    assert [(at, col) for at, col, said in problems if sentence in said] == [(line, column)]


@pytest.mark.parametrize(
    ("text", "line", "column", "sentence"),
    [
        pytest.param(SRT.replace("\n2\n", "\n3\n"), 5, 1, "the number 2", id="number"),
        pytest.param(SRT.replace("\n2\n", "\n"), 5, 1, "the number 2 is missing", id="no-number"),
        pytest.param(SRT.replace("03,000", "03.000"), 6, 1, "‘00:00:03.000’", id="point"),
        pytest.param(SRT.replace("04,000", "02,000"), 6, 18, "not after", id="backwards"),
        pytest.param(SRT.replace("\nA\n\n", "\nA\n"), 5, 14, "an arrow", id="no-empty-line"),
        pytest.param(SRT.replace("02,000", "02,000 X1:3"), 2, 31, "‘X1:3’", id="coordinates"),
        pytest.param(SRT.replace("B", "a <x> b"), 7, 3, "take ‘<x>’ for a tag", id="tag"),
        pytest.param("1\nA\n", 2, 1, "the times are missing", id="no-times"),
        pytest.param(SRT.replace("\nA\n", "\n"), 2, 1, "has no text", id="no-text"),
    ],
)
def test_bad_srt(text: str, line: int, column: int, sentence: str) -> None:
    """What leaves SRT's common form is told at its place."""
    _, problems = held(text, "t.srt")

    assert [(at, col) for at, col, said in problems if sentence in said] == [(line, column)]
    assert held(SRT, "t.srt")[1] == []


def test_all_problems_at_once() -> None:
    """Nothing hides behind the first mistake."""
    text = "WEBVT\n\n00:01,000 --> 00:02.000\n3 < 5 & 6\n\nlost\n\n00:04.000 --> 00:03.000\nB\n"

    assert [(line, column) for line, column, _ in held(text)[1]] == [
        (1, 1), (3, 1), (4, 3), (4, 7), (6, 1), (8, 15),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("raw", "places"),
    [
        (GOOD.encode("utf-16"), [(1, 1)]),
        (GOOD.replace("Say", "é\nx ü").encode("cp1252"), [(5, 1), (6, 3)]),
        (b"\xff\xfe", [(1, 1)]),
    ],
)
def test_other_encodings(raw: bytes, places: list[tuple[int, int]]) -> None:
    """UTF-16 and Windows encodings are told, the second at every line that has such a letter."""
    found, problems = held(raw)

    assert [(line, column) for line, column, _ in problems] == places
    assert all("UTF-8" in sentence for _, _, sentence in problems)
    assert found.cues == ()


def test_what_a_reader_sees() -> None:
    """Tags are left out and references resolved; in SRT a space of no width is too."""
    found, _ = held(GOOD)
    assert found.words(found.cues[0]) == "Say 3 < 5 & 6."
    found, _ = held(SRT.replace("A", "<i>a</i> --\u200b> b{\\an8}"), "t.srt")
    assert found.words(found.cues[0]) == "a --> b"


HOSTILE = (
    "&amp;&lt;&gt; --&gt; \u202eright to left\u202c",
    "e\u0301\u0323 \U0001f468\u200d\U0001f469\u200d\U0001f467 \u200f\u05d0\u05d1",
    "x" * 900,
    "\u2028 \u0085 \x0b \x0c \u00a0 end",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_nothing_is_lost(text: str) -> None:
    """Header, notes, styles, names, settings and hostile text come back as they were."""
    raw = (
        f"WEBVTT {text}\n\nNOTE {text}\nmore\n\nSTYLE\n::cue {{}}\n\n"
        f"name 1\n00:00:01.000 --> 00:00:02.000 align:start\n{text}\n<b>{text}</b>\n\n"
        f"00:00:03.000 --> 00:00:04.000\n{text}\n"
    )
    found, problems = held(raw)

    assert problems == []
    assert written(found, found.blocks) == raw


def test_times_inside_a_caption_keep_their_share() -> None:
    """By hand: half of 1 s to 3 s is half of 10 s to 14 s."""
    found, _ = held(timed("00:01.000 --> 00:03.000", "One <00:02.000>two"))

    moved = with_inner_times(found.cues[0], 10_000, 14_000)

    assert moved.payload == ("One <00:00:12.000>two",)
    assert with_inner_times(found.cues[0], 5, 6).payload == ("One two",)


@settings(max_examples=cases(60, 2000), deadline=None)
@given(
    st.binary(max_size=300) | st.text(alphabet="WEBVTNO\n\r0123:.,-> <&;b/{\\", max_size=300),
    st.sampled_from(["t.vtt", "t.srt"]),
)
def test_any_bytes_are_read(data: bytes | str, name: str) -> None:
    """No bytes make the reader fail, and what it accepts it writes as it was."""
    raw = data.encode() if isinstance(data, str) else data
    head = b"1\n00:00:01,000 --> 00:00:02,000\n" if name == "t.srt" else timed("", "")[:8].encode()
    for bytes_ in (raw, head + raw, head + b"00:00:01.000 --> 00:00:02.000\n" + raw):
        problems = Problems()
        found = parsed(Path(name), bytes_, problems)
        assert all(p.place.line >= 1 and p.place.column >= 1 for p in problems.all)
        if not problems.errors:
            again, _ = held(written(found, found.blocks), name)
            assert [(c.start_ms, c.end_ms, c.payload) for c in again.cues] == [
                (c.start_ms, c.end_ms, c.payload) for c in found.cues
            ]


@pytest.mark.parametrize("name", ["none.vtt", "none.srt", "c.txt"])
def test_files_that_cannot_be_captions(name: str, tmp_path: Path) -> None:
    """A missing file or another ending is an error with a hint."""
    with pytest.raises(PausewrightError, match=r"captions|caption file"):
        read_caption_file(tmp_path / name, Problems())
