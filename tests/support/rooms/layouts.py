"""Rooms laid out from a test of some seconds in three versions, by the voice without a model."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from pausewright.checker.unscripted import measure_track
from pausewright.deliver import recheck as rechecking
from pausewright.deliver.build import build_versions
from pausewright.deliver.needed_rooms import make_rooms
from pausewright.deliver.project import open_project
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import sha256_of

from support.scripts.versions import options, written

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    import pytest
    from pausewright.checker.result.delivered import Delivered
    from pausewright.checker.result.findings import CheckResult

SCRIPT = """---
title: Lantern walk
language: en-GB
voice: joe
readings: 2
between-readings: 0.8 s
---

# Only {answer-time="1 s"}

Listen.

1. How many lanterns? {sheet="lanterns" key="ZEBRAFISH"}
2. How many rivers? {key="QUOKKA"}

# End

Thank you.
"""
OTHER_KEY = SCRIPT.replace("ZEBRAFISH", "AXOLOTL")
"""Another edition that says and shows the same."""
OTHER_SHEET = SCRIPT.replace('sheet="lanterns"', 'sheet="lamps of all kinds"')
"""Another edition that says the same and prints something else."""
OTHER_WORDS = SCRIPT.replace("How many rivers", "How many silver rivers")
"""Another edition that says something else and prints the same."""
VERSIONS = """
quarter: {label: B, basis: f, extra-time: 25 %, stretch: [answer-time],
  share-of: listed-silences, where: each-gap}
slower: {label: C, basis: f, pace: 80 %}
"""
HEAD = "candidate,version,room,headphones,reader"
ROWS = (
    "C101,A,Hall,,",
    "C102,A,Hall,,",
    "C103,B,Room 4,yes,",
    "C104,C,Room 4,yes,",
    "C105,B,Room 4,yes,",
    "C106,C,Annexe,,R7",
    "C107,B,Annexe,yes,",
)
"""Three rooms: one loudspeaker; three players; a live reader beside a player."""


@dataclass(frozen=True, slots=True)
class Layout:
    """A test that was built, and its rooms."""

    folder: Path
    script: Path
    rooms: Path
    needs: Path
    edition: str

    def record(self, label: str) -> Path:
        """Return the build record of a version."""
        return self.folder / "out" / "tide" / "confidential" / f"build-record_{label}.json"

    @property
    def rooms_record(self) -> Path:
        """The record of the rooms."""
        return self.rooms / "confidential" / "build-record_rooms.json"


def list_text(rows: tuple[str, ...] = ROWS) -> str:
    """Return a list of needs."""
    return "\n".join([HEAD, *rows]) + "\n"


def laid_out(folder: Path, text: str = SCRIPT, rows: tuple[str, ...] = ROWS) -> Layout:
    """Build a test and lay its rooms out."""
    folder.mkdir(exist_ok=True)
    script = written(folder, text, VERSIONS)
    made = options(folder)
    build_versions(script, made)
    needs = folder / "needs.csv"
    needs.write_text(list_text(rows), "utf-8")
    project = open_project(script, made.profiles)
    make_rooms(project, needs, folder / "out", folder / "rooms", "09:30")
    return Layout(folder, script, folder / "rooms", needs, project.edition)


def remember_measuring(patch: pytest.MonkeyPatch) -> None:
    """Measure equal files once: what is found depends on nothing but their names and bytes."""
    known: dict[tuple[str, str], CheckResult] = {}

    def measured(track: Path, progress: Callable[[float], None] | None = None) -> CheckResult:
        key = (track.name, sha256_of(track, kind=BUILT_FILE))
        if key not in known:
            known[key] = measure_track(track, progress)
        return known[key]

    patch.setattr(rechecking, "measure_track", measured)


def codes(found: Delivered) -> list[str]:
    """Return severity and code of all findings, each once, sorted."""
    return sorted({f"{one.severity} {one.code}" for one in found.all_findings})
