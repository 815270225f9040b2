"""Every demo script, built: with the real voice, and with planted keys that must not leak.

The real tracks are measured twice, by the build's own check and by ffmpeg's silencedetect.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import imageio_ffmpeg
import pytest
from bench import silences_by_ffmpeg
from pausewright.deliver.build import Built, Options, build
from pausewright.deliver.project import open_project
from pausewright.plan.steps import steps
from pausewright.plan.timeline import Say
from pausewright.wording.line_elements import Utterance
from pypdf import PdfReader
from support.scripts.demo_scripts import SCRIPTS, copy_of_demos
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profile, fake_profiles

if TYPE_CHECKING:
    from pathlib import Path

ALLOWED_S = 0.020
BESIDE_RECORDED_S = 0.050
"""docs/the-check.md: a silence beside a sound as recorded."""
RECORDED = {"music.md", "dialogue.md", "first-sounds.md"}
QUICK = {"first-sounds.md", "messages.md", "pieces.md"}
"""Voiced at every change: every voice, recordings, sounds, pieces; the others in the long set."""
VOICED = [
    one if one.name in QUICK else pytest.param(one, marks=pytest.mark.long) for one in SCRIPTS
]
PLANTED = "quagmire zephyr"


def for_candidates(built: Built) -> str:
    """Return all text that candidates, or the room, may see; not what a reader reads out."""
    shown = [
        file.read_text(encoding="utf-8")
        for folder in ("version-A", "print")
        for file in sorted((built.folder / folder).rglob("*"))
        if file.suffix in {".txt", ".vtt", ".srt"}
    ]
    shown += [
        page.extract_text()
        for file in sorted(built.folder.glob("print/*/*.pdf"))
        if not file.name.startswith(("reader-copy", "interpreter-copy", "instructions"))
        for page in PdfReader(file).pages
    ]
    assert len(shown) >= 5
    return "\n".join(shown)


@pytest.mark.voice
@pytest.mark.timeout(900)  # half a minute of work, on a machine that others use too
@pytest.mark.parametrize("script", VOICED, ids=lambda path: path.name)
def test_it_builds_and_passes_the_check(script: Path, tmp_path: Path) -> None:
    """With the real voice: no warning, no finding, and silences as ffmpeg measures them too."""
    copy = copy_of_demos(tmp_path) / script.name

    built = build(copy, Options(tmp_path / "out"))

    (check,) = built.checks
    assert list(check.findings) == []
    assert list(built.warnings) == []
    (track,) = built.folder.glob("version-A/*[!k].mp3")
    assert check.threshold_dbfs is not None
    ffmpeg = imageio_ffmpeg.get_ffmpeg_exe()
    found = silences_by_ffmpeg(ffmpeg, track, check.threshold_dbfs, shortest_s=0.5)
    allowed_s = BESIDE_RECORDED_S if script.name in RECORDED else ALLOWED_S
    promised = [row for row in check.silences if row.allowed_s is not None]
    assert len(promised) >= 10
    for row in promised:
        assert row.at_s is not None
        lengths_s = [length for at, length in found if abs(at - float(row.at_s)) < 0.1]
        assert lengths_s, row
        assert abs(lengths_s[0] - float(row.expected_s)) <= allowed_s, row


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.name)
def test_no_key_and_no_question_is_shown(script: Path, tmp_path: Path) -> None:
    """With planted keys: none outside the confidential folder, nor what captions withhold."""
    copy = copy_of_demos(tmp_path) / script.name
    text, n_planted = planted(copy.read_text(encoding="utf-8"))
    copy.write_text(text, encoding="utf-8")
    profiles = {**fake_profiles(tmp_path), "nela": fake_profile(tmp_path, "nela")}

    built = build(
        copy,
        Options(
            tmp_path / "out", ("flac",), engines=fake_engines(FakeEngine(ramp_s=0.02)),
            profiles=profiles,
        ),
    )  # fmt: skip

    shown = " ".join(for_candidates(built).split())
    assert n_planted or script.stem in {"spelling", "word-list"}
    assert not [word for word in PLANTED.split() if word in shown]
    printed = sheets_of(text)
    withheld = [
        step.element.shown
        for step in steps(open_project(copy, profiles).worded)
        if isinstance(step, Say) and isinstance(step.element, Utterance) and not step.captioned
    ]
    assert withheld or script.name == "music.md"
    for words in {w for w in withheld if len(w.split()) >= 3}:
        assert words not in shown or words in printed, words


def planted(text: str) -> tuple[str, int]:
    """Return a script in which every key but letters of answers is the planted words."""
    text, n_short = re.subn(r'\bkey="(?![A-Z]")[^"]*"', f'key="{PLANTED}"', text)
    text, n_long = re.subn(
        r"(?m)^( *)::: key\n(?! *[A-Z]\n)(?:.*\n)*?\1:::$", rf"\1::: key\n\1{PLANTED}\n\1:::", text
    )
    return text, n_short + n_long


def sheets_of(text: str) -> str:
    """Return what a script prints: its sheets, and its questions in print."""
    blocks = re.findall(r"(?ms)^ *::: sheet\n(.*?)^ *:::$", text)
    attributes = re.findall(r'\bsheet="([^"]*)"', text)
    return " ".join(" ".join([*blocks, *attributes]).split())


def test_planting_reaches_every_key() -> None:
    """Short and long keys are replaced, letters of answers are not."""
    blocks = "\n\n    ::: key\n    B\n    :::\n\n    ::: key\n    x\n    y\n    :::\n"
    text = f'1. One? {{key="two | 2"}}\n2. Two?{blocks}'

    made, n_planted = planted(text)

    assert n_planted == 2
    assert made.count(PLANTED) == 2
    assert "\n    B\n" in made
    assert made.count(":::") == text.count(":::")
