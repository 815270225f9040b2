"""Whole builds to check again: a small test with the voice without a model, built once."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

from pausewright.deliver.build import Built, Options, build

from support.scripts.short_scripts import SMALL
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from pathlib import Path


def written_script(folder: Path, text: str = SMALL, name: str = "morning.md") -> Path:
    """Write a script into a folder."""
    script = folder / name
    script.write_text(text, encoding="utf-8")
    return script


def built_test(
    folder: Path,
    text: str = SMALL,
    formats: tuple[str, ...] = ("mp3", "wav"),
    out: str = "out",
    *,
    split_at_stops: bool = False,
) -> Built:
    """Return a test that is built into a folder."""
    options = Options(
        folder / out,
        formats=formats,  # type: ignore[arg-type]
        engines=fake_engines(FakeEngine(ramp_s=0.02)),
        profiles=fake_profiles(folder),
        split_at_stops=split_at_stops,
    )
    return build(written_script(folder, text), options)


def stick(built: Built, to: Path) -> Path:
    """Return a copy of a build's room folder, as somebody carries it away."""
    return shutil.copytree(built.folder / f"version-{built.label}", to)
