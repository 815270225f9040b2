"""All whole tests of the project: the sample scripts with what they need, and the demo scripts."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

from support.places import DEMO
from support.scripts.sample_sounds import SAMPLES, lay_out

if TYPE_CHECKING:
    from pathlib import Path


DEMO_SCRIPTS = tuple(sorted(path.name for path in DEMO.glob("*.md")))


def sources() -> list[Path]:
    """Return the files of all whole tests as they stand in the repository."""
    return [*sorted(SAMPLES.glob("*.md")), *(DEMO / name for name in DEMO_SCRIPTS)]


def all_laid_out(folder: Path) -> list[Path]:
    """Copy all whole tests with their sounds into a folder; return the scripts."""
    samples = folder / "samples"
    samples.mkdir(parents=True)
    lay_out(samples)
    demo = folder / "demo"
    shutil.copytree(DEMO, demo, ignore=shutil.ignore_patterns(".pausewright", "out"))
    return [*sorted(samples.glob("*.md")), *(demo / name for name in DEMO_SCRIPTS)]
