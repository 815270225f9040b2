"""Captions that are supplied with a recording: laid where it is heard, in every arrangement."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
import soundfile
from pausewright.checker.shown.caption_readers import read_captions
from pausewright.deliver.build import build_versions
from pausewright.problems import ScriptError
from pausewright.script.reader import read
from support.scripts.versions import options, written
from support.voices.fake_voice import FakeEngine, fake_engines

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build import Built

RATE_HZ = 44_100
TEXT = """---
title: Tide tables
language: en-GB
voice: joe
captions: everything
captions-reason: made for tests
---

# Test

Listen to the message.

::: passage {answer-time="3 s" readings="2" between-readings="2 s"}
![A message](call.wav){words="call.vtt" speaker="Otto"}
:::

The test is over.
"""
CAPTIONS = """WEBVTT

00:00.500 --> 00:01.500
<v Otto>The ferry &amp; the
<i>barge</i> leave.

00:02.500 --> 00:03.300
Bring bread.
"""


def recorded(folder: Path) -> None:
    """Write a recording: 0.5 s of silence, 1 s of sound, 1 s of silence, 0.8 s of sound, 0.5 s."""
    at_s = np.arange(int(3.8 * RATE_HZ)) / RATE_HZ
    inside_s = np.maximum(np.minimum(at_s - 0.5, 1.5 - at_s), np.minimum(at_s - 2.5, 3.3 - at_s))
    rise = np.clip(inside_s / 0.04, 0, 1) ** 2
    swing = 0.6 + 0.4 * np.cos(2 * np.pi * 4 * at_s)
    wave = 0.1 * rise * swing * np.sin(2 * np.pi * 300 * at_s)
    soundfile.write(folder / "call.wav", wave.astype(np.float32), RATE_HZ, subtype="PCM_16")


def script_with(folder: Path, captions: bytes | str, text: str = TEXT, more: str = "") -> Path:
    """Return a script with the recording and its captions."""
    recorded(folder)
    name = "call.srt" if "call.srt" in text else "call.vtt"
    raw = captions.encode() if isinstance(captions, str) else captions
    (folder / name).write_bytes(raw)
    return written(folder, text, more)


def cues(made: Built) -> list[tuple[str, int, int]]:
    """Return the delivered captions of the recording: text, start and end in ms."""
    (file,) = (made.folder / f"version-{made.label}").glob("*.vtt")
    return [
        (" ".join(c.text.split()), c.start_ms, c.end_ms)
        for c in read_captions(file).cues
        if "ferry" in c.text or "bread" in c.text
    ]


def begins_ms(made: Built) -> list[int]:
    """Return where the readings of the passage begin, as the check measured them on the track."""
    rows = made.checks[0].silences
    after = [i for i, row in enumerate(rows) if row.kind in {"paragraph-pause", "between-readings"}]
    return [round(1000 * float((rows[i].at_s or 0) + (rows[i].measured_s or 0))) for i in after[:2]]


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Built]:
    """Return the standard track and one in which the recording is slower."""
    folder = tmp_path_factory.mktemp("recording")
    script = script_with(folder, CAPTIONS, more="slow: {label: B, pace: 80 %, basis: file 1}")
    soft = fake_engines(FakeEngine(ramp_s=0.05))
    made = build_versions(script, options(folder, engines=soft), ["standard", "slow"])
    return {one.label: one for one in made}


@pytest.mark.parametrize(("label", "slower"), [("A", 1.0), ("B", 1.25)])
def test_captions_lie_where_the_recording_is_heard(
    built: dict[str, Built], label: str, slower: float
) -> None:
    """By hand: the sound is trimmed by its 0.5 s, and lasts 5/4 as long at 80 %."""
    made = built[label]
    assert made.is_good
    found = cues(made)
    begins = begins_ms(made)

    assert [text for text, _, _ in found] == ["The ferry & the barge leave.", "Bring bread."] * 2
    expected = [begin + slower * at for begin in begins for at in (0, 2_000)]
    assert [start for _, start, _ in found] == pytest.approx(expected, abs=20)
    assert [end - start for _, start, end in found[::2]] == pytest.approx([1000 * slower] * 2,
                                                                          abs=20)  # fmt: skip


def test_the_last_caption_goes_with_the_sound(built: dict[str, Built]) -> None:
    """Into the candidates' silence after it no caption stays."""
    for made in built.values():
        answer = next(row for row in made.checks[0].silences if row.kind == "answer-time")
        assert cues(made)[-1][2] <= 1000 * float(answer.at_s or 0) + 20


def test_a_part_has_its_own_captions(tmp_path: Path) -> None:
    """With `from` and `to` only the captions of the part are there, counted from its start."""
    text = TEXT.replace('speaker="Otto"', 'from="2.2 s" to="3.6 s"').replace("call.vtt", "call.srt")
    srt = "1\r\n00:00:00,500 --> 00:00:01,500\r\nThe ferry\r\n\r\n2\r\n00:00:02,500 --> 00:00:03,300\r\nBring bread.\r\n"  # noqa: E501
    (made,) = build_versions(script_with(tmp_path, srt, text), options(tmp_path), ["standard"])

    assert [cue[0] for cue in cues(made)] == ["Bring bread."] * 2
    assert [cue[1] for cue in cues(made)] == pytest.approx(begins_ms(made), abs=20)


def test_withheld_words_stay_withheld(tmp_path: Path) -> None:
    """Captions that were supplied are shown where the script shows the recording, else nowhere."""
    text = TEXT.replace("captions: everything\ncaptions-reason: made for tests\n", "")
    (made,) = build_versions(script_with(tmp_path, CAPTIONS, text), options(tmp_path), ["standard"])

    assert cues(made) == []


@pytest.mark.parametrize(
    ("captions", "name", "line", "column", "sentence"),
    [
        pytest.param(CAPTIONS.replace("02.500", "02,500"), "call.vtt", 7, 1,
                     "‘00:02,500’ is not a time", id="comma"),
        pytest.param(CAPTIONS.replace("Bring", "B & C"), "call.vtt", 8, 3,
                     "a bare & stands in the text", id="ampersand"),
        pytest.param("WEBVTT\n", "tide.md", 14, 24, "holds no captions", id="none"),
        pytest.param(CAPTIONS.replace("03.300", "09.300").replace("02.500", "08.500"), "tide.md",
                     14, 1, "when the recording is over", id="of-another-recording"),
        pytest.param(CAPTIONS.encode().replace(b"ferry", b"f\xe9rry"), "call.vtt", 4, 14,
                     "‘é’ in a Windows encoding", id="windows"),
    ],
)  # fmt: skip
def test_bad_captions(
    tmp_path: Path, captions: str | bytes, name: str, line: int, column: int, sentence: str
) -> None:
    """What is wrong with the file is told at its own line and column, before anything is built."""
    script = script_with(tmp_path, captions)
    with pytest.raises(ScriptError) as wrong:
        build_versions(script, options(tmp_path), ["standard"])
    (problem,) = wrong.value.problems

    assert (problem.place.file.name, problem.place.line, problem.place.column) == (
        name, line, column,
    )  # fmt: skip
    assert sentence in problem.message
    assert list((tmp_path / "out").glob("tide/*")) == []


def test_a_caption_that_is_cut_is_told(tmp_path: Path) -> None:
    """A part that begins in the middle of a caption's words is a warning at the caption."""
    text = TEXT.replace('speaker="Otto"', 'from="0.9 s"')
    warnings = read(script_with(tmp_path, CAPTIONS, text)).problems

    assert [(p.severity, p.place.line, p.code) for p in warnings] == [("warning", 3, "caption-cut")]
