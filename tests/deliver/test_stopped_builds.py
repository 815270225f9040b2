"""Builds that are killed, that meet, that fill the disk: never mixed, no user's file lost."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest
from support.amounts import cases

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="stops need fork and kill")


def stops(*arguments: object) -> dict[str, Any]:
    """Return what whole builds came to."""
    done = subprocess.run(
        [sys.executable, "-m", "support.processes.build_stops", *map(str, arguments)],
        capture_output=True, text=True, check=False,
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    sys.stdout.write(f"{arguments}: {done.stdout}\n")
    found = json.loads(done.stdout)
    assert isinstance(found, dict)
    return found


@pytest.mark.timeout(3600)
def test_builds_killed_at_random_leave_old_or_new(tmp_path: Path) -> None:
    """Half of them at a random call that changes the disk, half at a random time."""
    found = stops("kills", tmp_path, 7, cases(3, 200))

    assert found["wrong"] == []
    assert found["old"] + found["new"] == found["n_kills"] == cases(3, 200)


@pytest.mark.timeout(3600)
def test_two_builds_at_once_do_not_mix(tmp_path: Path) -> None:
    """One waits or is refused with one sentence; what is there is all of one of them."""
    found = stops("pairs", tmp_path, cases(1, 50))

    assert found["wrong"] == []
    assert found["both"] + found["refused"] == cases(1, 50)


@pytest.mark.timeout(3600)
@pytest.mark.parametrize("where", ["results", "all"])
def test_a_disk_that_fills_leaves_the_old_results(tmp_path: Path, where: str) -> None:
    """With every 50 KB more room (rarer in the ordinary tests): old whole, one sentence, no rest.

    "How SQLite Is Tested" (sqlite.org/testing.html) tests a full disk in this way: the same work
    again and again, with more room each time, until it comes to its end.
    """
    if where == "all" and cases(1, 2) == 1:
        pytest.skip("kept takes on the full disk too: in the long set")
    found = stops("full", tmp_path, cases(40, 1), where)
    if "skip" in found:
        pytest.skip(f"a disk of memory cannot be mounted here: {found['skip']}")

    assert found["wrong"] == []
    assert found["n_full"] >= cases(2, 60)
    assert found["enough_bytes"] > 0
