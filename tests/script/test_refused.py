"""Every script in `tests/cases/bad` gives exactly the problems that stand below it."""

from __future__ import annotations

import re

import pytest
from support.places import CASES
from support.scripts.script_cases import Case, cases, problems_text

NAMES = ("traps.md", "rules.md", "table.md", "decided.md", "settings.md", "wording.md")
FOUND = [(name, case) for name in NAMES for case in cases(f"bad/{name}")]


def test_cases_are_found() -> None:
    """A case file that is lost or empty does not pass unnoticed."""
    assert {p.name for p in (CASES / "bad").glob("*.md")} == set(NAMES)
    assert len(FOUND) > 130


@pytest.mark.parametrize(
    ("name", "case"), FOUND, ids=[f"{name}:{case.line}" for name, case in FOUND]
)
def test_problems_are_exact(name: str, case: Case) -> None:
    """Place, sentence, caret and hint of every problem are as written, and nothing else."""
    del name

    assert problems_text(case.script) == case.expected, case.title


@pytest.mark.parametrize("case", [case for _, case in FOUND], ids=lambda c: c.title[:40])
def test_every_problem_has_a_hint(case: Case) -> None:
    """Each problem comes with something to type, and they stand in file order."""
    heads = re.findall(r"^\S+\.md:(\d+):(\d+): (?:error|warning): ", case.expected, re.MULTILINE)
    hints = re.findall(r"^  hint: \S", case.expected, re.MULTILINE)
    places = [(int(line), int(column)) for line, column in heads]

    assert len(hints) == len(heads)
    assert places == sorted(places) or "wording" in case.title.lower()
