"""The walls between the packages, read from the source with `ast`: who may import whom.

Each rule is a function from a folder of sources to a list of sentences about what breaks it, and
is also tried on sources that do break it.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from collections import defaultdict
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator

PIPELINE = Path(__file__).resolve().parent.parent / "pipeline"
OURS = "pausewright"

LAYERS = {
    "frozen": -2,
    "offline": -1,  # the one module that `import pausewright` itself loads
    "package_data": -1,
    "problems": -1,
    "intake": 0,
    "formulas": 0,
    "pages": 0,
    "content_mark": 0,  # what papers and tracks show or say, as one hash for all
    "shown_text": 0,
    "fault_report": 0,
    "files": 0,
    "phones": 0,
    "documents": 1,
    "fetch": 1,  # the one module that connects
    "records": 1,
    "script": 2,
    "wording": 3,
    "arrange": 4,
    "plan": 5,
    "sound": 6,
    "captions": 6,
    "alignment": 7,  # where speech is in a recording, and which words
    "drafting": 8,
    "papers": 6,
    "voice": 7,  # a voice's takes are `sound.take.Take`
    "checker": 7,
    "screen": 7,
    "video": 7,  # samples and captions to pictures
    "deliver": 8,
    "tasks": 9,
    "season": 9,  # many tests on an engine, from the steps of `deliver`
    "desk": 10,
    "cli": 11,
    "__main__": 12,
}
"""Arrows only down: a package imports from lower layers and from itself, never from a neighbour."""

CHECKER_MAY_USE = {
    "arrange",
    "checker",
    "content_mark",
    "files",
    "formulas",
    "frozen",
    "intake",
    "package_data",
    "pages",
    "phones",
    "problems",
    "script",
    "wording",
}
"""The checker shares no timing with the builder; these know none."""

MAY_USE_THE_CHECKER = {"checker", "deliver", "season", "tasks", "desk", "cli"}

BY_NAME = "pausewright/cli/command_table.py"
"""Loads the module of the command that was called; it does nothing else at run time."""

IN_SEVERAL_PACKAGES = {
    "numpy": {"sound", "voice", "checker", "alignment"},  # wherever samples are
    "av": {"sound", "checker"},  # the checker decodes by itself
    # the check reads records by a shape of its own; the desk's processes speak in typed lines
    "msgspec": {"records", "checker", "desk"},
    "mutagen": {"sound", "checker"},  # one writes tags, the other must be able to find them wrong
    "soundfile": {"sound", "checker"},  # the checker decodes by itself
    "ruamel": {"script", "voice"},  # settings of scripts; profiles of voices
    "soxr": {"sound", "voice"},  # recordings and takes come to the track's rate
}
"""Third-party packages that more than one package of ours imports, with the reason."""

HEAVY = {
    "av", "ctranslate2", "dask", "distributed", "faster_whisper", "hibari", "numpy", "onnx",
    "onnxruntime", "piper", "pyloudnorm", "scipy", "soundfile", "soxr",
}  # fmt: skip
LIGHT = (
    "offline",
    "problems",
    "formulas",
    "intake",
    "files",
    "script",
    "wording",
    "arrange",
    "plan",
    "cli",
)
"""Importing these loads nothing heavy."""


class Import(NamedTuple):
    """One imported name and where it stands."""

    package: str
    """Our package (or top module) that imports."""
    name: str
    """Full dotted name, with the imported module behind `from … import`."""
    where: str


def package_of(path: Path, folder: Path) -> str:
    """Return which of our packages or top modules a file belongs to."""
    first = path.relative_to(folder / OURS).parts[0]
    return first.removesuffix(".py")


def trees(folder: Path) -> Iterator[tuple[Path, ast.Module]]:
    """Give every source file with its tree."""
    for path in sorted(folder.rglob("*.py")):
        yield path, ast.parse(path.read_text(encoding="utf-8"))


def imports(folder: Path) -> Iterator[Import]:
    """Give every absolute import, those for types only and inside functions too."""
    for path, tree in trees(folder):
        for node in ast.walk(tree):
            names: list[str] = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom) and node.level == 0:
                names = [f"{node.module}.{alias.name}" for alias in node.names]
            where = f"{path.relative_to(folder).as_posix()}:{getattr(node, 'lineno', 0)}"
            for name in names:
                yield Import(package_of(path, folder), name, where)


def ours(folder: Path) -> Iterator[tuple[Import, str]]:
    """Give imports of our own packages, with the package that is imported."""
    for found in imports(folder):
        parts = found.name.split(".")
        target = parts[1] if len(parts) > 1 else "(the whole package)"
        if parts[0] == OURS and target != "__version__":
            yield found, target


def arrows_that_go_up(folder: Path) -> list[str]:
    """Return imports that do not go to a lower layer or into the package itself."""
    broken = []
    for found, target in ours(folder):
        known = found.package in LAYERS and target in LAYERS
        if found.package == "__init__" and target == "offline":
            continue
        if found.package == "__init__" or not known:
            broken.append(f"{found.where}: {found.name} has no layer")
        elif target != found.package and LAYERS[target] >= LAYERS[found.package]:
            broken.append(f"{found.where}: {found.package} imports {found.name}")
    return broken


def holes_in_the_wall(folder: Path) -> list[str]:
    """Return imports across the wall between builder and checker."""
    return [
        f"{found.where}: {found.package} imports {found.name}"
        for found, target in ours(folder)
        if (found.package == "checker" and target not in CHECKER_MAY_USE)
        or (target == "checker" and found.package not in MAY_USE_THE_CHECKER)
    ]


def hidden_imports(folder: Path) -> list[str]:
    """Return imports that this file cannot follow: relative ones and those made at run time."""
    broken = []
    for path, tree in trees(folder):
        if path.relative_to(folder).as_posix() == BY_NAME:
            continue
        for node in ast.walk(tree):
            relative = isinstance(node, ast.ImportFrom) and node.level > 0
            called = isinstance(node, ast.Name) and node.id in {"__import__", "exec", "eval"}
            asked = (isinstance(node, ast.Attribute) and node.attr == "import_module") or (
                isinstance(node, ast.ImportFrom)
                and any(alias.name == "import_module" for alias in node.names)
            )
            if relative or called or asked:
                line = getattr(node, "lineno", 0)
                broken.append(f"{path.relative_to(folder).as_posix()}:{line}")
    return broken


def shared_packages(folder: Path) -> dict[str, set[str]]:
    """Return the third-party packages that several packages of ours import, and which."""
    users: defaultdict[str, set[str]] = defaultdict(set)
    for found in imports(folder):
        top = found.name.split(".")[0]
        if top != OURS and top not in sys.stdlib_module_names:
            users[top].add(found.package)
    return {top: packages for top, packages in users.items() if len(packages) > 1}


def talkers(folder: Path) -> list[str]:
    """Return where something is printed outside the command line."""
    return [
        f"{path.relative_to(folder).as_posix()}:{node.lineno}"
        for path, tree in trees(folder)
        if package_of(path, folder) != "cli"
        for node in ast.walk(tree)
        if (isinstance(node, ast.Name) and node.id in {"print", "input"})
        or (
            isinstance(node, ast.Attribute)
            and node.attr in {"stdout", "stderr"}
            and isinstance(node.value, ast.Name)
            and node.value.id == "sys"
        )
    ]


def test_arrows_go_only_down() -> None:
    """Every import of ours goes to a lower layer or stays in its package."""
    assert len(list(ours(PIPELINE))) > 50
    assert arrows_that_go_up(PIPELINE) == []


def test_the_checker_stands_alone() -> None:
    """The checker uses nothing of the builder, and only `deliver` and its callers use it."""
    assert any(found.package == "checker" for found in imports(PIPELINE))
    assert holes_in_the_wall(PIPELINE) == []


def test_no_import_is_hidden() -> None:
    """No import is relative or made at run time, so that the other tests see all of them."""
    assert hidden_imports(PIPELINE) == []


def test_third_party_packages_stay_in_one_package() -> None:
    """Each third-party package is imported by one package of ours; the exceptions are exact."""
    assert shared_packages(PIPELINE) == IN_SEVERAL_PACKAGES


def test_only_the_command_line_prints() -> None:
    """Nothing but `cli` writes to the terminal or reads from it."""
    assert talkers(PIPELINE) == []


@pytest.mark.parametrize(
    ("file", "source", "rule"),
    [
        ("plan/a.py", "from pausewright.sound.lay import lay", arrows_that_go_up),
        ("captions/a.py", "from pausewright.papers import plain", arrows_that_go_up),
        ("script/a.py", "def f():\n    import pausewright.deliver.build", arrows_that_go_up),
        ("plan/a.py", "import pausewright", arrows_that_go_up),
        ("__init__.py", "from pausewright.problems import Problem", arrows_that_go_up),
        ("odd/a.py", "from pausewright.problems import Problem", arrows_that_go_up),
        ("script/a.py", "from pausewright.odd import b", arrows_that_go_up),
        ("checker/a.py", "from pausewright import plan", holes_in_the_wall),
        ("checker/a.py", "import pausewright.plan.clock as c", holes_in_the_wall),
        ("checker/a.py", "if x:\n    from pausewright.sound.meter import m", holes_in_the_wall),
        ("sound/a.py", "from pausewright.checker.listen.loudness import m", holes_in_the_wall),
        ("checker/a.py", "from ..plan import clock", hidden_imports),
        ("plan/a.py", "import importlib\nimportlib.import_module('x')", hidden_imports),
        ("plan/a.py", "from importlib import import_module", hidden_imports),
        ("plan/a.py", "__import__('x')", hidden_imports),
        ("plan/a.py", "print('x')", talkers),
        ("plan/a.py", "import sys\nsys.stderr.write('x')", talkers),
        # in folders of a package too
        ("plan/deep/a.py", "from pausewright.sound.lay import lay", arrows_that_go_up),
        ("checker/ear/a.py", "from pausewright.plan import clock", holes_in_the_wall),
        ("checker/ear/deep/a.py", "from pausewright import sound", holes_in_the_wall),
        ("sound/deep/a.py", "from pausewright.checker.ear import hear", holes_in_the_wall),
        ("checker/ear/a.py", "from ...plan import clock", hidden_imports),
        ("checker/ear/a.py", "print('x')", talkers),
    ],
)
def test_each_rule_finds_what_breaks_it(
    tmp_path: Path, file: str, source: str, rule: object
) -> None:
    """A planted import or print across a wall is found, wherever it stands."""
    path = tmp_path / OURS / file
    path.parent.mkdir(parents=True)
    path.write_text(source, encoding="utf-8")

    assert callable(rule)
    assert len(rule(tmp_path)) == 1


def test_a_package_used_twice_is_found(tmp_path: Path) -> None:
    """The rule on third-party packages sees both users, and no standard module."""
    for folder in ("plan", "sound/deep"):
        (tmp_path / OURS / folder).mkdir(parents=True)
        (tmp_path / OURS / folder / "a.py").write_text("import json\nimport numpy as np\n")

    assert shared_packages(tmp_path) == {"numpy": {"plan", "sound"}}


def loaded_after(code: str) -> set[str]:
    """Return the top-level modules that a new interpreter has loaded after running code."""
    code += "\nimport sys\nsys.stderr.write(' '.join(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    return {name.split(".")[0] for name in done.stderr.split()}


@pytest.mark.parametrize("arguments", [["--help"], ["build", "--help"], ["check", "--help"]])
def test_help_loads_nothing_heavy(arguments: list[str]) -> None:
    """`pausewright --help` answers without loading numpy, a voice or an audio library."""
    loaded = loaded_after(
        f"import sys\nsys.argv = ['pausewright', *{arguments!r}]\n"
        "from pausewright.cli import main\n"
        "try:\n    main()\nexcept SystemExit as end:\n    assert not end.code"
    )

    assert "typer" in loaded
    assert loaded & HEAVY == set()


def test_reading_and_planning_load_nothing_heavy() -> None:
    """Every module of the lower layers can be imported without numpy or an audio library."""
    modules = [
        ".".join(path.relative_to(PIPELINE).with_suffix("").parts).removesuffix(".__init__")
        for path in sorted((PIPELINE / OURS).rglob("*.py"))
        if package_of(path, PIPELINE) in LIGHT
    ]
    assert len(modules) > 20

    assert loaded_after("\n".join(f"import {name}" for name in modules)) & HEAVY == set()
