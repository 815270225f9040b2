"""Several scripts in one build: problems of all at once, words voiced once, each whole or not."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver import build as build_module
from pausewright.deliver.build_options import Built, CheckFailedError, Options
from pausewright.deliver.build_plan import plan_build
from pausewright.deliver.script_set import build_scripts, scripts_of
from pausewright.problems import FileError, OutputError, ScriptError
from pausewright.wording.line_elements import Utterance
from support.scripts.short_scripts import SMALL
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.deliver.build_options import Progress
    from pausewright.deliver.build_plan import BuildPlan

OWN_WORDS = "# End\n\nThe second morning is over.\n"


def _scripts(folder: Path) -> list[Path]:
    """Write two scripts that share all words but those of one sentence."""
    first, second = folder / "first.md", folder / "second.md"
    first.write_text(SMALL, encoding="utf-8")
    second.write_text(SMALL + "\n" + OWN_WORDS, encoding="utf-8")
    return [first, second]


def _options(folder: Path, engine: FakeEngine | None = None) -> Options:
    return Options(
        folder / "out",
        formats=("wav",),
        engines=fake_engines(engine or FakeEngine(ramp_s=0.02)),
        profiles=fake_profiles(folder),
    )


def _n_distinct(script: Path, folder: Path) -> int:
    plan = plan_build(script, _options(folder))
    return len({one for one in plan.due[0].said() if isinstance(one, Utterance)})


def test_what_several_scripts_say_is_voiced_once(tmp_path: Path) -> None:
    """Two scripts take one more utterance than one, and are built as if each were alone."""
    first, second = _scripts(tmp_path)
    n_first = _n_distinct(first, tmp_path)
    engine = FakeEngine(ramp_s=0.02)
    steps: list[Progress] = []
    found = build_scripts(
        scripts_of([tmp_path]), replace(_options(tmp_path, engine), progress=steps.append)
    )

    assert [one.script for one in found.scripts] == [first, second]
    assert all(one.built[0].is_good for one in found.scripts)
    n_all = n_first + 1 + 1  # and the sentence of the sound check, once
    assert engine.n_synthesised == found.n_voiced == n_all
    voicing = [one for one in steps if one.stage == "voicing"]
    assert {one.n_all for one in voicing} == {n_all}  # one clock for all
    assert (steps[-1].stage, steps[-1].n_done, steps[-1].n_all) == ("scripts", 2, 2)

    alone = tmp_path / "alone"
    alone.mkdir()
    (alone / "second.md").write_bytes(second.read_bytes())
    (built,) = build_module.build_versions(alone / "second.md", _options(alone))
    (together,) = found.scripts[1].built
    tracks = [next(f for f in one.files if f.suffix == ".wav") for one in (built, together)]
    assert tracks[0].read_bytes() == tracks[1].read_bytes()


def test_a_second_call_builds_nothing(tmp_path: Path) -> None:
    """What is current stays, and no voice is asked."""
    scripts = _scripts(tmp_path)
    build_scripts(scripts, _options(tmp_path))
    engine = FakeEngine(ramp_s=0.02)
    found = build_scripts(scripts, _options(tmp_path, engine))

    assert not any(one.built[0].is_fresh for one in found.scripts)
    assert (engine.n_prepared, found.n_voiced) == (0, 0)


def test_all_problems_are_told_before_anything_is_voiced(tmp_path: Path) -> None:
    """Errors of the second script stop the first, and each has its file."""
    first, second = _scripts(tmp_path)
    first.write_text(SMALL.replace("readings: 2", "readings: none"), encoding="utf-8")
    second.write_text(SMALL.replace("answer-time", "answer-tim"), encoding="utf-8")
    engine = FakeEngine()
    with pytest.raises(ScriptError) as caught:
        build_scripts([first, second], _options(tmp_path, engine))

    assert {p.place.file for p in caught.value.problems if p.severity == "error"} == {first, second}
    assert engine.n_prepared == 0
    assert not (tmp_path / "out").exists()


def test_words_that_cannot_be_said_are_told_of_all_scripts(tmp_path: Path) -> None:
    """A fault of the voice in each of two scripts is told in one pass."""
    scripts = _scripts(tmp_path)
    for script, sentence in zip(scripts, ("unsayable.", "Unsayable."), strict=True):
        text = script.read_text("utf-8")
        script.write_text(f"{text}\n# More\n\n{sentence}\n", encoding="utf-8")
    with pytest.raises(ScriptError) as caught:
        build_scripts(scripts, _options(tmp_path))

    assert {p.place.file for p in caught.value.problems} == set(scripts)
    assert not list((tmp_path / "out").glob("*"))


def test_a_script_whose_check_fails_does_not_keep_the_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The failed one is named with its checks; the other one is delivered."""
    first, second = _scripts(tmp_path)
    built_now = vars(build_module)["_built_now"]  # the fault is planted here

    def failing(plan: BuildPlan, options: Options) -> dict[str, Built]:
        built: dict[str, Built] = built_now(plan, options)
        if plan.project.script.path == first:
            raise CheckFailedError([check for one in built.values() for check in one.checks])
        return built

    monkeypatch.setattr(build_module, "_built_now", failing)
    found = build_scripts([first, second], _options(tmp_path))

    assert [len(one.built) for one in found.scripts] == [0, 1]
    assert found.scripts[0].failed
    assert not found.scripts[1].failed


def test_what_is_a_script_in_a_folder(tmp_path: Path) -> None:
    """Markdown without settings is none; a script that is named twice is built once."""
    scripts = _scripts(tmp_path)
    (tmp_path / "README.md").write_text("# What lies here\n", encoding="utf-8")
    empty = tmp_path / "empty"
    empty.mkdir()

    assert list(scripts_of([scripts[1], tmp_path])) == [scripts[1], scripts[0]]
    with pytest.raises(FileError, match="no script lies in the folder"):
        scripts_of([scripts[0], empty])


def test_two_scripts_for_one_folder_are_refused(tmp_path: Path) -> None:
    """Scripts of one name from two folders would overwrite each other's results."""
    (tmp_path / "other").mkdir()
    paths: Sequence[Path] = [*_scripts(tmp_path), tmp_path / "other" / "First.md"]
    paths[2].write_text(SMALL, encoding="utf-8")
    with pytest.raises(OutputError, match="into one folder"):
        build_scripts(paths, _options(tmp_path))
