"""No file of the product imports, directly or by way of others, a file that imports it.

Imports for types only count: two files that need each other's names are one thing in two places.
"""

from __future__ import annotations

import ast
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

PIPELINE = Path(__file__).resolve().parent.parent / "pipeline"


def import_graph(folder: Path) -> dict[str, set[str]]:
    """Return each module below `folder` by its dotted name, with the modules that it imports."""
    modules = {
        ".".join(path.relative_to(folder).with_suffix("").parts).removesuffix(".__init__"): path
        for path in sorted(folder.rglob("*.py"))
    }
    return {name: _imported(path, set(modules)) - {name} for name, path in modules.items()}


def _imported(path: Path, modules: set[str]) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            inner = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= inner & modules or {node.module}
    return found & modules


def circle(graph: dict[str, set[str]]) -> list[str]:
    """Return the modules of one circle, first and last the same; empty if there is none."""
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        return list(error.args[1])
    return []


def test_no_file_imports_what_imports_it() -> None:
    """No circle stands between two files or more, type-only imports included."""
    graph = import_graph(PIPELINE)
    assert len(graph) > 200

    assert circle(graph) == []


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("from pausewright.b import B", "from pausewright.a import A"),
        ("import pausewright.b", "from pausewright import a"),
        ("def f():\n    import pausewright.b", "if TYPE_CHECKING:\n    import pausewright.a"),
    ],
)
def test_a_circle_is_found(tmp_path: Path, one: str, other: str) -> None:
    """Whatever the form of the import, and wherever it stands."""
    package = tmp_path / "pausewright"
    package.mkdir()
    for name, text in (("__init__", ""), ("a", one), ("b", other)):
        (package / f"{name}.py").write_text(text, encoding="utf-8")

    found = circle(import_graph(tmp_path))

    assert found[0] == found[-1]
    assert set(found) == {"pausewright.a", "pausewright.b"}
