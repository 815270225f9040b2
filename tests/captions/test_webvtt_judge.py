"""Caption files before W3C's own WebVTT parser and validator (npm package webvtt-parser, CC0).

The judge runs in Node and is installed by `.ci/run`, or by hand with `npm ci` in the folder
webvtt_judge beside this file. It does not look for identifiers that occur twice; the rules in
test_webvtt_text.py do.
"""

from __future__ import annotations

import html
import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from pausewright.captions.cues import cues
from pausewright.captions.time_transfer import retime_cues
from pausewright.captions.webvtt import webvtt
from pausewright.problems import Problems
from pausewright.script.recordings.caption_files import parsed
from pausewright.script.recordings.supplied_cues import SuppliedCue, written
from support.tracks.sound_samples import at_samples, laid_out, say, small_test

JUDGE = Path(__file__).with_name("webvtt_judge")
NODE = shutil.which("node")

pytestmark = [
    pytest.mark.skipif(NODE is None, reason="no Node on this machine: install nodejs"),
    pytest.mark.skipif(
        not (JUDGE / "node_modules" / "webvtt-parser").is_dir(),
        reason="W3C's parser is not installed: npm ci in tests/captions/webvtt_judge",
    ),
]

HOSTILE = [
    "3 < 5 & 6 > 2",
    "an arrow --> here, and --> there",
    "&amp; &lt; &#62; &nbsp",
    "<v Somebody>not a voice</v> <b> <00:00:01.000>",
    "שלום \u200f(3 + 4)\u200e עולם",
    "e\u0301 n\u0303 a\u030a\u0323",
    "NOTE a comment? STYLE REGION WEBVTT",
    "00:00:01.000 --> 00:00:02.000",
    "two\n\nblank\r\n\r\nlines\rand\u2028more\x85here\x1ctoo",
    "a nought \0 inside",
    "{\\an8} \\N \ufeff",
    "word & " * 700,
]

GOOD = (
    "WEBVTT\n\nNOTE about this file\n\n"
    "1\n00:00:00.500 --> 00:00:01.500\n<v Marta>3 &lt; 5 &amp; 6?</v>\n\n"
    "2\n00:00:02.000 --> 01:00:01.000\nSecond words.\n"
)

DAMAGES = [
    ("VTT-01 signature", "WEBVTT", "WEBVTTX"),
    ("VTT-01 blank line", "WEBVTT\n\n", "WEBVTT\nmore\n\n"),
    ("VTT-02 comma", "00:00:00.500", "00:00:00,500"),
    ("VTT-02 two digits of milliseconds", "00:00:00.500", "00:00:00.50"),
    ("VTT-02 sixty seconds", "00:00:01.500", "00:00:60.500"),
    ("VTT-02 sixty minutes", "01:00:01.000", "00:60:01.000"),
    ("VTT-03 no blank before the arrow", ".500 --> ", ".500--> "),
    ("VTT-04 start before an earlier start", "00:00:02.000", "00:00:00.400"),
    ("VTT-05 end is start", "00:00:01.500", "00:00:00.500"),
    ("VTT-06 identifier without cue", "2\n00:00:02.000", "2\n\n00:00:02.000"),
    ("VTT-07 arrow in words", "Second words", "Second --> words"),
    ("VTT-07 arrow in a comment", "NOTE about this file", "NOTE\n--> file"),
    ("VTT-08 raw ampersand", "&amp; 6", "& 6"),
    ("VTT-08 raw less-than", "&lt; 5", "< 5"),
    ("voice without a name", "<v Marta>", "<v>"),
    ("unknown end tag", "words.", "words.</b>"),
]
"""Check values VTT-01 to VTT-08: W3C WebVTT draft, repository w3c/webvtt, commit 92a85cc."""


def judged(folder: Path, *texts: str) -> list[dict[str, Any]]:
    """Return what W3C's parser says of each text: `errors` and `cues`."""
    files = []
    for number, text in enumerate(texts):
        files.append(folder / f"{number}.vtt")
        files[-1].write_bytes(text.encode())
    done = subprocess.run(
        [str(NODE), "judge.js", *map(str, files)],
        cwd=JUDGE, capture_output=True, encoding="utf-8", check=True, timeout=60,
    )  # fmt: skip
    return list(json.loads(done.stdout))


def test_a_whole_track_is_valid(tmp_path: Path) -> None:
    """W3C's parser finds nothing wrong in the captions of a small test, and reads equal times."""
    shown = cues(laid_out(small_test()))

    (verdict,) = judged(tmp_path, webvtt(shown, language="en-GB"))

    assert verdict["errors"] == []
    read = [
        (cue["identifier"], round(cue["start_s"] * 1000), round(cue["end_s"] * 1000))
        for cue in verdict["cues"]
    ]
    assert read == [(cue.identifier, cue.start_ms, cue.end_ms) for cue in shown]


def test_hostile_words_are_valid_and_not_lost(tmp_path: Path) -> None:
    """Whatever the words, W3C's parser finds no error and reads back every word."""
    made = [
        webvtt(cues(at_samples(44_100, (say(text), 0, 441_000))), language="he") for text in HOSTILE
    ]

    verdicts = judged(tmp_path, *made)

    for text, verdict in zip(HOSTILE, verdicts, strict=True):
        assert verdict["errors"] == [], text
        back = " ".join(html.unescape(cue["text"]) for cue in verdict["cues"]).split()
        assert back == text.replace("\0", "\ufffd").split(), text


def test_hostile_speakers_are_valid(tmp_path: Path) -> None:
    """A speaker's name cannot break a file either."""
    made = [
        webvtt(cues(at_samples(44_100, (say("Good.", speaker=name), 0, 441_000))), language="en")
        for name in HOSTILE[:-1]
    ]

    assert [verdict["errors"] for verdict in judged(tmp_path, *made)] == [[]] * len(made)


def test_a_track_without_captions_is_valid(tmp_path: Path) -> None:
    """A file without a cue is a WebVTT file."""
    assert judged(tmp_path, webvtt((), language="en")) == [{"errors": [], "cues": []}]


def test_the_judge_rejects_every_kind_of_damage(tmp_path: Path) -> None:
    """The judge is no judge that nods: a good file passes, each damaged one has an error."""
    damaged = [GOOD.replace(old, new, 1) for _, old, new in DAMAGES]
    assert GOOD not in damaged

    good, *bad = judged(tmp_path, GOOD, *damaged)

    assert good["errors"] == []
    let_through = [name for (name, _, _), v in zip(DAMAGES, bad, strict=True) if not v["errors"]]
    assert let_through == []


def test_our_reader_of_supplied_files_rejects_what_the_judge_rejects() -> None:
    """An author's file is read as strictly as W3C's parser reads it."""
    for name, old, new in DAMAGES:
        problems = Problems()
        parsed(Path("t.vtt"), GOOD.replace(old, new, 1).encode(), problems)
        assert problems.errors, name
    problems = Problems()
    parsed(Path("t.vtt"), GOOD.encode(), problems)
    assert problems.all == ()


def test_what_is_retimed_is_valid_and_not_lost(tmp_path: Path) -> None:
    """Read, moved to another track and written again, hostile words are all there."""
    written_again = []
    for text in HOSTILE:
        was = at_samples(44_100, (say(text), 0, 441_000))
        now = at_samples(44_100, (say(text), 22_050, 573_300))
        problems = Problems()
        held = parsed(Path("t.vtt"), webvtt(cues(was), language="he").encode(), problems)
        assert problems.errors == (), text
        heads = [block for block in held.blocks if not isinstance(block, SuppliedCue)]
        found, _ = retime_cues(held.cues, was, now, problems)
        assert problems.all == (), text
        written_again.append(written(held, [*heads, *found]))

    for text, verdict in zip(HOSTILE, judged(tmp_path, *written_again), strict=True):
        assert verdict["errors"] == [], text
        back = " ".join(html.unescape(cue["text"]) for cue in verdict["cues"]).split()
        assert back == text.replace("\0", "\ufffd").split(), text
        assert verdict["cues"][0]["start_s"] == 0.5
