"""A season: what it makes is what build makes, once, whole, and again only where it changed."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import jsonschema
import pytest
from pausewright.deliver.build import Options, build_versions
from pausewright.deliver.output_folder import record_files
from pausewright.problems import FileError, OutputError, ScriptError
from pausewright.records.record_files import read_record
from pausewright.records.record_schemas import published_schema
from pausewright.season.asks import Fault, Making, Outcome
from pausewright.season.inputs import find_scripts
from pausewright.season.lists import ask_season
from pausewright.season.run import WORK, SeasonAsk, SeasonMade, make_season
from support.amounts import cases
from support.seasons.inline import InlineEngine
from support.seasons.voiceless import speak_without_models

if TYPE_CHECKING:
    from pausewright.season.graph import Task
    from support.voices.fake_voice import FakeEngine

HEAD = """---
title: {title}
language: en-US
voice: joe
readings: 2
between-readings: 1 s
announce: "Number {{number}}."
---

# Opening

Listen well, and write each answer once.

# Test

1. {question} {{key="5" answer-time="2 s"}}

# End

The test is over.
"""
ARRANGEMENTS = """standard: {label: A}
thrice: {label: B, readings: 3, basis: file 1}
"""
ALONE = ".alone"
"""Results of `build`, hidden, so that they are no inputs of the season."""
SHARED = 4
"""Utterances that all tests say: instruction, number, end, and the sentence of the sound check."""


def _written(folder: Path, name: str, question: str, title: str = "", *, rows: str = "") -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / f"{name}.md"
    file.write_text(HEAD.format(title=title or name.title(), question=question), "utf-8")
    file.with_name(f"{name}.arrangements.yaml").write_text(rows or ARRANGEMENTS, "utf-8")
    return file


def _folder(folder: Path) -> list[Path]:
    """Write three tests, one of them in a folder below; two share their question."""
    return [
        _written(folder, "boats", "Two boats and three boats make how many?"),
        _written(folder, "gulls", "One gull and four gulls make how many?"),
        _written(folder / "more", "ferry", "Two boats and three boats make how many?"),
    ]


def _made(folder: Path, engine: InlineEngine, **changes: object) -> SeasonMade:
    ask = SeasonAsk(folder, folder / "out", Making(("wav",)), **changes)  # type: ignore[arg-type]
    return make_season(ask, engine, lambda _: None)


def held(folder: Path) -> dict[str, tuple[bytes, int]]:
    """Return bytes and rights of every file of the tests in a folder of results."""
    found = {}
    for file in sorted(folder.rglob("*")):
        path = file.relative_to(folder)
        if file.is_file() and len(path.parts) > 1 and path.parts[0] != WORK:
            found[path.as_posix()] = file.read_bytes(), file.stat().st_mode
    return found


def _built(scripts: list[Path], out: Path) -> None:
    for script in scripts:
        build_versions(script, Options(out, ("wav",)))


@pytest.fixture
def season(tmp_path: Path) -> Path:
    """Return a folder of three tests."""
    _folder(tmp_path)
    return tmp_path


@pytest.fixture
def few(tmp_path: Path) -> Path:
    """Return a folder of two tests in one version."""
    rows = "standard: {label: A}\n"
    for name, number in (("boats", "Two"), ("gulls", "Four")):
        _written(tmp_path, name, f"{number} and three make how many?", rows=rows)
    return tmp_path


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make a season once, and let `build` make its tests alone."""
    folder = tmp_path_factory.mktemp("once")
    scripts = _folder(folder)
    with pytest.MonkeyPatch.context() as patch:
        speak_without_models(patch)
        assert _made(folder, InlineEngine()).counts.n_made == len(scripts)
        _built(scripts, folder / ALONE)
    return folder


@pytest.fixture
def ready(once: Path, tmp_path: Path) -> Path:
    """Return a season that was made, to be changed."""
    return Path(shutil.copytree(once, tmp_path / "ready"))


@pytest.mark.usefixtures("voice")
@pytest.mark.parametrize("sees_folder", [True, False])
def test_every_file_is_as_build_writes_it(season: Path, *, sees_folder: bool) -> None:
    """The same names, bytes and rights as `build` alone; also through the engine, by value."""
    made = _made(season, InlineEngine(sees_folder=sees_folder))

    assert made.counts.n_made == 3
    assert made.is_good
    _built(sorted(season.rglob("*.md")), season / ALONE)
    wanted = held(season / ALONE)
    assert held(season / "out") == wanted
    assert len(wanted) > 60
    assert not list((season / "out" / WORK / "parts").iterdir())


def test_what_many_tests_say_is_voiced_once(season: Path, voice: FakeEngine) -> None:
    """Three tests in two versions: each sentence is made once, in folders apart too."""
    engine = InlineEngine()
    made = _made(season, engine)

    n_distinct = SHARED + 2  # the two questions
    n_probes = 2  # one sentence here, and one as the worker that this process is too
    assert made.counts.n_takes == made.counts.n_voiced == n_distinct
    assert made.counts.n_uses == 2 * 3 * (SHARED + 1)
    assert voice.n_synthesised == n_distinct + n_probes
    assert engine.done["voice"] == n_distinct


def test_a_second_run_asks_nobody(ready: Path, voice: FakeEngine) -> None:
    """Nothing changed: no script is read, no engine is started, the table is the same."""
    table = (ready / "out" / "season.json").read_bytes()

    def refuse(_: Path) -> InlineEngine:
        raise AssertionError

    ask = SeasonAsk(ready, ready / "out", Making(("wav",)))
    made = make_season(ask, refuse, lambda _: None)

    assert (made.n_current, made.counts.n_made) == (3, 0)
    assert (ready / "out" / "season.json").read_bytes() == table
    assert voice.n_prepared == 0


@pytest.mark.usefixtures("voice")
def test_only_what_changed_is_made_again(ready: Path) -> None:
    """Of three tests one is edited, of another a result is damaged: those two are made."""
    script = ready / "gulls.md"
    script.write_text(script.read_text("utf-8").replace("four", "six"), "utf-8")
    spoiled = next((ready / "out" / "boats" / "version-B").glob("*_[A-Z0-9]*.wav"))
    spoiled.write_bytes(b"\0" + spoiled.read_bytes()[1:])
    engine = InlineEngine()
    made = _made(ready, engine)

    assert (made.counts.n_made, made.n_current) == (2, 1)
    assert made.counts.n_voiced == 1
    assert engine.done["check"] == 2 + 1  # both versions of one, one of the other
    _built([script], ready / ALONE)
    assert held(ready / "out") == held(ready / ALONE)


@pytest.mark.usefixtures("voice")
@pytest.mark.parametrize("at", [9, 12, 3, 7, 10][: cases(2, 5)])
def test_after_a_stop_nothing_is_made_twice(few: Path, at: int) -> None:
    """A run that is stopped at any task goes on where it was; results are the same."""
    n_tasks = 0

    def stop(_: Task) -> None:
        nonlocal n_tasks
        n_tasks += 1
        if n_tasks == at:
            raise KeyboardInterrupt

    first, second = InlineEngine(stop), InlineEngine()
    with pytest.raises(KeyboardInterrupt):
        _made(few, first)
    made = _made(few, second)

    assert made.is_good
    assert first.done["voice"] + second.done["voice"] == SHARED + 2
    _built(sorted(few.rglob("*.md")), few / ALONE)
    assert held(few / "out") == held(few / ALONE)


def test_all_problems_are_told_before_a_word_is_voiced(season: Path, voice: FakeEngine) -> None:
    """Errors of two of three scripts in one pass, with their files; nothing is made."""
    for name in ("boats", "gulls"):
        script = season / f"{name}.md"
        script.write_text(script.read_text("utf-8").replace("readings: 2", "readings: x"), "utf-8")
    with pytest.raises(ScriptError) as caught:
        _made(season, InlineEngine())

    wrong = {p.place.file.name for p in caught.value.problems if p.severity == "error"}
    assert wrong == {"boats.md", "gulls.md"}
    assert voice.n_prepared == 0
    assert not (season / "out" / "ferry").exists()


@pytest.mark.usefixtures("voice")
def test_the_others_go_on_if_asked(few: Path) -> None:
    """One script of three has errors: the others are made, and it is told."""
    script = few / "boats.md"
    script.write_text(script.read_text("utf-8").replace("readings: 2", "readings: x"), "utf-8")
    made = _made(few, InlineEngine(), goes_on=True)

    assert made.counts.n_made == 1
    assert [(one.test, one.why) for one in made.table.not_made] == [
        ("boats", "its script has 1 error")
    ]
    assert {p.place.file.name for p in made.problems if p.severity == "error"} == {"boats.md"}


def test_two_tests_with_one_name_are_refused(season: Path) -> None:
    """Their results would lie in one folder; letters alike but for their size count too."""
    _written(season / "more", "Boats", "Again?")
    with pytest.raises(OutputError, match=r"boats.md.*would be built into one folder"):
        find_scripts(season, season / "out")


def test_a_folder_without_scripts_is_refused(tmp_path: Path) -> None:
    """One that is not there, and one that holds none."""
    with pytest.raises(FileError, match="is not there"):
        find_scripts(tmp_path / "none", tmp_path / "out")
    with pytest.raises(FileError, match="no script lies in the folder"):
        find_scripts(tmp_path, tmp_path / "out")


@pytest.mark.usefixtures("voice")
def test_a_full_disk_is_tried_again_and_told(few: Path) -> None:
    """What another time may help is given again; where nothing helps, the test is told."""
    full = Fault("the disk is full", "make room", may_pass=True)
    n_refused = 0

    def refuse(task: Task) -> Outcome | None:
        nonlocal n_refused
        is_gulls = task.kind == "lay" and "gulls" in str(task.ask)
        if is_gulls or (task.kind == "lay" and not n_refused):
            n_refused += 1
            return Outcome(fault=full)
        return None

    made = _made(few, InlineEngine(refuse))

    assert made.counts.n_made == 1
    assert [(one.test, one.why) for one in made.table.not_made] == [("gulls", "the disk is full")]
    assert not (few / "out" / "gulls").exists()


@pytest.mark.usefixtures("voice")
def test_a_script_that_changes_meanwhile_is_not_mixed(few: Path) -> None:
    """An edit after the reading: the test is not made of two states, and told."""
    script = few / "boats.md"

    def edit(task: Task) -> None:
        if task.kind == "lay" and "boats" in str(task.ask):
            script.write_text(script.read_text("utf-8").replace("Two", "Nine"), "utf-8")

    made = _made(few, InlineEngine(edit))

    assert [one.test for one in made.table.not_made] == ["boats"]
    assert "was changed while the season was made" in made.table.not_made[0].why
    assert not (few / "out" / "boats").exists()
    assert _made(few, InlineEngine()).counts.n_made == 1


@pytest.mark.usefixtures("voice")
def test_the_engine_knows_a_window_of_tests_only(tmp_path: Path) -> None:
    """With three times as many tests it never holds more tasks at once."""

    def nothing(task: Task) -> Outcome | None:
        return None if task.kind == "read" else Outcome(fault=Fault("nothing is made here"))

    most = []
    for n_tests in (5, 15):
        folder = tmp_path / str(n_tests)
        for at in range(n_tests):
            name = f"test-{at:02}"
            _written(folder, name, "How many boats?", rows="standard: {label: A}\n")
        engine = InlineEngine(nothing)
        made = _made(folder, engine)
        assert len(made.table.not_made) == n_tests
        most.append(engine.most_known)

    assert most[0] == most[1]


def test_the_table_agrees_with_the_records(once: Path) -> None:
    """Read by pandas where it is installed, else by csv: each row is one track of a record."""
    out = once / "out"
    tracks = {}
    for folder in ("boats", "gulls", "ferry"):
        for file in record_files(out / folder):
            record = read_record(file)
            assert record is not None
            for one in record.files:
                if one.kind == "track":
                    assert one.measured is not None
                    tracks[f"{folder}/{one.path}"] = record, one.measured

    table = json.loads((out / "season.json").read_text("utf-8"))
    jsonschema.validate(table, published_schema("season_table.schema.json"))
    rows = _rows(out / "season.csv")

    assert {row["track"] for row in rows} == tracks.keys()
    assert [row["track"] for row in rows] == [row["track"] for row in table["rows"]]
    for row in rows:
        record, measured = tracks[row["track"]]
        assert (int(row["n_samples"]), int(row["rate_hz"])) == (
            measured.n_samples,
            measured.rate_hz,
        )
        assert float(row["length_s"]) == pytest.approx(measured.n_samples / measured.rate_hz)
        assert (row["version_label"], row["edition"]) == (record.version_label, record.edition)
        assert row["verdict"] == "good"
        assert abs(float(row["worst_error_s"])) < 0.01
        assert row["voices"] == "joe"
    page = (out / "season.html").read_text("utf-8")
    assert all(row["test"] in page for row in rows)
    rights = {(out / f"season.{end}").stat().st_mode & 0o77 for end in ("csv", "json", "html")}
    assert rights == {0}


def _rows(file: Path) -> list[dict[str, str]]:
    try:
        import pandas as pd  # noqa: PLC0415  a dependency for developers
    except ImportError:
        with file.open(encoding="utf-8", newline="") as opened:
            return list(csv.DictReader(opened))
    return pd.read_csv(file, dtype=str, keep_default_na=False).to_dict("records")  # type: ignore[no-any-return]


def test_a_season_answers(once: Path) -> None:
    """Lists by voice, of what nobody heard or signed, by length, and of what reads a file."""
    out = once / "out"

    def found(question: str, about: Path | None = None) -> list[tuple[str, str]]:
        asked = ask_season(once, out, question, about)
        return [(one.test, one.version_label) for one in asked]

    everything = [(name, label) for name in ("boats", "ferry", "gulls") for label in "AB"]
    assert found("voice=joe") == found("unheard") == found("unsigned") == everything
    assert found("voice=iris") == []
    assert {label for _, label in found("length")[:3]} == {"B"}  # three readings are longest
    assert found("touched-by", once / "boats.arrangements.yaml") == [
        ("boats", "A"),
        ("boats", "B"),
    ]
    with pytest.raises(OutputError, match="nothing that a season can be asked"):
        found("unherd")
    with pytest.raises(OutputError, match="no season was made"):
        ask_season(once, once / "elsewhere", "length", None)
