"""Every module, function, file and page that the docs name is there."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = ROOT / "pipeline" / "pausewright"
PAGES = sorted(
    [ROOT / "DEVELOPERS.md", ROOT / "README.md", *(ROOT / "docs").rglob("*.md")], key=str
)
FOLDERS = ("tests", "scripts", "pipeline", "voices", "docs", "demo_scripts")
OURS = frozenset(one.stem for one in PROGRAM.iterdir() if one.suffix == ".py" or one.is_dir())
"""Packages and modules at the top."""

CODE = re.compile(r"`([^`\n]*[^`\s][^`\n]*)`")
FENCED = re.compile(r"^(```+).*?^\1", re.MULTILINE | re.DOTALL)
"""Examples: their links lead elsewhere."""
LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)]*)?\)")
DOTTED = re.compile(r"[a-z_]+(\.[A-Za-z_]+)+")
FILE = re.compile(r"[A-Za-z0-9_./-]+\.(py|js|toml|j2|schema\.json)")
PLACEHOLDER = re.compile(r"(^|[/_.-])[A-Z]{3,}([/_.-]|$)")
"""A word in capitals stands for another name."""


@cache
def tree_of(module: Path) -> ast.Module:
    """Return a module's tree."""
    return ast.parse(module.read_text(encoding="utf-8"))


def defined(body: list[ast.stmt], name: str) -> ast.stmt | None:
    """Return the statement of a module or class that a name is made by; None if there is none."""
    for one in body:
        if isinstance(one, ast.If):
            found = defined([*one.body, *one.orelse], name)
            if found is not None:
                return found
        targets: list[ast.expr] = []
        if isinstance(one, ast.Assign):
            targets = one.targets
        elif isinstance(one, ast.AnnAssign):
            targets = [one.target]
        is_made = any(isinstance(target, ast.Name) and target.id == name for target in targets)
        if is_made or getattr(one, "name", None) == name:
            return one
    return None


def leads_somewhere(dotted: str) -> bool:
    """Return whether a dotted name, below `pausewright`, is a package, a module or in one."""
    place, names = PROGRAM, dotted.split(".")
    while names and (place / names[0]).is_dir():
        place /= names.pop(0)
    if not names:
        return place != PROGRAM
    module = place / f"{names[0]}.py"
    body = tree_of(module if module.is_file() else place / "__init__.py").body
    for name in names[1:] if module.is_file() else names:
        found = defined(body, name)
        if found is None:
            return False
        body = getattr(found, "body", [])
    return True


@cache
def file_names() -> frozenset[str]:
    """Return the names of all files of ours."""
    return frozenset(file.name for folder in FOLDERS for file in (ROOT / folder).rglob("*.*"))


def is_there(path: str) -> bool:
    """Return whether a path is below the repository, the program or one of its packages."""
    if "/" not in path:
        return path in file_names() or (ROOT / path).is_file()
    return any((top / path).exists() for top in (ROOT, PROGRAM, PROGRAM.parent))


def lost(text: str, folder: Path) -> set[str]:
    """Return what a text names in code or by a link, and what is not there."""
    text = FENCED.sub("", text)
    links = LINK.findall(CODE.sub("", text))
    missing = {one for one in links if "://" not in one and not (folder / one).exists()}
    for words in CODE.findall(text):
        code = words.split()[0]
        name = code.removeprefix("pausewright.")
        if PLACEHOLDER.search(code):
            continue
        is_ours = DOTTED.fullmatch(code) and name.split(".")[0] in OURS
        if is_ours and not FILE.fullmatch(code):
            missing |= set() if leads_somewhere(name) else {code}
        elif FILE.fullmatch(code) or (code.split("/")[0] in FOLDERS and "/" in code):
            missing |= set() if is_there(code) else {code}
    return missing


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_what_a_page_names_is_there(page: Path) -> None:
    """Modules, what stands in them, files, folders, and the pages that it links to."""
    assert lost(page.read_text(encoding="utf-8"), page.parent) == set()


@pytest.mark.parametrize(
    "text",
    [
        "`plan.stepz`",
        "`files.writing.wrote`",
        "`problems.Problems.errorz`",
        "`tests/support/nowhere.py`",
        "`scripts/none/`",
        "`nobody.py`",
        "[a page](nowhere.md)",
    ],
)
def test_what_is_not_there_is_found(text: str) -> None:
    """Each kind of name."""
    assert len(lost(text, ROOT / "docs")) == 1


def test_what_is_there_is_not() -> None:
    """Packages, modules, what stands in them, and names that stand for others."""
    text = (
        "`plan.steps` `problems.Problems.error` `cli.late.loaded_late` `pages.page` `offline` "
        "`tests/support/` `scripts/test.py` `pipeline/pausewright/wording/languages/TAG.toml` "
        "`importlib.metadata` [home](../README.md#figures) [out](https://example.org/x)"
    )

    assert lost(text, ROOT / "docs") == set()
