"""A script made ready: voices and their languages, arrangements, all problems in one list."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from pausewright.arrange.declarations import ArrangementError
from pausewright.deliver.build import Options, build
from pausewright.deliver.known_lengths import kept_lengths
from pausewright.deliver.project import open_project
from pausewright.voice.studio import Studio
from support.scripts.short_scripts import SMALL
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.problems import Problem

PATTERNED = SMALL.replace(
    'announce: "Number {number}."',
    'patterns:\n  twice:\n    - say: "{1}."\n    - pause: 1 s\n    - say: "{1}."\n'
    'announce: "Number {number}."',
).replace('answer-time="6 s"}', 'answer-time="6 s" pattern="twice"}')


def _problems(folder: Path, text: str) -> list[Problem]:
    script = folder / "t.md"
    script.write_text(text, "utf-8")
    return [p for p in open_project(script).problems if p.code.startswith("voice")]


def test_a_voice_of_another_language_is_a_warning_at_its_setting(tmp_path: Path) -> None:
    """The embedded voice speaks US English; a British script says so, once."""
    (problem,) = _problems(tmp_path, SMALL)

    assert (problem.severity, problem.place.line) == ("warning", 4)
    assert "en-US" in problem.message
    assert "accept-voice-language" in problem.hint


@pytest.mark.parametrize("text", [SMALL, PATTERNED])
def test_a_reason_accepts_it(tmp_path: Path, text: str) -> None:
    """With `accept-voice-language` there is neither warning nor error."""
    accepted = text.replace("voice: joe", 'voice: joe\naccept-voice-language: "none other"')
    assert _problems(tmp_path, accepted) == []


def test_the_same_language_is_no_problem(tmp_path: Path) -> None:
    """A US script with a US voice."""
    assert _problems(tmp_path, SMALL.replace("en-GB", "en-US")) == []


def test_an_unknown_voice_is_an_error_with_the_nearest(tmp_path: Path) -> None:
    """The place is where it is named; the hint can be typed."""
    (problem,) = _problems(tmp_path, SMALL.replace("voice: joe", "voice: jo"))

    assert (problem.severity, problem.place.line) == ("error", 4)
    assert "joe" in problem.hint


@pytest.mark.parametrize("channels", [1, 2])
def test_kept_takes_are_looked_for_at_the_level_they_were_made_at(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, channels: int
) -> None:
    """Outline and build ask the studio for one level, in mono and in stereo."""
    text = SMALL.replace("voice: joe", f"voice: joe\nchannels: {channels}")
    script = tmp_path / "t.md"
    script.write_text(text, "utf-8")
    asked: list[float] = []
    right = Studio.__init__

    def spy(self: Studio, **given: Any) -> None:
        asked.append(given["level_lufs"])
        right(self, **given)

    monkeypatch.setattr(Studio, "__init__", spy)
    options = Options(
        tmp_path / "out", ("wav",), engines=fake_engines(FakeEngine(ramp_s=0.02)),
        profiles=fake_profiles(tmp_path),
    )  # fmt: skip
    build(script, options)
    kept_lengths(open_project(script))

    assert len(asked) == 2
    assert asked[0] == asked[1] == pytest.approx(-23 if channels == 1 else -26.01)


def test_one_version_is_built_by_name_or_label(tmp_path: Path) -> None:
    """A declared arrangement is built by its label; an undeclared one is refused."""
    script = tmp_path / "t.md"
    script.write_text(SMALL, "utf-8")
    (tmp_path / "t.arrangements.yaml").write_text(
        "standard: {label: K}\nlonger: {label: B, extra-time: 25 %, stretch: [answer-time], "
        "share-of: listed-silences, where: each-gap, basis: file 7}\n", "utf-8",
    )  # fmt: skip

    def made(arrangement: str) -> Options:
        return Options(
            tmp_path / "out", ("wav",), arrangement, engines=fake_engines(FakeEngine(ramp_s=0.02)),
            profiles=fake_profiles(tmp_path),
        )  # fmt: skip

    with pytest.raises(ArrangementError, match="is not declared") as caught:
        build(script, made("standart"))
    assert caught.value.hint == "did you mean standard?"
    assert not (tmp_path / "out").exists()

    assert build(script, made("B")).label == "B"
    built = build(script, made("standard"))
    assert built.label == "K"
    assert all("longer" not in f.name and "file 7" not in f.name for f in built.files)
    assert any(f.parent.name == "version-K" for f in built.files)
    assert any((tmp_path / "out" / "t" / "version-B").iterdir())
