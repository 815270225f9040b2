"""Every check of the project: format, lint, strict types, all tests. Needs only Python and pip.

    python3 scripts/test.py                        everything
    python3 scripts/test.py --only types           one kind: lint, types or tests
    python3 scripts/test.py --only tests -- -k pace    what follows -- goes to pytest

All checks run, one after the other, even if one fails. Exit codes: 0 all passed, 1 something
failed, 2 something that a person must install is missing.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import time
from typing import TYPE_CHECKING, Final, NamedTuple

from bootstrap import ROOT, child_environment, ready, run_script

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

KINDS: Final = ("lint", "types", "tests")
WORKERS: Final = "2"
"""Tests that run at the same time; more use more memory (each worker loads a voice)."""


REAL_TIME: Final = "real_time"
"""Marks tests that play a page by the clock: they run apart, so that nothing slows them down."""


class Row(NamedTuple):
    """What became of one check."""

    name: str
    passed: bool
    took_s: float
    last: str
    """The last line that it printed."""


def main() -> int:
    """Run the checks that were asked for; return the exit code."""
    kinds, for_pytest = read_arguments(sys.argv[1:])
    python = ready(["all", "dev"])
    rows = [
        _run(python, name, command) for kind, name, command in checks(for_pytest) if kind in kinds
    ]
    print("\n" + table(rows), flush=True)
    return 0 if all(row.passed for row in rows) else 1


def read_arguments(arguments: Sequence[str]) -> tuple[tuple[str, ...], list[str]]:
    """Return the kinds of checks to run and the arguments for pytest."""
    at = arguments.index("--") if "--" in arguments else len(arguments)
    mine, for_pytest = list(arguments[:at]), list(arguments[at + 1 :])
    parser = argparse.ArgumentParser(
        description="Run every check of the project: format, lint, strict types, all tests.",
        epilog="What follows -- goes to pytest, for example: -- -k pace",
    )
    parser.add_argument("--only", choices=KINDS, help="run one kind of check")
    only = parser.parse_args(mine).only
    if for_pytest and only not in {None, "tests"}:
        parser.error("what follows -- is for the tests: use --only tests")
    return ((only,) if only else KINDS), for_pytest


def checks(for_pytest: Sequence[str]) -> list[tuple[str, str, list[str]]]:
    """Return kind, name and command of each check, in order.

    Without a choice of tests those that play by the clock run after the others.
    """
    pytest = ["pytest", "-n", WORKERS]
    tests = [("tests", "tests", [*pytest, *for_pytest])]
    if not for_pytest:
        tests = [
            ("tests", "tests", [*pytest, "-m", f"not {REAL_TIME}"]),
            ("tests", "by clock", [*pytest, "-m", REAL_TIME]),
        ]
    return [
        ("lint", "format", ["ruff", "format", "--check", "."]),
        ("lint", "lint", ["ruff", "check", "."]),
        ("types", "types", ["mypy"]),
        *tests,
    ]


def table(rows: Sequence[Row]) -> str:
    """Return the results as a table."""
    return "\n".join(
        f"{row.name:8} {'passed' if row.passed else 'FAILED':8} {row.took_s:6.1f} s  {row.last}"
        for row in rows
    )


def _run(python: Path, name: str, command: Sequence[str]) -> Row:
    print(f"\n---- {name}: {' '.join(command)}", flush=True)
    start_s = time.monotonic()
    with subprocess.Popen(
        [str(python), "-m", *command],
        cwd=ROOT, env=child_environment(), stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT, encoding="utf-8", errors="replace",
    ) as process:  # fmt: skip
        last = ""
        for row in process.stdout or ():
            print(row, end="", flush=True)
            last = row.strip() or last
    return Row(name, process.returncode == 0, time.monotonic() - start_s, last.strip("= "))


if __name__ == "__main__":
    run_script(main)
