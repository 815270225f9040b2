"""All whole tests of the project: the sample scripts with what they need, and the demo scripts."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

from pausewright.deliver.build import Options
from pausewright.voice.engine_kinds import built_in_engines
from pausewright.voice.voice_list import all_profiles

from support.places import DEMO
from support.scripts.sample_sounds import SAMPLES, lay_out
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profile

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.sound.track_files import Format

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


def quick_options(folder: Path, formats: tuple[Format, ...] = ("mp3",)) -> Options:
    """Return options with the fake voice for every embedded one; recorded voices stay theirs."""
    profiles = {
        name: profile if profile.engine == "recorded" else fake_profile(folder, name)
        for name, profile in all_profiles(folder).items()
    }
    engines = {**built_in_engines(), **fake_engines(FakeEngine(ramp_s=0.02))}
    return Options(folder / "out", formats, engines=engines, profiles=profiles)
