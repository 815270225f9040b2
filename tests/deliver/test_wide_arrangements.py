"""A script with every construct in several arrangements: planned twice alike, built, good."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soundfile
from pausewright.checker.report.report import as_text
from pausewright.deliver.build import CheckFailedError, Options, build_versions
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from support.scripts.versions import END, HEAD, expected_waits, waits
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

WIDE = (Path(__file__).parents[1] / "cases" / "wide.md").read_text("utf-8")
WIDE = WIDE.replace("use: test\n", 'use: test\naccept-voice-language: "invented"\n').replace(
    """    - say: "Number {number}: {1}."
    - pause: 1.5 s
    - say: "{2}"
""",
    """    steps:
      - say: "Number {number}: {1}."
      - pause: 1.5 s
      - say: "{2}"
    again:
      - say: "Again: {1}."
""",
)
KINDS = (
    "look-time", "between-readings", "answer-time", "phrase-time", "between-phrase-readings",
    "page-turn-time", "extra-time", "hold",
)  # fmt: skip
ALL = f"[{', '.join(KINDS[:6])}]"
ARRANGEMENTS = f"""
standard: {{label: A}}
every-kind: {{label: B, basis: f, extra-time: 25 %, share-of: listed-silences, stretch: {ALL},
  where: each-gap}}
lumps: {{label: C, basis: f, extra-time: 5 min, where: part-end, readings: 3,
  extra-words: "You have {{time}} more."}}
fixed: {{label: D, basis: f, extra-time: 7 min, where: fixed-and-remainder, fixed-pause: 11 s,
  pauses: {{sentence: 1.1 s, clause: 0.8 s}}, rest-breaks: {{every: 4 min}}}}
slower: {{label: E, basis: f, pace: 80 %, leave-out: [Sums], look-time:
  {{in-script: 9 s, before-questions: 3 s}}}}
"""


def wide(folder: Path) -> tuple[Path, Options]:
    """Return the wide script with sounds beside it, and how to build it."""
    (folder / "audio").mkdir()
    noise = np.random.default_rng(1).normal(0, 0.02, (44_100 * 4, 2)).astype(np.float32)
    soundfile.write(folder / "audio" / "bell.wav", noise, 44_100, subtype="PCM_16")
    script = folder / "wide.md"
    script.write_text(WIDE, encoding="utf-8")
    (folder / "wide.arrangements.yaml").write_text(ARRANGEMENTS, encoding="utf-8")
    options = Options(
        folder / "out", ("wav",), engines=fake_engines(FakeEngine(ramp_s=0.05)),
        profiles=fake_profiles(folder),
    )  # fmt: skip
    return script, options


def test_both_sides_plan_every_construct_alike(tmp_path: Path) -> None:
    """Each version of every construct: the check works out the builder's silences by itself."""
    script, options = wide(tmp_path)
    project = open_project(script, options.profiles)
    assert [p.message for p in project.problems if p.severity == "error"] == []
    for version in made_versions(project):
        assert expected_waits(version, *KINDS) == waits(version, *KINDS), version.label
        if version.grant is not None:
            assert version.grant.given_s == version.grant.entitled_s


def test_every_construct_is_built_in_every_arrangement(tmp_path: Path) -> None:
    """All versions are built and good, each against the standard track."""
    script, options = wide(tmp_path)
    try:
        built = build_versions(script, options)
    except CheckFailedError as failed:
        pytest.fail("\n".join(as_text(c) for c in failed.checks if not c.is_good))

    assert [one.label for one in built] == ["A", "B", "C", "D", "E"]
    for one in built[1:]:
        assert one.checks[0].comparison is not None


def test_recordings_are_slower_too(tmp_path: Path) -> None:
    """Recordings are stretched alone, with words and without; those without are named."""
    n = np.arange(2 * 44_100)
    tone = (
        0.1 * np.sin(2 * np.pi * 200 * n / 44_100) * (1 - 0.9 * np.cos(2 * np.pi * 3 * n / 44_100))
    )
    soundfile.write(tmp_path / "message.wav", tone.astype(np.float32), 44_100)
    soundfile.write(tmp_path / "chord.wav", (0.5 * tone).astype(np.float32), 44_100)
    script = tmp_path / "message.md"
    script.write_text(
        HEAD + '# One\n\nListen to this.\n\n::: passage {answer-time="5 s"}\n'
        '![Otto](message.wav){words="I am late. Please wait at the gate."}\n\n'
        "![A chord](chord.wav)\n:::" + END, "utf-8",
    )  # fmt: skip
    (tmp_path / "message.arrangements.yaml").write_text(
        "standard: {label: A}\nslower: {label: B, basis: f, pace: 80 %}\n", "utf-8"
    )
    options = Options(
        tmp_path / "out", ("wav",), engines=fake_engines(FakeEngine(ramp_s=0.05)),
        profiles=fake_profiles(tmp_path),
    )  # fmt: skip
    standard, slower = build_versions(script, options)
    comparison = slower.checks[0].comparison

    assert standard.is_good
    assert slower.is_good
    assert comparison is not None
    assert comparison.pace_over_all is not None
    assert abs(comparison.pace_over_all - Fraction(4, 5)) < Fraction(1, 100)
    (warning,) = [p for p in slower.warnings if p.code == "arrangement-pace-recordings"]
    assert "chord.wav (line 14)" in warning.message
    assert "message.wav" not in warning.message
