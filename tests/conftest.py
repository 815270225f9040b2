"""What tests of several folders ask for, and how the voices are computed for all of them."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

import pytest
from other_processors import VARIABLE
from pausewright import cli

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from support.command_line import Run


def pytest_configure() -> None:
    """Compute as on another processor if scripts/other_processors.py asks for it."""
    if way := os.environ.get(VARIABLE):
        from support.voices import other_kernels  # noqa: PLC0415  loads the runtime, which few tests need

        other_kernels.compute_as(way)


@pytest.fixture(autouse=True)
def nothing_kept() -> Iterator[None]:
    """Forget what a test read: the next one may read with other code."""
    yield
    if kept := sys.modules.get("pausewright.wording.kept_readings"):
        kept.forget_readings()


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command in a folder of its own; gives exit code, output and messages."""
    monkeypatch.chdir(tmp_path)

    def call(*arguments: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["pausewright", *arguments])
        with pytest.raises(SystemExit) as stopped:
            cli.main()
        out, err = capsys.readouterr()
        return int(stopped.value.code or 0), out, err

    return call
