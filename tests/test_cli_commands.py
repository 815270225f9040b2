"""The command line's table of commands, and what each loads: late, and as its types say."""

from __future__ import annotations

import ast
import inspect
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest
from pausewright.cli.command_table import COMMANDS, load_command

CLI = Path(__file__).resolve().parent.parent / "pipeline" / "pausewright" / "cli"


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


def late_modules(tree: ast.Module) -> tuple[dict[str, str], dict[str, str]]:
    """Return what a file imports for types alone, and what it loads late, each by its name."""
    for_types: dict[str, str] = {}
    late: dict[str, str] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            for one in node.body:
                assert isinstance(one, ast.ImportFrom)
                for_types |= {
                    alias.asname or alias.name: f"{one.module}.{alias.name}" for alias in one.names
                }
            for other in node.orelse:
                assert isinstance(other, ast.Assign)
                assert isinstance(other.value, ast.Call)
                assert ast.unparse(other.value.func) == "Late"
                late[ast.unparse(other.targets[0])] = ast.literal_eval(other.value.args[0])
    return for_types, late


def test_what_is_loaded_late_is_what_the_types_say() -> None:
    """Each module that a name stands for at run time is the one that the type checker sees."""
    n_found = 0
    for file in sorted(CLI.rglob("*.py")):
        for_types, late = late_modules(ast.parse(file.read_text(encoding="utf-8")))
        n_found += len(late)
        for name, module in late.items():
            assert (file.name, name, for_types.get(name)) == (file.name, name, module)
            assert import_module(module)
    assert n_found > 15


@pytest.mark.parametrize(
    ("arguments", "loaded"), [(["--help"], set()), (["voices", "--help"], {"voices"})]
)
def test_only_the_command_that_is_called_is_loaded(arguments: list[str], loaded: set[str]) -> None:
    """The list of commands needs none of them; nothing that does the work is loaded for help."""
    code = (
        f"import sys\nsys.argv = ['pausewright', *{arguments!r}]\n"
        "from pausewright.cli import main\n"
        "try:\n    main()\nfinally:\n    sys.stderr.write(' '.join(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    modules = set(done.stderr.split())
    ours = {name.split(".")[1] for name in modules if name.startswith("pausewright.")}

    assert {name for name in COMMANDS if f"pausewright.cli.commands.{name}" in modules} == loaded
    assert ours <= {"cli", "intake", "offline", "problems", "shown_text"}
    assert "rich" not in modules
