"""Damaged scripts and the files beside them are refused or understood, never fatal or endless."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from support.amounts import cases

TESTS = Path(__file__).parent
MOST_MB = 500
SHARES = {
    "slip": 4_000, "script": 4_000, "settings": 1_000, "arrangements": 1_200, "lexicon": 800,
    "captions": 500, "needs": 500,
}  # fmt: skip
"""A quarter of these cases in the ordinary tests, ten times as many in the long set."""


def test_there_are_as_many_cases_as_promised() -> None:
    """3,000 in the ordinary tests, 120,000 in the long set."""
    assert sum(SHARES.values()) >= 12_000


@pytest.mark.timeout(3600)
@pytest.mark.parametrize("kind", SHARES)
def test_damage_is_refused_or_understood(kind: str) -> None:
    """No traceback, none over 10 s or 500 MB, no markup or key among words, no sign that acts."""
    n = cases(SHARES[kind] // 4, 10 * SHARES[kind])
    command = [sys.executable, "-m", "support.fuzz.reading", "--kind", kind, "--cases", str(n)]
    paths = os.pathsep.join([str(TESTS), *sys.path])
    done = subprocess.run(
        command, env=os.environ | {"PYTHONPATH": paths}, capture_output=True, check=True
    )
    report = json.loads(done.stdout)

    assert report["crashes"] == {}
    assert report["faults"] == []
    assert report["n"] == n
    assert report["peak_mb"] < MOST_MB
    assert n // 10 < report["n_refused"] < n
