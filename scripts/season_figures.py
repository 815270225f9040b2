"""Measures a season on this machine: efficiency, a second run, and what the engine adds to a task.

    python3 scripts/season_figures.py FOLDER [--tests 8] [--voice joe] [--no-models]

FOLDER must not be there. Prints wall-clock seconds and those of all processors, so that a machine
that does other work meanwhile is seen.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path
from typing import Final, NamedTuple

from bootstrap import ROOT
from make_season import write_season
from pausewright.season.asks import Voiced
from pausewright.season.dask_engine import OnThisMachine
from pausewright.season.graph import Task

N_EMPTY: Final = 300
"""Tasks that do nothing."""


class Took(NamedTuple):
    """What a command took."""

    wall_s: float
    worked_s: float
    """Of all processors, its children counted."""
    said: str


def took(command: list[str]) -> Took:
    """Run a command that must succeed."""
    before = os.times()
    started_s = time.monotonic()
    done = subprocess.run(command, capture_output=True, check=True, encoding="utf-8")
    after = os.times()
    worked_s = (after.children_user - before.children_user) + (
        after.children_system - before.children_system
    )
    return Took(time.monotonic() - started_s, worked_s, done.stdout)


def overhead(work: Path, n_workers: int) -> None:
    """Measure tasks that do nothing: one after the other, and many at once."""
    with OnThisMachine(n_workers, work) as engine:
        single = []
        for at in range(N_EMPTY):
            task = Task(f"one-{at}", "kept", Voiced(0))
            started_s = time.monotonic()
            engine.add([task])
            while engine.next(5) is None:
                pass
            single.append(time.monotonic() - started_s)
            engine.drop([task.key])
        tasks = [Task(f"many-{at}", "kept", Voiced(0)) for at in range(N_EMPTY)]
        started_s = time.monotonic()
        engine.add(tasks)
        n_ended = 0
        while n_ended < N_EMPTY:
            n_ended += engine.next(5) is not None
        many_ms = 1000 * (time.monotonic() - started_s) / N_EMPTY
    print(
        f"{N_EMPTY} empty tasks on {n_workers} workers: one after the other "
        f"{1000 * statistics.median(single):.1f} ms each (median), together {many_ms:.1f} ms each"
    )


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="Figures of a season.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--tests", type=int, default=8)
    parser.add_argument("--voice", default="joe")
    parser.add_argument("--no-models", action="store_true")
    parser.add_argument("--no-build", action="store_true")
    asked = parser.parse_args()
    asked.folder.mkdir()
    module = "support.seasons.no_models" if asked.no_models else "pausewright"
    paths = [str(ROOT / one) for one in ("pipeline", "voices", "tests", "scripts")]
    os.environ["PYTHONPATH"] = os.pathsep.join([*paths, os.environ.get("PYTHONPATH", "")])
    program = [sys.executable, "-m", module]
    first: dict[int, Took] = {}
    for n_workers in (1, 2):
        season = asked.folder / f"on-{n_workers}"
        write_season(season, asked.tests, [asked.voice])
        command = [*program, "season", str(season), "--out", str(asked.folder / f"out-{n_workers}")]
        command += ["--workers", str(n_workers), "--json"]
        measured = asked.folder / f"measured-{n_workers}.jsonl"
        first[n_workers] = took([*command, "--measured", str(measured)])
        again = took(command)
        told = json.loads(first[n_workers].said)
        print(
            f"{n_workers} workers: {told['n_made']} tests, {told['n_tasks']} tasks, "
            f"{told['n_uses']} uses of {told['n_utterances']} utterances, "
            f"{told['n_voiced']} voiced; {told['took_s']:.1f} s of the clock after start, "
            f"{first[n_workers].wall_s:.1f} s with it, {first[n_workers].worked_s:.1f} s of "
            f"processors; again {again.wall_s:.1f} s, "
            f"{again.worked_s:.1f} s of processors "
            f"({again.worked_s / first[n_workers].worked_s:.1%})",
            flush=True,
        )
    ratio = first[1].wall_s / first[2].wall_s / 2
    print(f"efficiency from 1 to 2 workers: {ratio:.2f} by the clock, start included")
    if not asked.no_build:
        season = asked.folder / "built"
        write_season(season, asked.tests, [asked.voice])
        n_s = [
            took([*program, "build", str(script), "--out", str(asked.folder / "out-b"),
                  "--workers", "1", "--quiet"])
            for script in sorted(season.rglob("*.md"))
        ]  # fmt: skip
        wall_s = sum(one.wall_s for one in n_s)
        print(
            f"build --workers 1, one after another: {wall_s:.1f} s by the clock, "
            f"{sum(one.worked_s for one in n_s):.1f} s of processors; the season on two workers is "
            f"{wall_s / first[2].wall_s:.2f} times as fast"
        )
    overhead(asked.folder, 2)


if __name__ == "__main__":
    main()
