"""Say what each package that Pausewright needs costs: megabytes on the disk, seconds to import.

    python3 scripts/dependency_costs.py              the base, in a fresh environment
    python3 scripts/dependency_costs.py ear video    the base with extras

Prints a table for docs/decisions/dependencies.md. Needs pip and a Unix system; takes some minutes.
A megabyte is one of `du -m`: blocks of the disk, 1,048,576 bytes. Seconds are the processor's, the
least of several runs of a new interpreter, less those of an interpreter that imports nothing.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import venv
from collections import Counter
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable

ROOT = Path(__file__).resolve().parent.parent
N_RUNS = 5
LEAST_MB = 1.0
"""Smaller packages are added up in one row."""
INSTALLERS = ("pip", "setuptools", "pkg_resources", "_distutils_hack")
"""What a fresh environment holds by itself."""

_FILES = """
import json
from importlib import metadata
print(json.dumps({
    one.metadata["Name"]: [[str(f), str(one.locate_file(f))] for f in one.files or ()]
    for one in metadata.distributions()
}))
"""


class Cost(NamedTuple):
    """What one package costs."""

    name: str
    megabytes: float
    seconds: float | None
    """None where nothing of that name can be imported."""


def main() -> int:
    """Measure in a fresh environment and print a table; return 0."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("extras", nargs="*", help="extras to install, for example: ear video")
    extras = parser.parse_args().extras
    with tempfile.TemporaryDirectory(prefix="pausewright-costs-") as name:
        folder = Path(name)
        venv.create(folder, with_pip=True)
        python = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
        what = str(ROOT) + (f"[{','.join(extras)}]" if extras else "")
        subprocess.run([python, "-m", "pip", "install", "-qqq", what], check=True)
        show(costs(python))
        site = _run(python, "import sysconfig; print(sysconfig.get_paths()['purelib'])").strip()
        total = megabytes(Path(site).rglob("*"))
        own = megabytes(
            file
            for one in INSTALLERS
            for pattern in (one, f"{one}-*")
            for folder in Path(site).glob(pattern)
            for file in folder.rglob("*")
        )
        print(f"\nsite-packages: {total:.0f} MB, {total - own:.0f} MB without pip and setuptools")
    return 0


def costs(python: Path) -> list[Cost]:
    """Return what each installed package costs, the largest first."""
    nothing_s = import_s(python, "sys") or 0.0
    rows = []
    for name, files in json.loads(_run(python, _FILES)).items():
        if name in INSTALLERS:
            continue
        module = _module(file for file, _ in files)
        seconds = import_s(python, module) if module else None
        rows.append(
            Cost(
                name,
                megabytes(Path(place) for _, place in files),
                None if seconds is None else seconds - nothing_s,
            )
        )
    return sorted(rows, key=lambda row: -row.megabytes)


def _module(files: Iterable[str]) -> str:
    """Return the module in which most files of a package lie, empty if there is none."""
    tops = Counter(
        PurePosixPath(file).parts[0].split(".")[0]
        for file in files
        if file.endswith((".py", ".so", ".pyd")) and ".libs" not in file and "-info" not in file
    )
    return next((top for top, _ in tops.most_common() if top.isidentifier()), "")


def import_s(python: Path, module: str) -> float | None:
    """Return the processor's seconds that an import takes, or None if there is no such module."""
    import resource  # noqa: PLC0415  not on Windows

    least_s: float | None = None
    for _ in range(N_RUNS):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run([python, "-c", f"import {module}"], capture_output=True, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        if done.returncode != 0:
            return None
        took_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        least_s = took_s if least_s is None else min(least_s, took_s)
    return least_s


def megabytes(files: Iterable[Path]) -> float:
    """Return what files take on the disk, each counted once."""
    found = {file for file in files if file.is_file()}
    return sum(-(-file.stat().st_size // 4096) * 4096 for file in found) / 2**20


def show(rows: list[Cost]) -> None:
    """Print a table; small packages in one row."""
    print("| package | MB | seconds to import |\n|---|---|---|")
    for row in rows:
        if row.megabytes >= LEAST_MB:
            print(f"| {row.name} | {row.megabytes:.0f} | {_shown(row.seconds)} |")
    small = [row for row in rows if row.megabytes < LEAST_MB]
    names = ", ".join(f"{row.name} {_shown(row.seconds)}" for row in small)
    print(f"| {len(small)} smaller ones | {sum(row.megabytes for row in small):.0f} | {names} |")


def _shown(seconds: float | None) -> str:
    return "–" if seconds is None else f"{max(0.0, seconds):.2f}"


def _run(python: Path, code: str) -> str:
    return subprocess.run([python, "-c", code], capture_output=True, text=True, check=True).stdout


if __name__ == "__main__":
    sys.exit(main())
