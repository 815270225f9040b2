"""The limits of the check: all in one place, each with its words, and the docs made from them."""

from __future__ import annotations

import ast
import re
from fractions import Fraction
from pathlib import Path
from typing import Final

import make_limits_table
import pausewright.checker
import pytest
from make_limits_table import CHECK_PAGE, LIMITS_PAGE, MODULES, ROOT, limits_of, unit_of
from pausewright.checker.files.decode import CONTAINERS, OGG
from pausewright.checker.limits import times
from pausewright.checker.limits.coders import CODERS

CHECKER: Final = Path(pausewright.checker.__file__).parent
ELSEWHERE: Final = {
    "listen/level.py": {"MARGIN_DB"},  # ITU-T P.56's own
    "listen/loudness.py": {"ABSOLUTE_GATE_LUFS", "RELATIVE_GATE_LU"},  # BS.1770's own
    "listen/gate.py": {"FREE_SHARE"},  # follows from the windows
    "listen/waveform.py": {"LOWEST_DBFS"},  # of a drawing
    "match/align.py": {"BESIDE_SKIP_SHARE"},  # a weight of the search
}
"""Constants of calculation whose names look like limits, with the reason."""
_LOOKS_LIKE_A_LIMIT: Final = re.compile(r"_(?:DB|DBFS|DBTP|LU|LUFS|SHARE)$")


def test_the_docs_say_what_the_check_judges_by() -> None:
    """Run scripts/make_limits_table.py after a change of a limit."""
    page = CHECK_PAGE.read_text(encoding="utf-8")

    assert make_limits_table.check_page(page) == page
    assert LIMITS_PAGE.read_text(encoding="utf-8") == make_limits_table.limits_page()


def test_another_limit_changes_the_docs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Both pages name the value that the check reads, not one that was written into them."""
    monkeypatch.setattr(times, "TOLERANCE_S", Fraction(37, 1000))
    page = CHECK_PAGE.read_text(encoding="utf-8")

    assert "±37 ms" in make_limits_table.check_page(page)
    assert "| `TOLERANCE_S` | 0.037 s |" in make_limits_table.limits_page()


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rpartition(".")[2])
def test_every_limit_has_its_words_and_tests(module: object) -> None:
    """A text below it, a unit in its name or its text, and tests that are there."""
    found = list(limits_of(module))  # type: ignore[arg-type]

    assert len(found) >= 5
    assert [one.name for one in found if len(one.text) < 15] == []
    for one in found:
        assert isinstance(one.value, int | float | Fraction | dict), one.name
        assert unit_of(one.name) or " " in one.text
    for name in module.TESTS:  # type: ignore[attr-defined]
        assert (ROOT / name).is_file(), name


def test_every_kind_of_file_has_its_limits() -> None:
    """What the check reads, and nothing else."""
    assert set(CODERS) == set(CONTAINERS.values()) | set(OGG.values())


def test_no_limit_stands_elsewhere() -> None:
    """Levels and shares by which the check judges are in `limits`; other constants are excused."""
    found: dict[str, set[str]] = {}
    for folder in ("listen", "match", "faults", "files", "shown"):
        for path in (CHECKER / folder).glob("*.py"):
            for node in ast.parse(path.read_text(encoding="utf-8")).body:
                targets = node.targets if isinstance(node, ast.Assign) else []
                if isinstance(node, ast.AnnAssign):
                    targets = [node.target]
                for target in ast.walk(ast.Module([ast.Expr(t) for t in targets], [])):
                    if isinstance(target, ast.Name) and _LOOKS_LIKE_A_LIMIT.search(target.id):
                        where = path.relative_to(CHECKER).as_posix()
                        found.setdefault(where, set()).add(target.id)

    assert found == ELSEWHERE
