"""Run the tests with voices computed as on other processors: other samples, the same promises.

    .venv/bin/python scripts/other_processors.py plain     networks step by step, as written
    .venv/bin/python scripts/other_processors.py oldest    the oldest runtime that is allowed
    .venv/bin/python scripts/other_processors.py oldest -- -m voice    for pytest

First both voices say two sentences in the usual and in the other way: if every take comes out the
same, the tests would try nothing new, and the run fails. Exit codes: 0 all passed, 1 something
failed, 2 the other runtime cannot be installed.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import tomllib
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Final

from bootstrap import ROOT, SetupError, child_environment, run_script

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

WAYS: Final = ("plain", "oldest")
RUNTIME: Final = "onnxruntime"
VARIABLE: Final = "PAUSEWRIGHT_TEST_KERNELS"
"""Read by tests/conftest.py."""
TESTS: Final = ("-m", "pytest", "-n", "2")
WHOLE_SUITE: Final = ("-m", "not real_time and not long")
VOICED: Final = ROOT / "tests" / "other_kernels.py"


def main() -> int:
    """Prove that the samples differ, then run the tests; return the exit code."""
    way, for_pytest = read_arguments(sys.argv[1:])
    with tempfile.TemporaryDirectory(prefix="pausewright-runtime-") as name:
        folder = Path(name)
        environment = child_environment()
        if way == "oldest":
            print(f"with {RUNTIME} {installed_oldest(folder / 'runtime')}", flush=True)
            _put_first(environment, folder / "runtime")
        changed, n_all = takes_that_change(folder, way, environment)
        print(f"computed as {way}, {changed} of {n_all} takes have other samples", flush=True)
        if not changed:
            return 1
        environment[VARIABLE] = way if way == "plain" else ""
        command = [sys.executable, *TESTS, *(for_pytest or WHOLE_SUITE)]
        return int(subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode > 0)


def read_arguments(arguments: Sequence[str]) -> tuple[str, list[str]]:
    """Return the way to compute and the arguments for pytest."""
    at = arguments.index("--") if "--" in arguments else len(arguments)
    parser = argparse.ArgumentParser(
        description="Run the tests with voices computed as on other processors.",
        epilog="What follows -- goes to pytest, for example: -- -m voice",
    )
    parser.add_argument("way", choices=WAYS)
    return str(parser.parse_args(arguments[:at]).way), list(arguments[at + 1 :])


def older_releases(pyproject: str, installed: str) -> Iterator[str]:
    """Yield the runtime's releases that are allowed and older than the installed one.

    As requirements for pip, each the latest of its kind: "onnxruntime==1.20.*" …
    """
    needed = next(
        one for one in tomllib.loads(pyproject)["project"]["dependencies"] if RUNTIME in one
    )
    major, oldest = map(int, needed.partition(">=")[2].partition(",")[0].split(".")[:2])
    for minor in range(oldest, int(installed.split(".")[1])):
        yield f"{RUNTIME}=={major}.{minor}.*"


def installed_oldest(folder: Path) -> str:
    """Install the oldest allowed runtime that this Python can have into a folder; return which.

    Raises
    ------
    SetupError
        If none can be had.
    """
    pyproject = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    pip = [sys.executable, "-m", "pip", "--no-input", "--disable-pip-version-check", "install"]
    options = ["--quiet", "--no-deps", "--only-binary", ":all:", "--target", str(folder)]
    for wanted in older_releases(pyproject, version(RUNTIME)):
        done = subprocess.run([*pip, *options, wanted], capture_output=True, check=False)
        if done.returncode == 0:
            return wanted.partition("==")[2]
    raise SetupError(
        f"no older release of {RUNTIME} can be installed for this Python",
        "see that this machine reaches a package index, then start again",
    )


def _put_first(environment: dict[str, str], folder: Path) -> None:
    """Let Python look into a folder before its own packages."""
    paths = [str(folder), *environment.get("PYTHONPATH", "").split(os.pathsep)]
    environment["PYTHONPATH"] = os.pathsep.join(filter(None, paths))


def takes_that_change(folder: Path, way: str, environment: Mapping[str, str]) -> tuple[int, int]:
    """Return how many takes have other samples in another way than usual, and of how many.

    Both are voiced twice in processes of their own, which end with an error if the second time
    gives other samples.
    """
    import numpy as np  # noqa: PLC0415  the package is at hand only where the tests are

    usual, other = folder / "usual.npz", folder / "other.npz"
    plain = "plain" if way == "plain" else ""
    for kind, file, where in (("", usual, child_environment()), (plain, other, environment)):
        command = [sys.executable, str(VOICED), kind, str(file)]
        subprocess.run(command, cwd=ROOT, env=dict(where), check=True)
    with np.load(usual) as first, np.load(other) as second:
        is_other = [not np.array_equal(first[name], second[name]) for name in first.files]
        return sum(is_other), len(is_other)


if __name__ == "__main__":
    run_script(main)
