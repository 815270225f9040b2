"""The command line's table of commands, and what each loads, and when."""

from __future__ import annotations

import ast
import inspect
import subprocess
import sys
from importlib import import_module

import pytest
from pausewright.cli.command_table import COMMANDS, load_command
from support.places import ROOT

CLI = ROOT / "pipeline" / "pausewright" / "cli"


def test_every_module_is_a_command_of_the_table() -> None:
    """The table names the modules of the folder, and no others."""
    modules = {file.stem for file in (CLI / "commands").glob("*.py")} - {"__init__"}

    assert modules == set(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_the_list_says_what_the_command_says(name: str) -> None:
    """The sentence of the table is the first one of the command's own help."""
    function = getattr(import_module(f"pausewright.cli.commands.{name}"), name)
    sentence = COMMANDS[name]
    text = inspect.getdoc(function)

    assert text is not None
    assert text.splitlines()[0].partition(". ")[0].removesuffix(".") == sentence.removesuffix(".")
    assert sentence.endswith(".")
    assert load_command(name).name == name


def late_modules(tree: ast.Module) -> list[str]:
    """Return what a file imports late, by its full name."""
    return [
        f"{one.module}.{alias.name}"
        for node in ast.walk(tree)
        if isinstance(node, ast.With) and "loaded_late()" in ast.unparse(node.items[0])
        for one in node.body
        if isinstance(one, ast.ImportFrom)
        for alias in one.names
    ]


def test_what_is_loaded_late_is_a_whole_module() -> None:
    """A function, or a package, would be loaded at once."""
    late = [
        name
        for file in sorted(CLI.rglob("*.py"))
        for name in late_modules(ast.parse(file.read_text(encoding="utf-8")))
    ]

    assert len(late) > 15
    for name in late:
        assert not hasattr(import_module(name), "__path__"), f"{name} is a package"


@pytest.mark.parametrize(
    ("arguments", "loaded"), [(["--help"], set()), (["voices", "--help"], {"voices"})]
)
def test_only_the_command_that_is_called_is_loaded(arguments: list[str], loaded: set[str]) -> None:
    """The list of commands needs none of them; nothing that does the work is loaded for help.

    A module that is imported late is known to Python, and is of another type until it is loaded;
    the package above it is an empty file.
    """
    code = (
        f"import sys\nsys.argv = ['pausewright', *{arguments!r}]\n"
        "from pausewright.cli import main\n"
        "try:\n    main()\nfinally:\n"
        "    late = {n for n, m in sys.modules.items() if type(m).__name__ == '_LazyModule'}\n"
        "    above = {n.rpartition('.')[0] for n in late}\n"
        "    sys.stderr.write(' '.join(sys.modules.keys() - late - above))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    modules = set(done.stderr.split())
    ours = {name.split(".")[1] for name in modules if name.startswith("pausewright.")}

    assert {name for name in COMMANDS if f"pausewright.cli.commands.{name}" in modules} == loaded
    assert ours <= {"cli", "frozen", "intake", "offline", "problems", "shown_text"}
    assert "rich" not in modules
