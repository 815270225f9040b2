"""The two commands of the README: how they set themselves up and what they say when they cannot."""

from __future__ import annotations

import importlib.util
import json
import subprocess
import sys
import tomllib
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import bootstrap
import demo
import other_processors
import pytest

if TYPE_CHECKING:
    from types import ModuleType

SCRIPTS = Path(__file__).resolve().parent.parent / "scripts"


def command_module() -> ModuleType:
    """Return scripts/test.py, whose name a standard package has too."""
    spec = importlib.util.spec_from_file_location("test_command", SCRIPTS / "test.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Let the set-up work in a folder of its own; return where its environment goes."""
    folder = tmp_path / ".venv"
    monkeypatch.setattr(bootstrap, "VENV", folder)
    monkeypatch.setattr(bootstrap, "STAMP", folder / "stamp.json")
    monkeypatch.setattr(bootstrap, "program", lambda _name: Path(sys.executable))
    monkeypatch.setattr("time.sleep", lambda _s: None)
    folder.mkdir()
    return folder


def test_the_python_asked_for_is_the_packages() -> None:
    """The scripts and pyproject.toml ask for the same Python."""
    text = (SCRIPTS.parent / "pyproject.toml").read_text(encoding="utf-8")
    needed = tomllib.loads(text)["project"]["requires-python"]

    assert needed == ">=" + ".".join(map(str, bootstrap.REQUIRED))


def test_an_old_python_is_told_so() -> None:
    """A Python that is too old is named, with the one that is needed."""
    with pytest.raises(bootstrap.SetupError, match=r"this is Python 3\.9; .* 3\.11 or newer"):
        bootstrap.check_python((3, 9))
    bootstrap.check_python((3, 11))
    bootstrap.check_python((4, 0))


@pytest.mark.parametrize(
    ("release", "command"),
    [
        ("ID=debian\n", "apt install python3-venv  (or, for this version, python3.12-venv)"),
        ('ID=linuxmint\nID_LIKE="ubuntu debian"\n', "apt install python3-venv"),
        ('ID="rocky"\nID_LIKE="rhel centos fedora"\n', "dnf install"),
        ("ID=alpine\n", "apk add"),
        ("# nothing known\nID=elsewhere\n", "the modules venv and ensurepip"),
    ],
)
def test_a_missing_venv_names_the_package(tmp_path: Path, release: str, command: str) -> None:
    """Each family of distributions gets its own command (common practice, no source)."""
    (tmp_path / "os-release").write_text(release, encoding="utf-8")

    values = bootstrap.os_release(tmp_path / "os-release")

    assert command in bootstrap.missing_venv_hint(values, (3, 12))
    assert bootstrap.os_release(tmp_path / "none") == {}


def test_without_ensurepip_nothing_is_made(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A Python without ensurepip stops before anything is written."""
    place.rmdir()
    monkeypatch.setattr(bootstrap, "program", lambda _name: place / "missing")
    real = importlib.util.find_spec
    monkeypatch.setattr("importlib.util.find_spec", lambda n: None if n == "ensurepip" else real(n))

    with pytest.raises(bootstrap.SetupError, match="without its module ensurepip"):
        bootstrap.ready(["all"])
    assert not place.exists()


def test_a_folder_that_is_no_environment_is_left_alone(
    place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A user's own folder of that name is not cleared."""
    (place / "mine.txt").write_text("mine", encoding="utf-8")
    monkeypatch.setattr(bootstrap, "program", lambda _name: place / "missing")

    with pytest.raises(bootstrap.SetupError, match="no virtual environment"):
        bootstrap.ready(["all"])
    assert (place / "mine.txt").read_text(encoding="utf-8") == "mine"


def test_a_second_run_installs_nothing(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is installed stays; more extras, or other dependencies, are installed once."""
    asked: list[tuple[str, ...]] = []

    def pip(_python: Path, *arguments: str) -> tuple[int, list[str]]:
        asked.append(arguments)
        return 0, []

    monkeypatch.setattr(bootstrap, "_pip", pip)
    for extras in (["all"], ["all"], ["all", "dev"], ["all"], ["all", "dev"]):
        assert bootstrap.ready(extras) == Path(sys.executable)
    assert [a[-1] for a in asked] == [".[all]", ".[all,dev]"]

    (place / "stamp.json").write_text("damaged", encoding="utf-8")
    bootstrap.ready(["all"])
    assert len(asked) == 3
    stamp = json.loads((place / "stamp.json").read_text(encoding="utf-8"))
    (place / "stamp.json").write_text(json.dumps({**stamp, "key": "other"}), encoding="utf-8")
    bootstrap.ready(["all"])
    assert len(asked) == 4


def test_a_failed_installation_is_tried_twice(
    place: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """After two failures pip's last words are shown and no stamp is left."""
    tries: list[int] = []

    def pip(*_arguments: object) -> tuple[int, list[str]]:
        tries.append(1)
        return 1, ["nothing reached"]

    monkeypatch.setattr(bootstrap, "_pip", pip)

    with pytest.raises(bootstrap.SetupError, match="pip could not install"):
        bootstrap.ready(["all"])
    assert len(tries) == 2
    assert "pip: nothing reached" in capsys.readouterr().err
    assert not (place / "stamp.json").exists()


def test_the_mark_changes_with_what_matters() -> None:
    """Other dependencies, another Python or another folder need another installation."""
    here = Path("project")
    marks = {
        bootstrap.wanted_key(b"a", "3.11", "/usr", here),
        bootstrap.wanted_key(b"b", "3.11", "/usr", here),
        bootstrap.wanted_key(b"a", "3.12", "/usr", here),
        bootstrap.wanted_key(b"a", "3.11", "/opt", here),
        bootstrap.wanted_key(b"a", "3.11", "/usr", here / "other"),
    }

    assert len(marks) == 5


def test_programs_of_an_environment() -> None:
    """Windows keeps them in Scripts, with .exe; other systems in bin."""
    folder = Path("v")

    assert bootstrap.program("python", folder, "nt") == folder / "Scripts" / "python.exe"
    assert bootstrap.program("python", folder, "posix") == folder / "bin" / "python"


def test_a_setup_error_ends_with_two(capsys: pytest.CaptureFixture[str]) -> None:
    """What a person must install is one sentence and a hint, without a traceback."""

    def main() -> int:
        raise bootstrap.SetupError("no pip", "install pip")

    with pytest.raises(SystemExit) as ended:
        bootstrap.run_script(main)

    assert ended.value.code == 2
    assert capsys.readouterr().err == "error: no pip\n  hint: install pip\n"


def test_arguments_of_the_test_command() -> None:
    """`--only` takes one kind; what follows -- reaches pytest unchanged."""
    command = command_module()

    assert command.read_arguments([]) == (("lint", "types", "tests"), [])
    assert command.read_arguments(["--all"]) == (("lint", "types", "tests", "long"), [])
    assert command.read_arguments(["--only", "types"]) == (("types",), [])
    arguments = ["--only", "tests", "--", "-k", "pace", "--", "x"]
    assert command.read_arguments(arguments) == (("tests",), ["-k", "pace", "--", "x"])
    for wrong in (
        ["--only", "all"],
        ["--only", "lint", "--", "-k", "pace"],
        ["-k"],
        ["--all", "--", "-x"],
    ):
        with pytest.raises(SystemExit) as ended:
            command.read_arguments(wrong)
        assert ended.value.code == 2


def test_a_failed_check_fails_the_run_but_not_the_others(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """All checks run even if one fails, the table names it, and the exit code is 1."""
    command = command_module()
    monkeypatch.setattr(command, "ready", lambda _extras: Path(sys.executable))
    monkeypatch.setattr(sys, "argv", ["test.py"])
    monkeypatch.setattr(
        command,
        "checks",
        lambda _arguments: [
            command.Check("lint", "bad", ("-m", "json.tool", "--no-such-option")),
            command.Check("tests", "good", ("-m", "json.tool", "--help")),
        ],
    )

    assert command.main() == 1

    *_, bad, good = capsys.readouterr().out.splitlines()
    assert bad.split()[:2] == ["bad", "FAILED"]
    assert good.split()[:2] == ["good", "passed"]


@pytest.mark.parametrize(
    ("node", "lacks"),
    [(None, "Node is not on this machine"), ("/usr/bin/node", "npm ci in tests/empty")],
)
def test_a_check_that_lacks_something_says_so_and_fails_nothing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], node: str, lacks: str
) -> None:
    """Without Node or TypeScript one line and the table say that it did not run."""
    command = command_module()
    check = command.javascript(node, command.ROOT / "tests" / "empty")
    monkeypatch.setattr(command, "ready", lambda _extras: Path(sys.executable))
    monkeypatch.setattr(sys, "argv", ["test.py"])
    monkeypatch.setattr(command, "checks", lambda _arguments: [check])

    assert command.main() == 0

    told, *summary, row = capsys.readouterr().out.strip().splitlines()
    assert told.startswith("---- screens: not run. ")
    assert lacks in told
    assert any(line.startswith("       screens: ") and lacks in line for line in summary)
    assert row.split()[:3] == ["screens", "not", "run"]


def test_the_demo_says_what_was_measured() -> None:
    """The line about a check gives the worst deviation of the silences that were found."""
    report = {
        "verdict": "good",
        "questions": [{}, {}],
        "silences": [{"difference_s": -0.0021}, {"difference_s": 0.001}, {"difference_s": None}],
        "levels": {"loudness_lufs": -23.04, "true_peak_dbtp": -1.96},
    }

    assert demo.measured(report) == (
        "good: 2 questions, 2 silences measured, the furthest off by 2.1 ms; -23.0 LUFS, -2.0 dBTP"
    )


def test_the_demo_says_where_to_look(tmp_path: Path) -> None:
    """Track, captions, papers and report are named, and nothing else that is confidential."""
    for name in (
        "version-A/t.mp3", "version-A/t_sound-check.mp3", "version-A/t.vtt",
        "version-A/t_room-screen.html", "print/candidates/sheet.txt", "print/staff/run.txt",
        "confidential/check-report_A.txt", "confidential/transcript-full_A.txt",
    ):  # fmt: skip
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text("x", encoding="utf-8")

    rows = [row.split(maxsplit=1) for row in demo.where_to_look(tmp_path).splitlines()[1:]]

    assert [(what, Path(file).name) for what, file in rows] == [
        ("play", "t_room-screen.html"),
        ("listen", "t.mp3"),
        ("look", "t.vtt"),
        ("look", "sheet.txt"),
        ("look", "run.txt"),
        ("read", "check-report_A.txt"),
    ]


def test_a_short_demo_comes_first(tmp_path: Path) -> None:
    """The smallest script, so that something is heard soon; then all by name."""
    for name, n_bytes in (("b", 30), ("c", 10), ("a", 20)):
        (tmp_path / f"{name}.md").write_bytes(b"x" * n_bytes)

    assert [one.stem for one in demo.shortest_first(tmp_path.glob("*.md"))] == ["c", "a", "b"]
    assert demo.shortest_first([]) == []


@pytest.mark.parametrize("n_failed", [0, 2])
@pytest.mark.parametrize("n_scripts", [12, 40])
def test_the_demo_ends_with_one_screen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, n_scripts: int, n_failed: int
) -> None:
    """At most 24 lines: a track of each good test, what failed, and how to start the tool."""
    monkeypatch.setattr(demo, "OUT", tmp_path)
    scripts = [Path(f"{number:02}.md") for number in range(n_scripts)]
    for script in scripts:
        for label in "AB":
            folder = tmp_path / script.stem / f"version-{label}"
            folder.mkdir(parents=True)
            (folder / f"{script.stem}-{label}.mp3").write_bytes(b"")

    rows = demo.last_words(scripts, scripts[:n_failed], 61.5)

    text = "\n".join(rows)
    n_listed = min(n_scripts - n_failed, demo.MOST_LISTED)
    assert len(rows) + 1 <= 24  # with the empty line before them
    assert f"{n_scripts - n_failed} of {n_scripts} demo tests built and checked in 62 s" in text
    assert text.count("-A.mp3") == n_listed
    assert text.count("-B.mp3") == 0
    assert ("FAILED: 00, 01;" in text) == bool(n_failed)
    assert ("more in" in text) == (n_scripts - n_failed > n_listed)
    assert rows[-1].strip().startswith(str(bootstrap.program("pausewright")))


def test_the_tool_is_started_without_an_activated_environment(tmp_path: Path) -> None:
    """One line for a shell; on Windows without blanks one for both, else one for each shell."""
    folder = tmp_path / "a b"
    folder.mkdir()
    program = folder / "tool"
    program.write_text('#!/bin/sh\necho "started with $1"\n', encoding="utf-8")
    program.chmod(0o755)

    (line,) = demo.start_lines(program, "posix")
    if sys.platform != "win32":
        done = subprocess.run(["sh", "-c", line], capture_output=True, text=True, check=True)
        assert done.stdout == "started with --help\n"

    assert demo.start_lines(Path("v/p.exe"), "nt") == [f"  {Path('v/p.exe')} --help"]
    powershell, prompt = demo.start_lines(Path("a b/p.exe"), "nt")
    assert powershell.strip().startswith(f'& "{Path("a b/p.exe")}" --help')
    assert prompt.strip().startswith(f'"{Path("a b/p.exe")}" --help')


def test_the_runs_of_tests_leave_none_out() -> None:
    """What one run chooses by its mark the others leave; a choice of one's own is one run."""
    command = command_module()

    runs = [check.command[-2:] for check in command.checks([]) if "pytest" in check.command]
    (own,) = (check for check in command.checks(["-k", "pace"]) if check.kind == "tests")

    assert runs == [
        ("-m", "not real_time and not long"),
        ("-m", "real_time and not long"),
        ("-m", "long or not real_time"),
    ]
    assert own.command[-2:] == ("-k", "pace")
    every = [check.name for check in command.chosen(command.checks([]), [*command.KINDS, "long"])]
    assert "tests" not in every
    assert {"by clock", "long tests"} < set(every)
    usual = [check.name for check in command.chosen(command.checks([]), command.KINDS)]
    assert [name for name in usual if "test" in name or "clock" in name] == ["tests", "by clock"]


def test_all_tests_by_the_clock_are_where_they_are_looked_for() -> None:
    """The run of those tests reads one folder; no file elsewhere marks one."""
    command = command_module()
    folder = SCRIPTS.parent / command.BY_CLOCK_FOLDER
    marked = [
        file
        for file in (SCRIPTS.parent / "tests").rglob("*.py")
        if f"pytest.mark.{command.REAL_TIME}" in file.read_text("utf-8")
    ]

    assert len(marked) >= 2
    assert [file for file in marked if not file.is_relative_to(folder)] == []


def test_the_summary_says_first_what_was_not_looked_at(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Real skipped tests, in one process and in two: by reason, with counts, before the table."""
    (tmp_path / "test_three.py").write_text(
        "import pytest\n"
        "bell = pytest.mark.skipif(True, reason='no bell on this machine: install campana')\n"
        "@bell\ndef test_a() -> None: ...\n"
        "@bell\ndef test_b() -> None: ...\n"
        "def test_c() -> None:\n    pytest.skip('no whistle: pip install flauta')\n"
        "def test_d() -> None: ...\n",
        encoding="utf-8",
    )
    command = command_module()
    monkeypatch.setattr(command, "ready", lambda _extras: Path(sys.executable))
    monkeypatch.setattr(sys, "argv", ["test.py"])
    monkeypatch.delenv("PYTEST_ADDOPTS", raising=False)  # a folder named in it would be emptied
    plain = ("-m", "pytest", "-ra", "-p", "no:cacheprovider", str(tmp_path))
    monkeypatch.setattr(
        command,
        "checks",
        lambda _arguments: [
            command.Check("tests", "one", plain),
            command.Check("tests", "two", (*plain, "-n", "2")),
        ],
    )

    assert command.main() == 0

    said = capsys.readouterr().out
    *summary, one, two = said[said.index("not looked at") :].splitlines()
    assert summary == [
        "not looked at (6 tests skipped):",
        "    4  no bell on this machine: install campana",
        "    2  no whistle: pip install flauta",
        "       the long set takes hours: python3 scripts/test.py --all",
        "",
    ]
    assert [one.split()[:2], two.split()[:2]] == [["one", "passed"], ["two", "passed"]]


def test_a_run_that_leaves_nothing_out_says_nothing_about_it() -> None:
    """With the long set and no test skipped there is no such heading."""
    command = command_module()
    row = command.Row("tests", passed=True, took_s=1.0, last="", skipped=Counter())

    assert command.not_looked_at([row], ["tests", "long"]) == []
    assert command.not_looked_at([row], ["types"]) == []


def test_the_runtimes_that_are_tried_are_allowed_and_older() -> None:
    """From the oldest that pyproject.toml allows up to the one before what is installed."""
    text = 'project.dependencies = ["numpy>=1", "onnxruntime>=1.20,<2"]'

    assert list(other_processors.older_releases(text, "1.23.1")) == [
        "onnxruntime==1.20.*", "onnxruntime==1.21.*", "onnxruntime==1.22.*",
    ]  # fmt: skip
    assert other_processors.read_arguments(["plain", "--", "-k", "x"]) == ("plain", ["-k", "x"])
