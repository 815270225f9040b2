"""The wall between the check and the builder, in every folder of the check."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pausewright.checker
import pytest
from support.tracks.checker_tracks import SCRIPT, laid, layout, written

if TYPE_CHECKING:
    from collections.abc import Callable

FOLDER = Path(pausewright.checker.__file__).parent
ALLOWED = (
    *("checker", "script", "wording", "arrange", "problems"),
    *("intake", "files.writing", "pages", "content_mark"),  # files, pages; nothing of time
    "phones",  # sounds of English words
    "package_data",  # where the files of a package lie
    "frozen",  # how classes of values are made
)
ONLY_IN = {
    "soundfile": {"files/decode.py", "original/exact_samples.py"},  # samples as whole numbers
    "av": {"files/by_av.py"},
    "mutagen": {"files/tags.py"},
}


PROMISES_ALLOWED = (
    "frozen.",
    "arrange.arrangement.",  # the typed value alone
    "checker.",
    "script.",
    "wording.",
    "problems.",
)
ARRANGING = (
    *("arrange", "plan", "captions", "deliver", "sound", "voice", "papers", "screen", "video"),
    "wording.worded",
)
"""What promises must do without, even by what they import; `arrange.arrangement` apart."""


def imported(path: Path) -> set[str]:
    """Return all modules that a file imports, wherever in it; a relative one has no name."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            name = "" if node.level else node.module or ""
            found |= {f"{name}.{alias.name}" for alias in node.names}
    return found


def holes(folder: Path) -> list[str]:
    """Return which files import what of ours they may not, or by a relative import."""
    return [
        f"{path.relative_to(folder).as_posix()}: {name}"
        for path in sorted(folder.rglob("*.py"))
        for name in sorted(imported(path))
        if name.startswith((".", "pausewright."))
        and not f"{name}.".startswith(tuple(f"pausewright.{module}." for module in ALLOWED))
    ]


def importers(folder: Path, package: str) -> set[str]:
    """Return the files that import a package."""
    return {
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*.py")
        if package in {name.split(".")[0] for name in imported(path)}
    }


def test_the_check_shares_nothing_about_time() -> None:
    """The check imports script, wording, arrangements, readers of files; nothing else."""
    assert any(path.parent != FOLDER for path in FOLDER.rglob("*.py"))
    assert holes(FOLDER) == []


@pytest.mark.parametrize("package", sorted(ONLY_IN))
def test_one_importer_for_each_package(package: str) -> None:
    """Each sound library is imported by these modules of the check alone."""
    assert importers(FOLDER, package) == ONLY_IN[package]


@pytest.mark.parametrize("file", ["a.py", "ear/a.py", "ear/deep/a.py"])
@pytest.mark.parametrize(
    ("source", "rule"),
    [
        ("from pausewright.plan.clock import Clock", holes),
        ("def f():\n    import pausewright.sound.meter", holes),
        ("from pausewright import plan", holes),
        ("from ..plan import clock", holes),
        ("import soundfile as sf", lambda folder: importers(folder, "soundfile")),
    ],
)
def test_a_planted_import_is_found(
    tmp_path: Path, file: str, source: str, rule: Callable[[Path], list[str]]
) -> None:
    """What breaks a rule is found in the folders of the check too."""
    path = tmp_path / file
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(source, encoding="utf-8")

    assert len(rule(tmp_path)) == 1


def test_a_check_needs_no_scipy(tmp_path: Path) -> None:
    """A whole check runs where neither scipy nor pyloudnorm can be imported."""
    track = written(tmp_path / "track.wav", laid(layout()))
    code = (
        "import sys\n"
        "sys.modules.update(dict.fromkeys(('scipy', 'pyloudnorm')))\n"
        "from pathlib import Path\n"
        "from pausewright.checker.check import check_track\n"
        "from pausewright.script.reader import read_script\n"
        "from pausewright.wording.worded import Worded\n"
        "track, script = map(Path, sys.argv[1:])\n"
        "worded = Worded(read_script(script))\n"
        "found = check_track(track, worded, edition=None, second_decoder=True)\n"
        "print(found.n_frames, [finding.code for finding in found.findings])"
    )
    script = tmp_path / "test.md"
    script.write_text(SCRIPT, encoding="utf-8")
    command = [sys.executable, "-c", code, str(track), str(script)]

    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout

    n_frames, _, codes = said.partition(" ")
    assert int(n_frames) == len(laid(layout()))
    assert "decoders-differ" not in codes


def promise_holes(folder: Path) -> list[str]:
    """Return which files of the promises import what they may not."""
    return [
        f"{path.relative_to(folder).as_posix()}: {name}"
        for path in sorted(folder.rglob("*.py"))
        for name in sorted(imported(path))
        if name.startswith((".", "pausewright."))
        and not f"{name}.".startswith(tuple(f"pausewright.{one}" for one in PROMISES_ALLOWED))
    ]


def reached(package: Path, start: str) -> set[str]:
    """Return all modules of ours that are loaded with a folder's modules, one after another."""
    root = package.parent
    seen: set[str] = set()
    waiting = sorted((package / start).rglob("*.py"))
    while waiting:
        path = waiting.pop()
        name = path.relative_to(root).with_suffix("").as_posix().replace("/", ".")
        if name in seen:
            continue
        seen.add(name)
        for one in loaded(path):
            for module in (one, one.rpartition(".")[0]):
                file = root / f"{module.replace('.', '/')}.py"
                if file.is_file():
                    waiting.append(file)
    return seen


def loaded(path: Path) -> set[str]:
    """Return what a file imports when it runs; imports for types only load nothing."""
    tree = ast.parse(path.read_text("utf-8"))
    found: set[str] = set()
    skipped = {
        id(child)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test)
        for child in ast.walk(node)
    }
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return {name for name in found if name.startswith("pausewright.")}


def test_promises_share_nothing_with_what_arranges() -> None:
    """The promises import the typed arrangement and no code that arranges or re-words.

    Nor does anything that they load, module after module.
    """
    assert len(list((FOLDER / "promises").glob("*.py"))) > 8
    assert promise_holes(FOLDER / "promises") == []
    modules = reached(FOLDER.parent, "checker/promises")
    assert "pausewright.checker.promises.kept_promises" in modules
    shared = {name for name in modules if name.removeprefix("pausewright.").startswith(ARRANGING)}
    assert shared <= {"pausewright.arrange.arrangement", "pausewright.arrange.__init__"}


@pytest.mark.parametrize(
    "source",
    [
        "from pausewright.arrange.apply import apply_arrangement",
        "from pausewright.arrange import readings",
        "if x:\n    from pausewright.arrange.arrangement_words import ArrangementWords",
        "import pausewright.plan.steps",
        "from pausewright.captions.cues import cues",
        "from ..expect import expect",
    ],
)
def test_a_hole_in_the_promises_is_found(tmp_path: Path, source: str) -> None:
    """A planted import of what arranges is found."""
    (tmp_path / "a.py").write_text(source, encoding="utf-8")

    assert len(promise_holes(tmp_path)) == 1
