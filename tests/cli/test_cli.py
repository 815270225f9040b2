"""The command line as a user meets it: exit codes, messages, JSON, nothing half-written."""

from __future__ import annotations

import json
import os
import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import jsonschema
import pytest
from pausewright.checker.report.blind import blind_schema
from pausewright.checker.report.report import schema as report_schema
from pausewright.deliver import build as build_module
from pausewright.deliver.build import Options, build
from pausewright.files.owner import this_process
from support.scripts.short_scripts import SMALL
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from support.command_line import Run


def _small(folder: Path, text: str = SMALL) -> Path:
    file = folder / "morning.md"
    file.write_text(text, encoding="utf-8")
    return file


def _line_of(words: str, text: str = SMALL) -> int:
    return next(i for i, row in enumerate(text.splitlines(), start=1) if words in row)


def _track(folder: Path) -> Path:
    script = _small(folder)
    built = build(
        script,
        Options(
            folder / "out", formats=("wav",), engines=fake_engines(FakeEngine(ramp_s=0.02)),
            profiles=fake_profiles(folder),
        ),
    )  # fmt: skip
    return next(f for f in built.files if f.suffix == ".wav")


@pytest.mark.parametrize(
    "command",
    [
        "",
        "new",
        "outline",
        "tidy",
        "wording",
        "build",
        "compare",
        "needs",
        "check",
        "voices",
        "forget",
        "schemas",
    ],
)
def test_help_teaches_each_command(run: Run, command: str) -> None:
    """Every command says what it does and takes, and exits with 0."""
    code, out, _ = run(*([command] if command else []), "--help")

    assert code == 0
    assert "Usage: pausewright" in out
    assert len(out.splitlines()) > 7


@pytest.mark.parametrize(
    ("twice", "hint"),
    [
        (("--format", "mp3", "--format", "wav"), "once, for example --format a,b"),
        (("--out", "a", "--out=b"), "leave one of them out"),
    ],
)
def test_a_value_that_would_not_count_is_refused(
    run: Run, tmp_path: Path, twice: tuple[str, ...], hint: str
) -> None:
    """Of two values of one option the last would win: a format would be missing without a word."""
    _small(tmp_path)

    code, _, err = run("build", "morning.md", *twice)

    assert code == 2
    assert f"‘{twice[0]}’ is given more than once" in err
    assert hint in err
    assert sorted(file.name for file in tmp_path.iterdir()) == ["morning.md"]


def test_a_switch_may_be_given_twice(run: Run, tmp_path: Path) -> None:
    """What holds no value is the same however often it is given."""
    _small(tmp_path)

    assert run("outline", "morning.md", "--json", "--json")[0] == 0


def test_new_writes_a_script_that_reads_clean_and_never_overwrites(
    run: Run, tmp_path: Path
) -> None:
    """The script to start from has no problem; a second `new` leaves it alone."""
    assert run("new", "mine.md")[0] == 0
    code, out, err = run("outline", "mine.md")
    assert (code, "error" in err) == (0, False)
    assert "answer time" in out

    before = (tmp_path / "mine.md").read_bytes()
    code, _, err = run("new", "mine.md")
    assert code == 2
    assert "is there already and was left as it is" in err
    assert (tmp_path / "mine.md").read_bytes() == before


def test_new_wants_a_markdown_name(run: Run) -> None:
    """Another ending is refused with what to type."""
    code, _, err = run("new", "mine.txt")
    assert code == 2
    assert "hint: write: pausewright new mine.md" in err


def test_outline_shows_words_silences_origins_and_totals(run: Run, tmp_path: Path) -> None:
    """Each silence says its kind and where its value came from; totals are exact."""
    _small(tmp_path)
    code, out, _ = run("outline", "morning.md")

    assert code == 0
    assert "“How many boats are there?”" in out
    assert f"6 s  · answer time  (line {_line_of('## First')})" in out
    assert "1.5 s  · silence between readings  (settings)" in out
    assert "answer time                         2 ×   sum        8.5 s" in out
    assert "about" in out


def test_outline_looks_again_at_every_save(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With --watch a mistake shows at the next save, and goes when it is mended."""
    script = _small(tmp_path)
    saves = iter([SMALL.replace("[2 s]", "[2]"), SMALL, None])

    def save_next(_: float) -> None:
        text = next(saves)
        if text is None:
            raise KeyboardInterrupt
        before = script.stat().st_mtime_ns
        script.write_text(text, encoding="utf-8")
        os.utime(script, ns=(before + 10**9, before + 10**9))

    monkeypatch.setattr("time.sleep", save_next)
    code, out, err = run("outline", "morning.md", "--watch")

    assert code == 130
    assert out.count("no errors; 2 questions") == 2
    assert err.count("this pause has no length that can be read") == 1


def test_outline_as_json_adds_up(run: Run, tmp_path: Path) -> None:
    """The steps of the JSON outline run on without holes."""
    _small(tmp_path)
    code, out, _ = run("outline", "morning.md", "--json")
    data = json.loads(out)

    assert code == 0
    assert data["n_questions"] == 2
    assert data["silences"]["answer-time"] == {"count": 2, "total_s": "8.5"}
    assert [s for s in data["steps"] if s["kind"] == "answer-time"][1]["length_s"] == "2.5"


def test_all_problems_come_at_once_with_line_caret_and_hint(run: Run, tmp_path: Path) -> None:
    """Exit code 2, each problem with its place, and no traceback."""
    text = SMALL.replace('answer-time="6 s"', 'anwser-time="6 s"').replace("[2 s]", "[2]")
    _small(tmp_path, text)
    code, out, err = run("build", "morning.md")

    assert code == 2
    assert out == ""
    line = _line_of("## First")
    assert f"morning.md:{line}:11: error: ‘anwser-time’ is not an attribute" in err
    assert "hint: did you mean answer-time?" in err
    assert "\n              ^" in err
    assert "error: this pause has no length that can be read" in err
    assert "nothing was written" in err
    assert "Traceback" not in err
    assert not (tmp_path / "out").exists()


def test_problems_as_json(run: Run, tmp_path: Path) -> None:
    """`--json` gives problems as data, still with exit code 2."""
    _small(tmp_path, SMALL.replace("::: stop", "::: stpo"))
    code, out, _ = run("outline", "morning.md", "--json")
    problem = next(p for p in json.loads(out)["problems"] if p["severity"] == "error")

    assert code == 2
    assert problem["line"] == _line_of("::: stop")
    assert problem["hint"] == "did you mean ::: stop?"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("outline", "nowhere.md"), "is not there"),
        (("build", "nowhere.md"), "is not there"),
        (("check", "nowhere.wav", "--script", "morning.md"), "nowhere.wav"),
        (("check", ".", "--script", "morning.md"), "holds no track"),
        (("check", "morning.md"), "add --script morning.md"),
        (("check", ".", "--readers", "elves"), "write one of: adult, younger-readers"),
        (("build", "morning.md", "--format", "ogg"), "‘ogg’ is not a format"),
        (("outline", "."), "is a folder"),
    ],
)
def test_wrong_calls_are_said_plainly(
    run: Run, tmp_path: Path, arguments: tuple[str, ...], said: str
) -> None:
    """A wrong name or option: one sentence, exit code 2, no traceback."""
    _small(tmp_path)
    code, _, err = run(*arguments)

    assert code == 2
    assert said in err
    assert "Traceback" not in err


def test_check_passes_a_good_track_and_its_json_keeps_to_the_schema(
    run: Run, tmp_path: Path
) -> None:
    """A good track: exit code 0; the report as data validates."""
    track = _track(tmp_path)
    code, out, _ = run("check", str(track), "--script", "morning.md", "--quiet")
    assert code == 0
    assert "GOOD" in out

    code, out, _ = run("check", str(track), "--script", "morning.md", "--json")
    assert code == 0
    jsonschema.validate(json.loads(out), report_schema())


def test_a_track_without_a_script_is_measured_and_never_called_good(
    run: Run, tmp_path: Path
) -> None:
    """Levels, silences and a drawing of time; captions need the script."""
    track = _track(tmp_path)
    code, out, _ = run("check", str(track), "--html", "seen.html")

    assert code == 0
    assert "MEASURED, NOT COMPARED" in out
    assert "GOOD" not in out
    assert "silence" in out
    assert "LUFS" in out
    page = (tmp_path / "seen.html").read_text("utf-8")
    assert "Measured, not compared:" in page
    assert 'class="strip-line"' in page

    code, out, _ = run("check", str(track), "--json")
    assert json.loads(out)["has_script"] is False
    assert json.loads(out)["verdict"] == "measured"
    jsonschema.validate(json.loads(out), report_schema())

    code, out, _ = run("check", str(track), "--blind", "--html", "blind.html")
    assert (code, out.partition(":")[0]) == (0, "MEASURED, NOT COMPARED")
    assert not re.search(r"(?i)\bgood\b", out)
    page = (tmp_path / "blind.html").read_text("utf-8")
    assert not re.search(r"(?i)\bgood\b", re.sub("<[^>]*>", " ", page[page.index("<body") :]))
    code, out, _ = run("check", str(track), "--blind", "--json")
    seen = json.loads(out)
    assert (seen["verdict"], seen["rooms"][0]["tracks"][0]["verdict"]) == ("measured",) * 2
    jsonschema.validate(seen, blind_schema())

    code, _, err = run("check", str(track), "--captions", str(track.with_suffix(".vtt")))
    assert code == 2
    assert "captions are compared with what the script says" in err


def test_check_fails_a_track_of_another_script(run: Run, tmp_path: Path) -> None:
    """A gap that is not the script's: exit code 1 and a finding."""
    track = _track(tmp_path)
    _small(tmp_path, SMALL.replace("2.5 s", "3.5 s"))
    code, out, _ = run("check", str(track), "--script", "morning.md", "--quiet")

    assert code == 1
    assert "too short" in out


def test_pieces_are_built_on_request_and_one_that_is_lost_fails_the_check(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`--split-at-stops` lists the pieces; `check` takes any one of them for all."""
    script = _small(tmp_path)
    right = build_module.build_versions
    voices = {"engines": fake_engines(FakeEngine(ramp_s=0.02)),
              "profiles": fake_profiles(tmp_path)}  # fmt: skip
    monkeypatch.setattr(
        build_module,
        "build_versions",
        lambda path, options, names: right(path, replace(options, **voices), names),
    )
    code, out, _ = run("build", str(script), "--format", "wav", "--split-at-stops", "--json")
    assert code == 0
    first, second = (Path(f) for f in json.loads(out)["files"] if f.endswith("-of-2.wav"))

    assert run("check", str(second), "--script", str(script))[0] == 0
    first.unlink()
    code, out, _ = run("check", str(second), "--script", str(script))
    assert code == 1
    assert "piece 1 of 2" in " ".join(out.split())


def test_voices_lists_language_licence_and_origin(run: Run) -> None:
    """The bundled voices are listed, and how to add one is said."""
    code, out, _ = run("voices")
    assert code == 0
    assert "joe" in out
    assert out.count("en-US") >= 2
    assert out.count("en-GB") >= 2
    assert "caution" in out
    assert "NAME.voice.yaml" in out

    code, out, _ = run("voices", "--json")
    assert {row["engine"] for row in json.loads(out)} == {"piper", "hibari", "kokoro"}


def test_forget_lists_and_removes_what_was_kept(run: Run, tmp_path: Path) -> None:
    """Without a person to ask nothing is removed; with --yes everything is."""
    _track(tmp_path)
    code, out, err = run("forget", "morning.md")
    assert code == 2
    assert "are kept in" in out
    assert "add --yes" in err
    assert (tmp_path / ".pausewright").is_dir()

    assert run("forget", "morning.md", "--yes")[0] == 0
    assert not any((tmp_path / ".pausewright").rglob("*.json"))
    assert "nothing is kept" in run("forget", "morning.md", "--yes")[1]


@pytest.mark.parametrize(
    ("name", "says"), [("old.jsonl", "is there already"), ("nowhere/new.jsonl", "is no folder")]
)
def test_a_season_refuses_a_file_for_its_times_before_it_works(
    run: Run, tmp_path: Path, name: str, says: str
) -> None:
    """What could not be written after an hour is told at once; nothing is made, nothing lost."""
    _small(tmp_path)
    (tmp_path / "old.jsonl").write_text("mine", encoding="utf-8")

    code, _, err = run("season", ".", "--measured", name)

    assert code == 2
    assert says in err
    assert "--measured NAME" in err
    assert (tmp_path / "old.jsonl").read_text("utf-8") == "mine"
    assert not (tmp_path / "out").exists()
    assert not (tmp_path / ".pausewright").exists()


def test_forget_lists_and_removes_what_stopped_commands_left(run: Run, tmp_path: Path) -> None:
    """Stages beside results and rooms, and rests of older versions; results themselves stay."""
    _small(tmp_path)
    stage = tmp_path / "out" / ".morning.0123abcd.stage"
    older = tmp_path / ".rooms.0123abcd.old"
    for folder in (stage / "new", older, tmp_path / "out" / "morning"):
        folder.mkdir(parents=True)
        (folder / "track.wav").write_bytes(b"x" * 100_000)
    gone = replace(this_process(), started="1")
    (stage / "owner.json").write_text(gone.as_text(), "utf-8")
    code, out, err = run("forget", "morning.md")
    assert (code, "add --yes" in err) == (2, True)
    assert f"{stage}, 0.1 MB" in out
    assert "look into it first: an older version may have left your own files" in out
    data = json.loads(run("forget", "morning.md", "--json")[1])
    assert [one["path"] for one in data["left"]] == [str(older), str(stage)]

    assert run("forget", "morning.md", "--yes")[0] == 0
    assert sorted(one.name for one in tmp_path.rglob("*")) == [
        "morning", "morning.md", "out", "track.wav"
    ]  # fmt: skip


def test_check_takes_back_what_a_stopped_build_left(run: Run, tmp_path: Path) -> None:
    """A dead build's stage goes before the check looks at the folder."""
    track = _track(tmp_path)
    stage = tmp_path / "out" / ".morning.0123abcd.stage"
    stage.mkdir()
    code, _, _ = run("check", str(track.parent.parent))

    assert code == 0
    assert not stage.exists()


@pytest.mark.voice
def test_the_real_voice_builds_and_passes_the_check(run: Run, tmp_path: Path) -> None:
    """From `new` to a checked MP3 with the embedded voice."""
    assert run("new", "mine.md")[0] == 0
    code, out, err = run("build", "mine.md", "--quiet")

    assert code == 0, err
    assert "Not heard by a person yet" in out
    assert list((tmp_path / "out" / "mine" / "version-A").glob("*[!k].mp3"))
    code, out, _ = run("outline", "mine.md")
    assert "about" not in out
