"""Waits by hand, time cues, sub-questions, dictations and recorded speech, as the check reports."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

import jsonschema
import numpy as np
import pytest
from pausewright.checker.check import check_track
from pausewright.checker.report.lines import WIDTH
from pausewright.checker.report.report import as_json, as_text, schema
from support.tracks.checker_tracks import (
    Beep,
    Gap,
    Item,
    Say,
    gap,
    index,
    laid,
    speech,
    worded,
    written,
)

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.result.findings import CheckResult
    from pausewright.wording.worded import Worded

RATE = 16_000
SCRIPT = """---
title: Kinds
language: en-GB
voice: no-bundled-one
loudness: -22.5 LUFS
---

Here are some tasks of all kinds, one after the other.

# Tasks

1. Draw the garden that you see from your window. {answer-time="by hand"}
2. Describe it in a few sentences of your own. {answer-time="40 s" time-cue="half"}
3. A garden is twelve metres long and five metres wide.

    - a. What is its area? {answer-time="4 s"}
    - b. How long is the fence around it, without the gate? {answer-time="6 s"}

# Text

Write what you hear.

::: dictation {order="whole, phrases" between-readings="5 s" phrase-time="3 s to 4 s" \
phrase-readings="2" answer-time="8 s"}
- The ferry left after ten
- and the harbour was empty.
- Nobody spoke a single word.
:::

The end.
"""


def by_hand() -> list[Item]:
    """Return what stands in the place of an answer time that is ended by hand."""
    return [
        gap("20", "hold"),
        Beep(),
        gap("0.8"),
        Say("The recording continues.", "continues"),
        gap("0.8"),
    ]


def layout() -> list[Item]:
    """Return the layout of a good track, worked out by hand."""
    items: list[Item] = [
        gap("0.5"),
        Say("Here are some tasks of all kinds, one after the other."),
        gap("0.8"),
        Say("Draw the garden that you see from your window.", "1"),
        *by_hand(),
        Say("Describe it in a few sentences of your own.", "2"),
        gap("20", "half 1"),
        Say("Half of the time is gone.", "cue"),
        gap("20", "half 2"),
        Say("A garden is twelve metres long and five metres wide.", "3"),
        gap("0.8"),
        Say("What is its area?", "3a"),
        gap("4", "answer 3a"),
        Say("How long is the fence around it, without the gate?", "3b"),
        gap("6", "answer 3b"),
        Say("Write what you hear."),
        gap("0.8"),
        Say("The ferry left after ten and the harbour was empty.", "whole"),
        gap("0.4"),
        Say("Nobody spoke a single word.", "whole"),
        gap("5", "between"),
    ]
    for words, wait in (
        ("The ferry left after ten", gap("3", "phrase 1")),
        ("and the harbour was empty.", gap("3.5", "phrase 2")),
        ("Nobody spoke a single word.", gap("8", "answer text")),
    ):
        items += [Say(words, "phrase"), gap("2"), Say(words, "phrase"), wait]
    return [*items, Say("The end."), gap("1")]


@pytest.fixture(scope="module")
def script(tmp_path_factory: pytest.TempPathFactory) -> Worded:
    """Return the worded script of all tests here."""
    return worded(tmp_path_factory.mktemp("script"), SCRIPT)


def checked(folder: Path, script: Worded, items: list[Item]) -> CheckResult:
    """Return what the check says about a layout."""
    return check_track(written(folder / "t.wav", laid(items, RATE), RATE), script, edition=None)


def changed(tag: str, by_s: str) -> list[Item]:
    """Return the good layout with one silence longer or shorter."""
    items = layout()
    at = index(items, tag)
    old = items[at]
    assert isinstance(old, Gap)
    items[at] = replace(old, wait_s=old.wait_s + Fraction(by_s))
    return items


def test_a_good_track_and_its_rows(script: Worded, tmp_path: Path) -> None:
    """A good track of all kinds has no finding, and a row for each thing that is read."""
    result = checked(tmp_path, script, layout())

    assert result.findings == ()
    rows = [
        (
            str(row.item),
            row.readings_found,
            row.is_by_hand,
            row.answer_time and row.answer_time.expected_s,
        )
        for row in result.rows
    ]
    assert rows == [
        ("1", 1, True, None),
        ("2", 1, False, 40),
        ("3", 1, False, None),
        ("3a", 1, False, 4),
        ("3b", 1, False, 6),
        ("dictation 1", 2, False, 8),
    ]
    halves = result.rows[1].answer_time
    assert halves is not None
    assert float(halves.measured_s or 0) == pytest.approx(40, abs=0.02)


def test_the_report_of_all_kinds(script: Worded, tmp_path: Path) -> None:
    """Waits by hand are reported and not counted; the JSON follows its schema."""
    result = checked(tmp_path, script, layout())
    text, data = as_text(result), json.loads(as_json(result))

    assert "by hand (not counted)" in text
    assert "hold (not counted)" in text
    assert max(map(len, text.splitlines())) <= WIDTH
    jsonschema.validate(data, schema())
    assert [q["by_hand"] for q in data["questions"]] == [True, *[False] * 5]
    totals = {total["kind"]: total["expected_s"] for total in data["totals"]}
    assert totals["hold"] == 20
    assert totals["answer-time"] == 58
    assert totals["phrase-time"] == 6.5
    assert totals["between-phrase-readings"] == 6


FAULTS = (
    ("hold", "-0.03", "silence-short", "1"),
    ("half 1", "0.03", "silence-long", "2"),
    ("half 2", "-0.03", "silence-short", "2"),
    ("answer 3a", "-0.03", "silence-short", "3a"),
    ("answer 3b", "0.03", "silence-long", "3b"),
    ("between", "-0.03", "silence-short", "dictation 1"),
    ("phrase 2", "-0.03", "silence-short", "dictation 1"),
    ("answer text", "0.03", "silence-long", "dictation 1"),
)


@pytest.mark.parametrize(("tag", "by_s", "code", "question"), FAULTS, ids=[f[0] for f in FAULTS])
def test_silences_that_are_off(
    tag: str, by_s: str, code: str, question: str, script: Worded, tmp_path: Path
) -> None:
    """A silence of any kind that is off by 30 ms is one finding, at what it belongs to."""
    result = checked(tmp_path, script, changed(tag, by_s))

    assert [(f.code, str(f.question)) for f in result.findings] == [(code, question)]


@pytest.mark.parametrize(
    ("tag", "nth", "count", "code", "question"),
    [
        ("3b", 1, 2, "question-missing", "3b"),
        ("3", 1, 2, "question-missing", "3"),
        ("cue", 1, 2, "sound-missing", "2"),
        ("phrase", 3, 2, "sound-missing", "dictation 1"),
        ("whole", 1, 4, "reading-missing", "dictation 1"),
        ("continues", 1, 2, "sound-missing", "1"),
    ],
)
def test_sounds_that_are_missing(
    tag: str, nth: int, count: int, code: str, question: str, script: Worded, tmp_path: Path
) -> None:
    """What is left out is named, at what it belongs to and nowhere else."""
    items = layout()
    at = index(items, tag, nth)
    result = checked(tmp_path, script, items[:at] + items[at + count :])

    assert (code, question) in [(f.code, str(f.question)) for f in result.findings]
    assert {str(f.question) for f in result.findings} == {question}


def test_two_halves_that_add_up_wrong(script: Worded, tmp_path: Path) -> None:
    """Halves of an answer time that are each near enough must also add up to it."""
    items = layout()
    for tag in ("half 1", "half 2"):
        at = index(items, tag)
        items[at] = gap("19.985", tag)

    (finding,) = checked(tmp_path, script, items).findings

    assert (finding.code, str(finding.question), finding.expected) == ("silence-short", "2", 40)
    assert float(finding.difference or 0) == pytest.approx(-0.03, abs=0.005)


# ---- recorded speech -------------------------------------------------------------------------

RECORDED = "The tide turns at noon, and the boats come in with it."
GAIN = 0.4
"""How much softer than the track's speech the recording is."""


def recording_script(folder: Path, attributes: str) -> Worded:
    """Return a script with a recording that has silent edges of 0.4 s and 0.7 s."""
    wave = np.concatenate(
        [np.zeros(int(0.4 * RATE)), GAIN * speech(RECORDED, RATE), np.zeros(int(0.7 * RATE))]
    )
    written(folder / "tide.wav", wave.astype(np.float32), RATE)
    recording = f"![The tide](tide.wav){attributes and f'{{{attributes}}}'}"
    text = (
        "---\ntitle: T\nlanguage: en-GB\nvoice: no-bundled-one\nloudness: -22.5 LUFS\n---\n\n"
        "Listen to the harbour.\n\n"
        f"{recording}\n\nNow you know when the tide turns. Write it down, please.\n\nThe end.\n"
    )
    return worded(folder, text)


def recording_track(folder: Path, lead_s: str, trail_s: str, gain: float) -> Path:
    """Return a track with the recording laid between silences."""
    waves = [
        laid([gap("0.5"), Say("Listen to the harbour."), gap(lead_s)], RATE),
        (gain * speech(RECORDED, RATE)).astype(np.float32),
        laid(
            [
                *(gap(trail_s), Say("Now you know when the tide turns."), gap("0.4")),
                *(Say("Write it down, please."), gap("0.8"), Say("The end."), gap("1")),
            ],
            RATE,
        ),
    ]
    return written(folder / "t.wav", np.concatenate(waves), RATE)


@pytest.mark.parametrize(
    ("attributes", "lead_s", "trail_s", "gain"),
    [
        (f'words="{RECORDED}"', "0.8", "0.8", 1.0),
        (f'words="{RECORDED}" edges="as recorded"', "1.2", "1.5", 1.0),
        ('edges="trimmed"', "0.8", "0.8", GAIN),
        ("", "1.2", "1.5", GAIN),
    ],
    ids=["speech", "speech with edges", "trimmed", "as recorded"],
)
def test_recorded_speech(
    attributes: str, lead_s: str, trail_s: str, gain: float, tmp_path: Path
) -> None:
    """With words, a recording's silent edges are cut off and do not count; else they do."""
    script = recording_script(tmp_path, attributes)

    good = check_track(recording_track(tmp_path, lead_s, trail_s, gain), script, edition=None)
    later_s = str(float(lead_s) + 0.1)
    late = check_track(recording_track(tmp_path, later_s, trail_s, gain), script, edition=None)

    assert [f.code for f in good.findings if f.severity == "error"] == []
    assert "silence-long" in [f.code for f in late.findings]
