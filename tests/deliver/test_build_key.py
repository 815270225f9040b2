"""The build key: whatever can change a delivered file changes it, and nothing is voiced for it."""

from __future__ import annotations

import ast
import os
import shutil
import sys
from dataclasses import replace
from importlib import metadata
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver import build_key as keys
from pausewright.deliver.build import build
from pausewright.deliver.build_key import PACKAGES, PROGRAM, build_key, installed_versions
from pausewright.deliver.project import open_project
from pausewright.deliver.version import made_versions
from pausewright.voice.engine_kinds import EngineKind
from pausewright.wording import numbers
from pausewright.wording.kept_readings import forget_readings
from support.scripts.short_scripts import SMALL
from support.scripts.versions import options, written
from support.voices.fake_voice import FakeEngine, fake_engines

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from pausewright.deliver.build_options import Options

VERSIONS = "longer: {label: B, basis: f, readings: 3}"
NOT_OF_A_BUILD = (
    "cli", "desk", "__main__.py", "checker/ear", "documents", "drafting",
    "deliver/zip_files.py", "deliver/signing_key.py", "season",
)  # fmt: skip
"""Modules that only print, serve pages, hear the words of a track that is there already, draft a
script, pack and sign what is there already, or hand the tasks of builds to other processes."""
LATE = {"typing_extensions"}
"""Imported for the type check only, before Python 3.12."""


class Keys:
    """A script with its lexicon, and the key of one of its versions as things are now."""

    def __init__(self, folder: Path) -> None:
        """Write it."""
        self.script = written(folder, SMALL, VERSIONS)
        self.options = options(folder)

    def key(self, label: str = "A", made: Options | None = None) -> str:
        """Return the key."""
        now = made or self.options
        project = open_project(self.script, now.profiles)
        project.raise_errors()
        return build_key(project, now, made_versions(project, [label])[0])

    def change(self, old: str, new: str) -> None:
        """Write the script with other words."""
        text = self.script.read_text("utf-8")
        assert old in text
        self.script.write_text(text.replace(old, new), "utf-8")


@pytest.fixture
def small(tmp_path: Path) -> Keys:
    """Return a small script."""
    return Keys(tmp_path)


def test_the_key_is_the_same_twice_and_needs_no_voice(small: Keys) -> None:
    """Keys of two versions differ; a comment and an empty line change none; nothing is voiced."""
    engine = FakeEngine()
    made = replace(small.options, engines=fake_engines(engine))
    before = small.key(made=made), small.key("B", made=made)
    small.change("# Opening\n", "<!-- a comment -->\n\n\n# Opening\n")

    assert before[0] != before[1]
    assert (small.key(made=made), small.key("B", made=made)) == before
    assert engine.n_prepared == 0


@pytest.mark.parametrize("package", ["python", "system", *PACKAGES])
def test_another_release_of_a_package_is_another_key(
    small: Keys, monkeypatch: pytest.MonkeyPatch, package: str
) -> None:
    """Each package of the list counts, and the record lists the same."""
    before = small.key()
    right = metadata.version
    if package in {"python", "system"}:
        name = {"python": "python_version", "system": "system"}[package]
        monkeypatch.setattr(f"platform.{name}", lambda: "another")
    else:
        monkeypatch.setattr(keys, "_version", keys._version.__wrapped__)  # nothing is remembered
        monkeypatch.setattr(
            "importlib.metadata.version", lambda name: "0.0" if name == package else right(name)
        )

    assert small.key() != before
    assert installed_versions(PACKAGES)[package] in {"another", "0.0"}


@pytest.mark.parametrize(
    "file",
    [
        "wording/languages/en.toml",
        "screen/room/room.html",
        "screen/shared/page.css",
        "screen/reader/reader.js",
        "captions/transcript_page.html",
        "checker/report_page.html",
        "papers/plain.py",
        "wording/built_in.py",
    ],
)
def test_another_program_is_another_key(
    small: Keys, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, file: str
) -> None:
    """A template, a style, a word table, a sheet: a change of one file of the program counts."""
    copy = tmp_path / "program"
    shutil.copytree(PROGRAM, copy, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(keys, "PROGRAM", copy)
    before = small.key()
    changed = tmp_path / "changed"
    shutil.copytree(copy, changed)
    with (changed / file).open("a", encoding="utf-8") as end:
        end.write("\n")
    monkeypatch.setattr(keys, "PROGRAM", changed)

    assert small.key() != before


def test_an_unchanged_copy_of_the_program_is_the_same_program(
    small: Keys, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where it is installed does not count, nor what Python has compiled of it."""
    before = small.key()
    copy = tmp_path / "program"
    shutil.copytree(PROGRAM, copy)
    (copy / "__pycache__").mkdir(exist_ok=True)
    (copy / "__pycache__" / "x.cpython-311.pyc").write_bytes(b"x")
    monkeypatch.setattr(keys, "PROGRAM", copy)

    assert small.key() == before


def test_other_words_are_another_key(small: Keys, monkeypatch: pytest.MonkeyPatch) -> None:
    """Words come out otherwise though neither script nor program's files are others."""
    small.change("How many boats", "How many of 12 boats")
    before = small.key()
    right = numbers._english

    def other(number: int, *, british: bool) -> str:
        return right(number, british=british).replace("twelve", "dozen")

    monkeypatch.setattr(numbers, "_english", other)
    forget_readings()  # another program would start without them

    assert small.key() != before


def test_another_lexicon_is_built_anew(tmp_path: Path) -> None:
    """A centre's lexicon that changes makes a current track stale, and only then."""
    lexicon = tmp_path / "centre.lexicon.yaml"
    lexicon.write_text("words:\n  boats: boats\n", encoding="utf-8")
    small = Keys(tmp_path)
    small.change("voice: joe\n", "voice: joe\nlexicon: centre.lexicon.yaml\n")
    fresh = [build(small.script, small.options).is_fresh for _ in range(2)]
    lexicon.write_text("words:\n  boats: vessels\n", encoding="utf-8")
    fresh.append(build(small.script, small.options).is_fresh)

    assert fresh == [True, False, True]


def test_another_voice_is_another_key(small: Keys, tmp_path: Path) -> None:
    """A profile, a file that its engine reads, the release of a package of its engine."""
    model = tmp_path / "model.bin"
    model.write_bytes(b"one")
    kind = EngineKind("fake", lambda _: FakeEngine(), ("pausewright",), lambda _: (model,))
    made = replace(small.options, engines={"fake": kind})
    profiles = dict(made.profiles or {})
    found = [small.key(made=made)]
    profiles["joe"] = replace(profiles["joe"], pace_table=((1.1, 1000.0), (1.1, 20.0)))
    found.append(small.key(made=replace(made, profiles=profiles)))
    model.write_bytes(b"another")
    found.append(small.key(made=made))
    os.utime(model, ns=(1, 1))
    found.append(small.key(made=made))
    other = replace(kind, packages=("pausewright", "pytest"))
    found.append(small.key(made=replace(made, engines={"fake": other})))

    assert len(set(found)) == len(found)


def test_other_options_are_another_key(small: Keys) -> None:
    """Formats, pieces, the room screen and videos count."""
    base = small.options
    changed = (
        base,
        replace(base, formats=("flac",)),
        replace(base, split_at_stops=True),
        replace(base, screen="inline"),
        replace(base, videos=("switchable",)),
    )

    assert len({small.key(made=one) for one in changed}) == len(changed)


def _imports(folder: Path, *, passed_over: Callable[[str], bool]) -> Iterator[str]:
    for path in sorted(folder.rglob("*.py")):
        if passed_over(path.relative_to(folder).as_posix()):
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                yield from (alias.name for alias in node.names)
            elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
                yield node.module


def test_every_package_that_the_builder_imports_is_in_the_list() -> None:
    """What is imported by any module that takes part in a build, by its name in the index."""
    found = {
        name.partition(".")[0]
        for name in _imports(PROGRAM, passed_over=lambda path: path.startswith(NOT_OF_A_BUILD))
    }
    others = found - set(sys.stdlib_module_names) - {"pausewright", "pausewright_voices"} - LATE
    owners = metadata.packages_distributions()
    listed = {name.lower() for name in PACKAGES}

    assert {"numpy", "lameenc", "num2words", "python_stretch"} <= others
    assert {
        name: owners.get(name)
        for name in others
        if not listed & {owner.lower() for owner in owners.get(name, ())}
    } == {}
