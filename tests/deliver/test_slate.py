"""The slate: which track this is, said before the test, in each version by its own label."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from pausewright.checker.check import check_track
from pausewright.checker.expect.expect import expect
from pausewright.checker.promises.promise import promise_of
from pausewright.deliver.build import Options, build_versions
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.plan.timeline import Say, Wait
from pausewright.script.edition import edition
from pausewright.script.reader import read
from pausewright.script.slate import relabelled
from pausewright.wording.line_elements import ToneCue, Utterance
from support.scripts.short_scripts import SMALL
from support.scripts.versions import written
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.version import Version

WORDS = "{title}, edition {edition}, version {version}. Can all of you hear this?"
SLATED = SMALL.replace("voice: joe", f'voice: joe\nslate: "{WORDS}"')
VERSIONS = """
quarter: {label: B2, basis: f, extra-time: 25 %, stretch: [answer-time],
  share-of: listed-silences, where: each-gap}
same: {label: C, basis: f}
"""


def heard(version: Version) -> list[str | Fraction]:
    """Return what is heard, in words and seconds."""
    found: list[str | Fraction] = []
    for step in version.steps:
        if isinstance(step, Wait):
            found.append(step.wait_s)
        elif isinstance(step, Say):
            one = step.element
            found.append(one.words if isinstance(one, Utterance) else "tone")
    return found


def test_each_version_names_itself_and_nothing_else(tmp_path: Path) -> None:
    """Title, edition and label, then the sound check's sentence and a stop; worked by hand."""
    script = written(tmp_path, SLATED, VERSIONS)
    project = open_project(script, fake_profiles(tmp_path))
    assert not [p for p in project.problems if p.severity == "error"]
    assert project.edition == edition(read(script).script)
    spelt = {"2": "two", "3": "three", "4": "four", "5": "five", "6": "six", "7": "seven",
             "8": "eight", "9": "nine"}  # fmt: skip
    mark = ", ".join(spelt.get(sign, sign) for sign in project.edition)

    for version, label in zip(made_versions(project), ("A", "B, two", "C"), strict=True):
        assert heard(version)[:9] == [
            Fraction(1, 2), f"Harbour morning, edition {mark}, version {label}.", Fraction(4, 5),
            "Can all of you hear this?", 20, "tone", Fraction(4, 5), "The recording continues.",
            Fraction(4, 5),
        ]  # fmt: skip
        expected = expect(version.worded)
        assert [silence.wait_s for silence in expected.silences[:5]] == [
            Fraction(1, 2), Fraction(4, 5), 20, Fraction(4, 5), Fraction(4, 5),
        ]  # fmt: skip
        assert isinstance(expected.sounds[2].element, ToneCue)


def test_sums_and_editions_leave_it_out(tmp_path: Path) -> None:
    """Extra time is the same with and without it; without it an edition is as it always was."""
    profiles = fake_profiles(tmp_path)
    with_it = made_versions(open_project(written(tmp_path, SLATED, VERSIONS), profiles))[1]
    without = made_versions(open_project(written(tmp_path, SMALL, VERSIONS), profiles))[1]
    assert with_it.grant is not None
    assert without.grant is not None
    assert with_it.grant.sum_text == without.grant.sum_text
    assert edition(without.script) != edition(with_it.script)


def test_built_and_checked(tmp_path: Path) -> None:
    """The check passes each version, and none whose slate names another one."""
    script = written(tmp_path, SLATED, VERSIONS)
    made = Options(
        tmp_path / "out", ("wav",), workers=1, engines=fake_engines(FakeEngine()),
        profiles=fake_profiles(tmp_path),
    )  # fmt: skip
    built = build_versions(script, made, ["A", "B2"])
    assert all(one.is_good for one in built)

    project = open_project(script, made.profiles)
    version = made_versions(project, ["B2"])[0]
    track = next(file for file in built[1].files if file.suffix == ".wav")
    promise = promise_of(project.script, replace(version.arrangement, label="D"))
    found = check_track(track, version.worded, edition=project.edition, promise=promise)
    assert any("does not have the words of the script" in one.sentence for one in found.findings)
    silent = open_project(written(tmp_path, SMALL, VERSIONS), made.profiles)
    lacking = check_track(track, silent.worded, edition=None)
    assert not lacking.is_good


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ("{title}, version {version}.", "does not say {edition}"),
        ("A test.", "does not say {title}, {edition}, {version}"),
        ("{title} {edition} {version} {need}", "has the fields"),
    ],
)
def test_a_slate_that_does_not_say_which_track(tmp_path: Path, words: str, message: str) -> None:
    """What it must say is named."""
    script = written(tmp_path, SLATED.replace(WORDS, words), "")
    problems = open_project(script, fake_profiles(tmp_path)).problems
    assert any(message in p.message for p in problems if p.severity == "error")


def test_none_is_none(tmp_path: Path) -> None:
    """Without the setting, or with none, nothing comes before the test."""
    script = written(tmp_path, SLATED.replace(f'"{WORDS}"', "none"), "")
    plain = open_project(script, fake_profiles(tmp_path)).script
    assert relabelled(plain, "Z") is plain
    assert plain.parts[0].title == "Opening"
