"""`wording --recognise`: every distinct sentence is voiced and heard before the build."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING

import pytest
from pausewright import cli
from pausewright.deliver.audition import audition
from pausewright.deliver.project import open_project
from pausewright.wording.table import rows, table_data, table_text
from support.voices.ear_stub import Stub
from support.voices.fake_voice import fake_engines, fake_profile
from support.voices.heard_words import needs_the_ear

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from pausewright.wording.table import Heard, Row

SCRIPT = """---
title: T
language: en-GB
voice: joe
accept-voice-language: "a test"
answer-time: 2 s
---
Look at the sheet.

1. What is 45 less than 60? {key="15"}

2. Which of the rods is [46]{say="forty-six"} metres long? {key="B"}

Das Ende.
"""


def _heard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, changed: Mapping[str, str]
) -> list[tuple[Row, Heard]]:
    """Return what is heard; `changed` maps words said to words heard in their place."""
    script = tmp_path / "t.md"
    script.write_text(SCRIPT.replace("voice: joe", "voice: mika"), encoding="utf-8")
    monkeypatch.setattr("pausewright.voice.studio.built_in_engines", fake_engines)
    project = open_project(script, own_profiles={"mika": fake_profile(tmp_path, "mika")})
    project.raise_errors()
    said = [row.utterance.words for row in rows(project.worded)]
    return list(audition(project, Stub([changed.get(words, words) for words in said])))


def test_what_is_heard_stands_beside_what_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A wrong number is named first, with the numbers said and heard; the rest is as said."""
    said = "What is forty-five less than sixty?"
    pairs = _heard(tmp_path, monkeypatch, {said: "What is 55 less than 60?"})
    found, ears = [row for row, _ in pairs], [ear for _, ear in pairs]
    by_words = {row.utterance.words: ear for row, ear in pairs}

    wrong = by_words.pop(said)
    assert wrong.verdict in {"other", "listen"}
    assert (wrong.numbers_said, wrong.numbers_heard) == (("45", "60"), ("55", "60"))
    assert not wrong.has_same_numbers
    assert {ear.verdict for ear in by_words.values()} == {"same"}

    text = table_text(found, everything=False, heard=ears)
    assert f"heard: {len(found) - 1} of {len(found)} word for word as the script says" in text
    (row,) = [row for row in found if row.utterance.words == said]
    assert f"line {row.utterance.place.line}: said 45 and 60, heard 55 and 60" in text
    assert text.index("less than") < text.index("rods")
    assert "heard    What is 55 less than 60?" in text

    data = json.loads(json.dumps(table_data(found, (), ears)))
    assert [one["heard"]["verdict"] for one in data["sentences"]].count("same") == len(found) - 1


def test_each_sentence_is_heard_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two readings are one sentence: each distinct one is heard, and all as they are said."""
    pairs = _heard(tmp_path, monkeypatch, {})
    words = [row.utterance.words for row, _ in pairs]

    assert len(set(words)) == len(words)
    assert {ear.verdict for _, ear in pairs} == {"same"}
    assert all(ear.has_same_numbers for _, ear in pairs)


@pytest.mark.parametrize("lines", [True, False])
def test_lines_from_a_pipe_are_not_voiced(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *, lines: bool
) -> None:
    """Exit code 2 and one sentence; the same for a script that is not there."""
    call = ["wording", "--recognise", *(["--language", "en-GB", "-"] if lines else ["none.md"])]
    monkeypatch.setattr(sys, "argv", ["pausewright", *call])
    with pytest.raises(SystemExit) as stopped:
        cli.main()
    assert stopped.value.code == 2
    assert ("not voiced" in capsys.readouterr().err) == lines


@pytest.mark.voice
def test_a_real_voice_is_heard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The bundled voice and recogniser: the numbers that are written are the ones heard."""
    needs_the_ear()
    script = tmp_path / "t.md"
    script.write_text(SCRIPT.replace("Das Ende", "That is the end"), encoding="utf-8")
    monkeypatch.setattr(
        sys, "argv", ["pausewright", "wording", str(script), "--recognise", "--json"]
    )
    with pytest.raises(SystemExit) as stopped:
        cli.main()
    found = json.loads(capsys.readouterr().out)["sentences"]

    assert not stopped.value.code
    assert {one["heard"]["verdict"] for one in found} == {"same"}
    numbers = [one["heard"]["numbers_heard"] for one in found]
    assert ["45", "60"] in numbers
    assert ["46"] in numbers
