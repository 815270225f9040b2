"""Seasons whose workers and schedulers are killed while they are made; each must end whole.

    python3 -m support.seasons.kills FOLDER N_WORKERS N_SCHEDULERS SEED

kills so many of each, at random moments, in as many seasons as that takes, and prints a line of
JSON: kills, seasons, and which of them were not like the one that nobody disturbed.
"""

from __future__ import annotations

import json
import random
import shutil
import subprocess
import sys
import time
from pathlib import Path
from typing import Any, Final

from make_season import write_season
from pausewright.season.run import WORK

from support.seasons.cluster import Cluster, child_environment, season_command

N_TESTS: Final = 4
TWO: Final = "standard: {label: A}\nthrice: {label: D, readings: 3, basis: file 3}\n"
"""Arrangements of each test."""
PAUSE_S: Final = (1.0, 4.0)
"""Between two kills, at least and at most."""


def results(out: Path) -> dict[str, bytes]:
    """Return every file of the tests, and the table."""
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file() and WORK not in path.parts
    }


def undisturbed(folder: Path, out: Path) -> dict[str, bytes]:
    """Make a season in peace, on one worker of this machine."""
    command = season_command(folder, "--out", str(out), "--workers", "1")
    subprocess.run(command, env=child_environment(), check=True, capture_output=True)
    return results(out)


def disturbed(
    cluster: Cluster, folder: Path, out: Path, kinds: list[str], chance: random.Random
) -> tuple[int, str, list[str]]:
    """Make a season while what `kinds` says is killed; return its code, its words, what was."""
    command = season_command(
        folder, "--out", str(out), "--scheduler", cluster.address, "--results", "folder"
    )
    made = subprocess.Popen(
        command, env=child_environment(), stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    )
    killed = []
    while made.poll() is None and kinds:
        time.sleep(chance.uniform(*PAUSE_S))
        if made.poll() is not None or not (out / WORK / "parts").exists():
            continue
        kind = kinds.pop()
        if kind == "worker":
            cluster.kill_worker(chance.randrange(10))
        else:
            cluster.kill_scheduler()
        killed.append(kind)
    said, _ = made.communicate()
    return made.returncode, said.decode("utf-8", "replace"), killed


def main() -> None:
    """Do what the arguments say."""
    folder, n_workers, n_schedulers, seed = Path(sys.argv[1]), *map(int, sys.argv[2:5])
    chance = random.Random(seed)  # noqa: S311  nothing secret
    kinds = ["worker"] * n_workers + ["scheduler"] * n_schedulers
    chance.shuffle(kinds)
    season = folder / "season"
    write_season(season, N_TESTS, ["joe"], 1, TWO)
    wanted = undisturbed(season, folder / "peace")
    found: dict[str, Any] = {"worker": 0, "scheduler": 0, "seasons": 0, "wrong": []}
    with Cluster(folder / "dask", 2) as cluster:
        while kinds:
            shutil.rmtree(season / ".pausewright", ignore_errors=True)
            shutil.rmtree(folder / "out", ignore_errors=True)
            code, said, killed = disturbed(cluster, season, folder / "out", kinds, chance)
            found["seasons"] += 1
            for kind in killed:
                found[kind] += 1
            if code or results(folder / "out") != wanted:
                found["wrong"].append([killed, code, said[-300:]])
            sys.stderr.write(json.dumps(found) + "\n")
    sys.stdout.write(json.dumps(found) + "\n")


if __name__ == "__main__":
    main()
