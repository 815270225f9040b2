"""Recordings of people with published labels, fetched by the tests and never shipped.

What was fetched is kept in the user's cache folder, outside the project, so that it is fetched
once. Where it cannot be had (no pip or apt, no network) the test is skipped and says why.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

WAIT_S = 120


def source_package(name: str, version: str) -> Path:
    """Return the unpacked source package of a Python project; skip the test without it.

    Nothing is installed. pip unpacks a source package to look at it; that is what is kept, so that
    nothing is lost where it then cannot be prepared with this machine's setuptools.
    """

    def fetch(folder: Path) -> Path:
        command = [
            *(sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--no-clean"),
            *("--no-binary", ":all:", "--no-build-isolation", "--retries", "1"),
            *(f"{name}=={version}", "--dest", str(folder)),
        ]
        _run(command, folder)
        return next(folder.glob(f"pip-*/{name}_*"))

    return _kept(f"{name}-{version}", f"the source package of {name}", fetch)


def debian_package(name: str) -> Path:
    """Return the unpacked files of a Debian package; skip the test without it."""

    def fetch(folder: Path) -> Path:
        _run(["apt-get", "download", "--quiet", name], folder)
        _run(["dpkg-deb", "--extract", str(next(folder.glob("*.deb"))), "files"], folder)
        return folder / "files"

    return _kept(name, f"Debian's package {name}", fetch)


def _run(command: Sequence[str], folder: Path) -> None:
    """Run a command whose files all go to a folder; whether it worked shows in what is there."""
    subprocess.run(
        command,
        cwd=folder,
        env={**os.environ, "TMPDIR": str(folder), "TEMP": str(folder), "TMP": str(folder)},
        capture_output=True,
        check=False,
        timeout=WAIT_S,
    )


def _kept(name: str, called: str, fetch: Callable[[Path], Path]) -> Path:
    """Return the folder of what is kept, fetched first if need be."""
    cache = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    kept = cache / "pausewright-tests" / name
    if kept.is_dir():
        return kept
    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=kept.parent) as folder:
            fetch(Path(folder)).rename(kept)
    except (subprocess.SubprocessError, OSError, StopIteration):
        if not kept.is_dir():  # else another worker was faster
            pytest.skip(f"{called} cannot be fetched here (no network, or pip or apt is missing)")
    return kept
