"""Versions of short scripts, from text, and how to build them with the voice without a model."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.arrange.declarations import named, read_arrangements
from pausewright.checker.expect.expect import expect
from pausewright.checker.judge.arrangement_effects import expected_of
from pausewright.deliver.build import Options
from pausewright.deliver.version import make_version
from pausewright.plan.timeline import Wait
from pausewright.records.record_files import read_record
from pausewright.script.reader import read
from pausewright.wording.worded import Worded

from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from fractions import Fraction
    from pathlib import Path

    from pausewright.deliver.version import Version

HEAD = "---\ntitle: Tide tables\nlanguage: en-GB\nvoice: joe\n---\n\n"
END = "\n\nThe test is over.\n"


def written(folder: Path, text: str, arrangements: str) -> Path:
    """Write a script and its arrangements; return the script."""
    script = folder / "tide.md"
    script.write_text(text, encoding="utf-8")
    (folder / "tide.arrangements.yaml").write_text(
        f"standard: {{label: A}}\n{arrangements}\n", encoding="utf-8"
    )
    return script


def version(folder: Path, text: str, arrangement: str, *, errors: bool = False) -> Version:
    """Return the script in one arrangement with label B, given as the fields of `x`."""
    script = written(folder, text, "x: {label: B, basis: file 7, " + arrangement + "}")
    reading = read(script)
    found, problems = read_arrangements(reading, script)
    wrong = [p.message for p in (*reading.problems, *problems.all) if p.severity == "error"]
    assert wrong == []
    made = make_version(reading.script, Worded(reading.script), named(found, "x"))
    if not errors:
        assert [p.message for p in made.problems if p.severity == "error"] == []
    return made


def waits(made: Version, *kinds: str) -> list[Fraction]:
    """Return the silences of some kinds on the planned track, in seconds."""
    return [s.wait_s for s in made.steps if isinstance(s, Wait) and s.kind in kinds]


def expected_waits(made: Version, *kinds: str) -> list[Fraction]:
    """Return the silences of some kinds that the check works out by itself, in seconds."""
    granted = expected_of(expect(made.worded), made.worded)
    return [s.wait_s for s in granted.expectation.silences if s.kind in kinds]


def options(folder: Path, **changes: object) -> Options:
    """Return options for a build with the voice without a model."""
    settings: dict[str, object] = {
        "out": folder / "out",
        "formats": ("wav",),
        "engines": fake_engines(FakeEngine(ramp_s=0.02)),
        "profiles": fake_profiles(folder),
        **changes,
    }
    return Options(**settings)  # type: ignore[arg-type]


def built_track(how: Options, label: str, ending: str) -> Path:
    """Return the track of a version of `tide.md` in a format; the sound check lies beside it."""
    folder = how.out / "tide"
    record = read_record(folder / "confidential" / f"build-record_{label}.json")
    assert record is not None
    return next(folder / path for path, _ in record.paths("track") if path.endswith(ending))
