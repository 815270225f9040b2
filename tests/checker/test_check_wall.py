"""The wall between the check and the builder."""

from __future__ import annotations

import ast
from pathlib import Path

import pausewright.checker
import pytest

FOLDER = Path(pausewright.checker.__file__).parent
ALLOWED = ("checker", "script", "wording", "arrange", "problems")
ONLY_IN = {"soundfile": "decode.py", "av": "by_av.py", "mutagen": "tags.py"}


def imported(path: Path) -> set[str]:
    """Return all modules that a file imports, wherever in it."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name} has a relative import"
            found.add(node.module or "")
    return found


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.py")), ids=lambda path: path.name)
def test_the_check_shares_nothing_about_time(path: Path) -> None:
    """The check imports script, wording, arrangements and problems, and nothing else of ours."""
    ours = {name for name in imported(path) if name.split(".")[0] == "pausewright"}

    assert {name for name in ours if name.split(".")[1] not in ALLOWED} == set()


@pytest.mark.parametrize("package", sorted(ONLY_IN))
def test_one_importer_for_each_package(package: str) -> None:
    """Each sound library is imported by one module of the check alone."""
    importers = {
        path.name
        for path in FOLDER.glob("*.py")
        if package in {name.split(".")[0] for name in imported(path)}
    }

    assert importers == {ONLY_IN[package]}
