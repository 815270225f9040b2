"""A fault that nobody foresaw: one sentence, exit code 70, a report without a word of the test."""

from __future__ import annotations

import json
import re
import stat
import sys
import tempfile
from typing import TYPE_CHECKING

import pytest
from pausewright import cli
from pausewright.fault_report import fault_report
from pausewright.script.reader import Reading, read, read_script
from support.scripts.short_scripts import HEAD

if TYPE_CHECKING:
    from pathlib import Path

    from support.command_line import Run

PLANTED = "quokkawombat"
"""Stands in the script, in its name, in the error's text and in an argument."""
COMMANDS = {
    "desk": ("pausewright.desk.start.open_desk", ("desk", PLANTED, "--no-browser")),
    "new": ("pausewright.tasks.new_script.package_folder", ("new", f"{PLANTED}-2.md")),
    "draft": (
        "pausewright.tasks.drafts.draft_script",
        ("draft", f"{PLANTED}.wav", "-o", f"{PLANTED}-3.md"),
    ),
    "schemas": ("pausewright.deliver.editor_schemas.write_schemas", ("schemas", PLANTED)),
    "outline": ("pausewright.deliver.project.open_project", ("outline", f"{PLANTED}.md")),
    "tidy": ("pausewright.deliver.tidy_file.tidy_file", ("tidy", f"{PLANTED}.md")),
    "hear": ("pausewright.deliver.project.open_project", ("hear", f"{PLANTED}.md", "1")),
    "heard": ("pausewright.deliver.heard_log.read_heard_log", ("heard", f"{PLANTED}.md", "x.json")),
    "build": ("pausewright.deliver.script_set.build_scripts", ("build", f"{PLANTED}.md")),
    "season": ("pausewright.season.run.make_season", ("season", ".", "--out", PLANTED)),
    "papers": ("pausewright.deliver.papers_again.write_papers", ("papers", f"{PLANTED}.md")),
    "compare": ("pausewright.deliver.project.open_project", ("compare", f"{PLANTED}.md")),
    "differs": (
        "pausewright.deliver.differs.difference.differ",
        ("differs", f"{PLANTED}.md", f"{PLANTED}.md"),
    ),
    "retime": (
        "pausewright.deliver.caption_retime.retime",
        ("retime", f"{PLANTED}.vtt", f"{PLANTED}.md", "--arrangement", PLANTED),
    ),
    "needs": ("pausewright.deliver.project.open_project", ("needs", "n.csv", f"{PLANTED}.md")),
    "excerpt": (
        "pausewright.deliver.excerpt.make_excerpt",
        ("excerpt", f"{PLANTED}.md", "--questions", "1", "--as", f"{PLANTED}.wav"),
    ),
    "pack": ("pausewright.deliver.pack.pack", ("pack", PLANTED, "--as", f"{PLANTED}.zip")),
    "sign": (
        "pausewright.deliver.sign.sign",
        ("sign", f"{PLANTED}.md", "--as", PLANTED, "--for", "sound"),
    ),
    "check": (
        "pausewright.deliver.recheck.recheck",
        ("check", f"{PLANTED}.mp3", f"--script={PLANTED}.md"),
    ),
    "where": ("pausewright.deliver.interrupted.where_stopped", ("where", f"{PLANTED}.md", "0:10")),
    "voices": ("pausewright.voice.voice_list.all_profiles", ("voices", "--script", PLANTED)),
    "wording": ("pausewright.script.reader.read", ("wording", f"{PLANTED}.md")),
    "forget": ("pausewright.voice.store.list_kept", ("forget", f"{PLANTED}.md")),
}
"""For each command: what fails in it, and how it is called."""
QUESTION = '\n1. Write one. {answer-time="5 s"}\n\nThat is all.\n'
KINDS = (KeyError, RecursionError, MemoryError, EOFError, UnicodeError)


@pytest.fixture
def reports(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Return the folder into which reports go: one of this test's own."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    return folder


def break_at(monkeypatch: pytest.MonkeyPatch, target: str, kind: type[Exception]) -> None:
    """Make a function raise an error whose text quotes a script, as library errors do."""

    def fail(*_: object, **__: object) -> None:
        words = PLANTED
        try:
            raise ValueError(f"cannot read {words!r}")
        except ValueError as error:
            raise kind(f"in {words}") from error

    monkeypatch.setattr(target, fail)


def write_script(folder: Path) -> None:
    """Write a script that holds the planted word."""
    text = f"{HEAD}{QUESTION}\n{PLANTED}.\n"
    (folder / f"{PLANTED}.md").write_text(text, encoding="utf-8")


def test_every_command_is_broken_here() -> None:
    """No command is left out below."""
    names = {command.name or command.callback.__name__ for command in cli.app.registered_commands
             if command.callback is not None}  # fmt: skip

    assert names == set(COMMANDS)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("command", COMMANDS)
def test_a_fault_is_one_sentence_and_a_report(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, reports: Path, command: str,
    kind: type[Exception],
) -> None:  # fmt: skip
    """Exit code 70, no traceback, a report for the owner only, and no planted word anywhere."""
    target, arguments = COMMANDS[command]
    write_script(tmp_path)
    break_at(monkeypatch, target, kind)

    code, out, err = run(*arguments)

    (report,) = reports.iterdir()
    text = report.read_text(encoding="utf-8")
    assert code == 70
    assert err.startswith("error: ")
    assert len(err.splitlines()) == 2
    assert str(report) in err
    assert "Traceback" not in out + err + text
    assert PLANTED not in out + err + text
    assert f"command: {command}\n" in text
    assert kind.__name__ in text
    assert "ValueError" in text
    assert re.search(r"^  pausewright/cli/program\.py:\d+ \w+$", text, re.MULTILINE)
    assert re.search(rf"^  pausewright/cli/commands/{command}\.py:\d+ \w+$", text, re.MULTILINE)
    if sys.platform != "win32":
        assert stat.S_IMODE(report.stat().st_mode) == 0o600


def test_options_are_named_without_values(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, reports: Path
) -> None:
    """Only names of options that the command has are told."""
    write_script(tmp_path)
    break_at(monkeypatch, "pausewright.deliver.recheck.recheck", KeyError)

    run("check", "--script", f"--{PLANTED}", f"--captions={PLANTED}", "--blind", PLANTED)

    text = next(reports.iterdir()).read_text(encoding="utf-8")
    assert "options: --blind --captions --script\n" in text


def test_as_json_a_fault_is_an_object(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, reports: Path
) -> None:
    """With --json standard output holds one object, and standard error nothing."""
    write_script(tmp_path)
    break_at(monkeypatch, "pausewright.deliver.project.open_project", KeyError)

    code, out, err = run("outline", f"{PLANTED}.md", "--json")

    data = json.loads(out)
    assert (code, err) == (70, "")
    assert data["report"] == str(next(reports.iterdir()))
    assert set(data) == {"error", "hint", "report"}


def test_blind_a_fault_says_nothing_of_the_content(
    run: Run, monkeypatch: pytest.MonkeyPatch, reports: Path
) -> None:
    """With --blind the sentence is the same: there is nothing in it to leave out."""
    break_at(monkeypatch, "pausewright.deliver.recheck.recheck", RecursionError)

    code, out, err = run("check", f"{PLANTED}.mp3", "--blind")

    assert code == 70
    assert PLANTED not in out + err
    assert len(list(reports.iterdir())) == 1


def test_a_report_that_cannot_be_written_is_told(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The sentence and the exit code stay."""
    write_script(tmp_path)
    break_at(monkeypatch, "pausewright.deliver.project.open_project", KeyError)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "nowhere"))

    code, _, err = run("outline", f"{PLANTED}.md")

    assert code == 70
    assert err.splitlines()[1] == "  hint: no report of it could be written"


def test_watching_goes_on_after_a_fault(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, reports: Path
) -> None:
    """A fault at one save is told; the next save is looked at as ever."""
    write_script(tmp_path)
    script = tmp_path / f"{PLANTED}.md"
    waits = 0

    def wait(_: float) -> None:
        nonlocal waits
        waits += 1
        if waits > 2:
            raise KeyboardInterrupt
        script.write_text(f"{HEAD}{QUESTION}" + "\n" * waits, encoding="utf-8")

    def read_or_fail(path: Path, text: str | None = None) -> Reading:
        if not waits:
            raise RecursionError(PLANTED)
        return read(path, text)

    monkeypatch.setattr("pausewright.deliver.project.read", read_or_fail)
    monkeypatch.setattr("time.sleep", wait)

    code, out, err = run("outline", f"{script}", "--watch")

    assert code == 130
    assert err.count("error: a fault of Pausewright") == 1
    assert "no errors; 1 question" in out
    assert len(list(reports.iterdir())) == 1


def test_callers_from_python_get_the_error_itself(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The last resort belongs to the command line."""
    write_script(tmp_path)
    break_at(monkeypatch, "pausewright.script.reader.read_source", KeyError)

    with pytest.raises(KeyError, match=PLANTED):
        read_script(tmp_path / f"{PLANTED}.md")


def test_endless_recursion_makes_a_short_report() -> None:
    """A chain of thousands of calls is told by its beginning and its end."""

    def deeper() -> None:
        deeper()

    with pytest.raises(RecursionError) as caught:
        deeper()

    rows = fault_report(caught.value, [], {}).splitlines()
    assert any(re.fullmatch(r"  and \d+ more", row) for row in rows)
    assert len(rows) < 100
