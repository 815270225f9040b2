"""Every check of the project: format, lint, strict types, all tests. Needs only Python and pip.

The types of the screens' JavaScript are checked where Node and TypeScript are (`npm ci` in
tests/typescript); elsewhere one line says that they were not.

    python3 scripts/test.py                        everything that every change must pass
    python3 scripts/test.py --all                  that and the long set: hours, before a release
    python3 scripts/test.py --only types           one kind: lint, types, tests or long
    python3 scripts/test.py --only tests -- -k pace    what follows -- goes to pytest

All checks run, one after the other, even if one fails. Then it says what was not looked at and what
to install for that, and last the results. Exit codes: 0 all passed, 1 something
failed, 2 something that a person must install is missing.
"""

from __future__ import annotations

import argparse
import re
import shutil
import subprocess
import sys
import time
from collections import Counter
from typing import TYPE_CHECKING, Final, NamedTuple

from bootstrap import ROOT, child_environment, ready, run_script

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

KINDS: Final = ("lint", "types", "tests")
LONG: Final = "long"
"""Marks tests of the long set; others try more cases in it (tests/support/amounts.py)."""
WORKERS: Final = ("-n", "2")
"""Tests that run at the same time; more use more memory (each worker loads a voice)."""
BY_FILE: Final = ("--dist", "loadfile")
"""All tests of a file by one worker: what they share, such as a built test, is made once."""


REAL_TIME: Final = "real_time"
"""Marks tests that play a page by the clock: they run apart, so that nothing slows them down."""
WORKERS_BY_CLOCK: Final = ("-n", "4")
"""They wait more than they compute: each takes a tenth of a processor."""
BY_CLOCK_FOLDER: Final = "tests/screen"
"""Where all of them are: looking for them in every file takes longer than some of them."""


LONG_SCRIPTS: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    ("licences", ("scripts/audit.py", "licences")),
    ("known holes", ("scripts/audit.py", "vulnerabilities")),
    ("plain kernels", ("scripts/other_processors.py", "plain")),
    ("oldest runtime", ("scripts/other_processors.py", "oldest")),
)
"""Name and command of what the long set runs besides its tests."""


ORDINARY: Final = "tests"
"""Name of the check that runs the ordinary tests."""
TYPESCRIPT: Final = ROOT / "tests" / "typescript"
"""Where TypeScript is installed, which reads the screens' JavaScript."""


class Check(NamedTuple):
    """One check: what Python, or another program, is called with."""

    kind: str
    name: str
    command: tuple[str, ...]
    program: str = ""
    """Python of our environment if empty."""
    lacks: str = ""
    """What must be installed before it can run."""


class Row(NamedTuple):
    """What became of one check."""

    name: str
    passed: bool | None
    """None if it did not run."""
    took_s: float
    last: str
    """The last line that it printed."""
    skipped: Counter[str]
    """Tests that were skipped, by the reason that they give."""


_SKIPPED: Final = re.compile(r"SKIPPED \[(\d+)\] [^ :]+(?::\d+)?: (.+)")
"""A line of pytest's summary: how many tests, where, and why."""


def main() -> int:
    """Run the checks that were asked for; return the exit code."""
    kinds, for_pytest = read_arguments(sys.argv[1:])
    python = ready(["all", "dev"])
    rows = [_run(python, check) for check in chosen(checks(for_pytest), kinds)]
    print("\n".join(["", *not_looked_at(rows, kinds), table(rows)]), flush=True)
    return 1 if any(row.passed is False for row in rows) else 0


def read_arguments(arguments: Sequence[str]) -> tuple[tuple[str, ...], list[str]]:
    """Return the kinds of checks to run and the arguments for pytest."""
    at = arguments.index("--") if "--" in arguments else len(arguments)
    mine, for_pytest = list(arguments[:at]), list(arguments[at + 1 :])
    parser = argparse.ArgumentParser(
        description="Run every check of the project: format, lint, strict types, all tests.",
        epilog="What follows -- goes to pytest, for example: -- -k pace",
    )
    parser.add_argument("--only", choices=(*KINDS, LONG), help="run one kind of check")
    parser.add_argument("--all", action="store_true", help="also run the long set")
    chosen = parser.parse_args(mine)
    if for_pytest and (chosen.all or chosen.only not in {None, "tests"}):
        parser.error("what follows -- is for the tests: use --only tests")
    if chosen.only:
        return (chosen.only,), for_pytest
    return ((*KINDS, LONG) if chosen.all else KINDS), for_pytest


def checks(for_pytest: Sequence[str]) -> list[Check]:
    """Return every check, in order.

    Without a choice of tests those that play by the clock run after the others. In the long set
    the ordinary ones are tried with more cases.
    """
    pytest = ("-m", "pytest", *WORKERS)
    tests = [Check("tests", ORDINARY, (*pytest, *for_pytest))]
    by_file = (*pytest, *BY_FILE)
    if not for_pytest:
        by_clock = ("-m", "pytest", *WORKERS_BY_CLOCK, BY_CLOCK_FOLDER)
        tests = [
            Check("tests", ORDINARY, (*by_file, "-m", f"not {REAL_TIME} and not {LONG}")),
            Check("tests", "by clock", (*by_clock, "-m", f"{REAL_TIME} and not {LONG}")),
        ]
    return [
        Check("lint", "format", ("-m", "ruff", "format", "--check", ".")),
        Check("lint", "lint", ("-m", "ruff", "check", ".")),
        Check("types", "types", ("-m", "mypy")),
        javascript(shutil.which("node"), TYPESCRIPT),
        *tests,
        Check(LONG, "long tests", (*by_file, "-m", f"{LONG} or not {REAL_TIME}")),
        *(Check(LONG, name, command) for name, command in LONG_SCRIPTS),
    ]


def chosen(every: Sequence[Check], kinds: Sequence[str]) -> list[Check]:
    """Return the checks of some kinds; the long set has the ordinary tests in it already."""
    found = [check for check in every if check.kind in kinds]
    return [check for check in found if LONG not in kinds or check.name != ORDINARY]


def javascript(node: str | None, folder: Path) -> Check:
    """Return the type check of the screens' JavaScript: it needs Node and npm's TypeScript."""
    compiler = folder / "node_modules" / "typescript" / "bin" / "tsc"
    lacks = ""
    if node is None:
        lacks = "Node is not on this machine: install nodejs"
    elif not compiler.is_file():
        lacks = f"TypeScript is not installed: npm ci in {folder.relative_to(ROOT).as_posix()}"
    command = (str(compiler), "--project", str(folder))
    return Check("types", "screens", command, program=node or "node", lacks=lacks)


def not_looked_at(rows: Sequence[Row], kinds: Sequence[str]) -> list[str]:
    """Return lines that say what the run left out and what to do about it, most tests first."""
    skipped = sum((row.skipped for row in rows), Counter[str]())
    left_out = [f"       {row.name}: {row.last}" for row in rows if row.passed is None]
    left_out += [f"{n:5}  {reason}" for reason, n in skipped.most_common()]
    if "tests" in kinds and LONG not in kinds:
        left_out.append("       the long set takes hours: python3 scripts/test.py --all")
    if not left_out:
        return []
    n_tests = f"{skipped.total()} tests skipped" if skipped else "no test skipped"
    return [f"not looked at ({n_tests}):", *left_out, ""]


def table(rows: Sequence[Row]) -> str:
    """Return the results as a table."""
    words = {True: "passed", False: "FAILED", None: "not run"}
    return "\n".join(
        f"{row.name:14} {words[row.passed]:8} {row.took_s:6.1f} s  {row.last}" for row in rows
    )


def _run(python: Path, check: Check) -> Row:
    if check.lacks:
        print(f"\n---- {check.name}: not run. {check.lacks}", flush=True)
        return Row(check.name, None, 0.0, check.lacks, Counter())
    print(f"\n---- {check.name}: {' '.join(check.command)}", flush=True)
    environment = child_environment()
    # each of the many programs that tests start would compile every module anew
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    if check.kind == LONG:
        environment["PAUSEWRIGHT_LONG_SET"] = "1"
    start_s = time.monotonic()
    with subprocess.Popen(
        [check.program or str(python), *check.command],
        cwd=ROOT, env=environment, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT, encoding="utf-8", errors="replace",
    ) as process:  # fmt: skip
        last = ""
        skipped: Counter[str] = Counter()
        for row in process.stdout or ():
            print(row, end="", flush=True)
            last = row.strip() or last
            if told := _SKIPPED.fullmatch(row.strip()):
                skipped[told[2]] += int(told[1])
    took_s = time.monotonic() - start_s
    return Row(check.name, process.returncode == 0, took_s, last.strip("= "), skipped)


if __name__ == "__main__":
    run_script(main)
