"""The wall between the check and the builder, in every folder of the check."""

from __future__ import annotations

import ast
from pathlib import Path
from typing import TYPE_CHECKING

import pausewright.checker
import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

FOLDER = Path(pausewright.checker.__file__).parent
ALLOWED = (
    *("checker", "script", "wording", "arrange", "problems"),
    *("intake", "files.writing", "pages"),  # files and heads of pages; nothing of time
)
ONLY_IN = {
    "soundfile": {"files/decode.py"},
    "av": {"files/by_av.py"},
    "mutagen": {"files/tags.py"},
}


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
    """Each sound library is imported by one module of the check alone."""
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
