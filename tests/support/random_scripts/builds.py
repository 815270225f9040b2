"""What must be true of every random script: read, outlined, planned, built and measured alike."""

from __future__ import annotations

import json
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

from pausewright.checker.expect.expect import expect
from pausewright.deliver.build import Options, build
from pausewright.deliver.project import open_project
from pausewright.deliver.version_outline import outline, outline_data
from pausewright.plan.steps import steps
from pausewright.plan.timeline import Mark, Wait

from support.random_scripts.oracle import RATE_HZ, Gap, Sound
from support.random_scripts.zero_runs import SHORTEST, zero_runs
from support.voices.fake_voice import FakeEngine, fake_engines, fake_profiles

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.deliver.build import Built
    from pausewright.deliver.project import Project

    from support.random_scripts.scripts import RandomScript

Totals = dict[str, tuple[int, Fraction]]


def opened(script: Path) -> Project:
    """Return the project of a script, its voices fake."""
    return open_project(script, fake_profiles(script.parent))


def built(script: Path, out: str = "out") -> Built:
    """Build a script to WAV with the fake voice; the check must pass."""
    return build(
        script,
        Options(
            script.parent / out, ("wav",), workers=1, engines=fake_engines(FakeEngine()),
            profiles=fake_profiles(script.parent),
        ),
    )  # fmt: skip


def track_of(made: Built) -> Path:
    """Return the delivered WAV file."""
    return next(file for file in made.files if file.suffix == ".wav")


def outline_totals(project: Project) -> Totals:
    """Return count and seconds by kind of silence, as `outline --json` gives them."""
    data = json.loads(json.dumps(outline_data(project, outline(project, lambda _: None))))
    silences = {
        kind: (row["count"], Fraction(row["total_s"])) for kind, row in data["silences"].items()
    }
    rows: Totals = {}
    for row in data["steps"]:
        if row["kind"] in silences:
            n, total_s = rows.get(row["kind"], (0, Fraction(0)))
            rows[row["kind"]] = (n + 1, total_s + Fraction(row["length_s"]))
    assert rows == silences, "the rows of the outline do not add up to its totals"
    return silences


def plan_totals(project: Project) -> Totals:
    """Return count and seconds by kind of silence in the plan."""
    found: Totals = {}
    for step in steps(project.worded):
        if isinstance(step, Wait):
            n, total_s = found.get(step.kind, (0, Fraction(0)))
            found[step.kind] = (n + 1, total_s + step.wait_s)
    return found


def judge_reading(drawn: RandomScript, script: Path) -> Project | None:
    """Read a script: refused, with silences side by side, if and only if some stand so."""
    project = opened(script)
    errors = [p for p in project.problems if p.severity == "error"]
    shown = "\n".join(f"{p.place.line}: {p.message}" for p in errors)
    if drawn.oracle.clashes:
        assert errors, "two declared silences stand side by side, and nobody says so"
        assert {p.code for p in errors} == {"silences-adjacent"}, shown
        return None
    assert not errors, shown
    return project


def judge_totals(drawn: RandomScript, project: Project) -> None:
    """Compare what was declared with the plan and the outline, silence by silence."""
    planned = [s for s in steps(project.worded) if not isinstance(s, Mark)]
    waits = [(s.kind, s.wait_s) for s in planned if isinstance(s, Wait)]
    declared = [(e.kind, e.wait_s) for e in drawn.oracle.events if not isinstance(e, Sound)]
    for index, (one, other) in enumerate(zip(waits, declared, strict=False)):
        assert one == other, f"silence {index}: planned {one}, declared {other}"
    assert len(waits) == len(declared)
    n_sounds = sum(isinstance(e, Sound) for e in drawn.oracle.events)
    assert len(planned) - len(waits) == n_sounds
    beside = [b for a, b in pairwise(planned) if isinstance(a, Wait) and isinstance(b, Wait)]
    first_two = all(isinstance(s, Wait) for s in planned[:2])
    assert len(beside) == first_two, "two silences side by side in the plan"
    assert plan_totals(project) == drawn.oracle.totals()
    assert outline_totals(project) == drawn.oracle.totals()
    expected = [(silence.wait_s) for silence in expect(project.worded).silences]
    gaps = [sum(s.wait_s for s in gap.silences) for gap in drawn.oracle.gaps()]
    for index, (wait_s, declared_s) in enumerate(zip(expected, gaps, strict=False)):
        assert wait_s == declared_s, f"gap {index}: the check expects {wait_s}, not {declared_s}"
    assert len(expected) == len(gaps)
    data = json.loads(json.dumps(outline_data(project, outline(project, lambda _: None))))
    assert data["n_questions"] == drawn.n_questions


def judge_track(drawn: RandomScript, project: Project, made: Built) -> None:
    """Measure the delivered file: every silence to the sample, sums by kind, the whole length."""
    assert made.is_good
    track = track_of(made)
    runs, n_frames = zero_runs(track)
    gaps = [gap for gap in drawn.oracle.gaps() if gap.n_most >= SHORTEST]
    assert len(runs) == len(gaps), f"{len(runs)} silences on the file, {len(gaps)} declared"
    for index, (run, gap) in enumerate(zip(runs, gaps, strict=True)):
        assert gap.n_least <= run <= gap.n_most, f"silence {index}: {run} samples, not {gap}"
    _judge_sums(runs, gaps, outline_totals(project))
    assert Fraction(n_frames, RATE_HZ) == made.length_s


def _judge_sums(runs: list[int], gaps: list[Gap], totals: Totals) -> None:
    """Compare the sums measured by kind of silence with those of the outline."""
    measured: dict[str, int] = {}
    allowed: dict[str, int] = {}
    for run, gap in zip(runs, gaps, strict=True):
        known = [s.wait_s for s in gap.silences]
        for silence in gap.silences:
            kind = silence.kind
            others = sum(int(w * RATE_HZ) + 1 for w in known) - int(silence.wait_s * RATE_HZ) - 1
            edges = gap.n_least - sum(-(-w.numerator * RATE_HZ // w.denominator) for w in known)
            measured[kind] = measured.get(kind, 0) + run - others - edges
            allowed[kind] = allowed.get(kind, 0) + 1 + gap.n_most - gap.n_least
    assert measured.keys() == totals.keys()
    for kind, n_samples in measured.items():
        over = n_samples - totals[kind][1] * RATE_HZ
        assert -1 <= over <= allowed[kind], f"{kind}: {n_samples} samples, {totals[kind]} declared"


def judge_without_sound(
    drawn: RandomScript, folder: Path, name: str = "drawn.md"
) -> Project | None:
    """Read and plan one script; None if it is to be refused."""
    project = judge_reading(drawn, drawn.write(folder, name))
    if project is not None:
        judge_totals(drawn, project)
    return project


def judge(drawn: RandomScript, folder: Path, name: str = "drawn.md") -> Built | None:
    """Read, plan, build and measure one script; None if it is to be refused."""
    project = judge_without_sound(drawn, folder, name)
    if project is None:
        return None
    made = built(project.script.path)
    judge_track(drawn, project, made)
    return made
