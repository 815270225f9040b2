"""The outline of what lies in other files: included text, and recorded sounds of every kind."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import soundfile
from pausewright.deliver.project import open_project
from pausewright.deliver.version_outline import outline, outline_text
from support.voices.fake_voice import fake_profiles

if TYPE_CHECKING:
    from pathlib import Path

HEAD = "---\ntitle: T\nlanguage: en-GB\n---\n\n"


def _outline(folder: Path, text: str) -> tuple[str, Fraction, bool]:
    script = folder / "test.md"
    script.write_text(HEAD + text, encoding="utf-8")
    project = open_project(script, fake_profiles(folder))
    assert not project.problems
    found = outline(project, lambda _: Fraction(1))
    return outline_text(project, found), found.length_s, found.is_exact


def test_a_silence_of_an_included_file_names_that_file(tmp_path: Path) -> None:
    """Its line is not taken for one of the script, nor for its settings."""
    (tmp_path / "standard").mkdir()
    (tmp_path / "standard" / "opening.md").write_text('Hello. {pause-after="3 s"}\n', "utf-8")

    text, _, _ = _outline(tmp_path, "[All](standard/opening.md){.include}\n\nThe end.\n")

    assert "3 s  · author's pause  (standard/opening.md line 1)" in text
    assert "0 questions" in text


def test_a_sound_of_any_kind_has_its_length(tmp_path: Path) -> None:
    """A FLAC counts with its whole length; what will be trimmed is not called exact."""
    wave = 0.1 * np.sin(np.arange(24_000) * 0.3)
    soundfile.write(tmp_path / "a.flac", wave, 16_000)

    plain = _outline(tmp_path, '![A](a.flac)\n\n1. One? {answer-time="2 s"}\n\nThe end.\n')
    trimmed = _outline(tmp_path, '![A](a.flac){edges="trimmed"}\n\nThe end.\n')

    assert "1.5 s  (sound: A)" in plain[0]
    assert "1 question, length" in plain[0]
    # lead-in 0.5, sound 1.5, pause 0.8, question 1, answer 2, end 1, run-out 1
    assert plain[1:] == (Fraction("7.8"), True)
    assert "about 1.5 s  (sound: A)" in trimmed[0]
    assert not trimmed[2]
