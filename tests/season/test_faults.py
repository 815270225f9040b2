"""Disks and memory that are full, parts that are lost, workers that are slow, frozen or too old."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import time
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.build import Options, build_versions
from pausewright.deliver.version_parts import write_step
from pausewright.problems import OutputError
from pausewright.season import tasks
from pausewright.season.asks import Making
from pausewright.season.parts import LostPartError
from pausewright.season.run import WORK, SeasonAsk, make_season
from pausewright.season.store import StoreError
from support.seasons.cluster import Cluster, child_environment, season_command
from support.seasons.inline import InlineEngine
from support.seasons.kills import TWO, results
from support.seasons.names import SKEW, SLOW

pytest.importorskip("distributed", reason="dask is the extra ‘season’")

from make_season import write_season

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.season.asks import Outcome
    from pausewright.season.graph import Task

STANDARD = "standard: {label: A}\n"


def _wrapped(number: int) -> OutputError:
    """Return an error of ours that the system's stands behind, as writing raises it."""
    error = OutputError("it cannot be written", "make room")
    error.__cause__ = OSError(number, os.strerror(number))
    return error


@pytest.mark.parametrize(
    ("error", "may_pass"),
    [
        (OSError(errno.ENOSPC, "No space left on device"), True),
        (_wrapped(errno.ENOSPC), True),
        (_wrapped(errno.EDQUOT), True),
        (_wrapped(errno.EIO), True),
        (OSError(errno.ENOMEM, "Cannot allocate memory"), True),
        (MemoryError(), True),
        (StoreError("the store is away", ""), True),
        (LostPartError("a part is gone", ""), True),
        (_wrapped(errno.EACCES), False),
        (OSError(errno.ENAMETOOLONG, "File name too long"), False),
        (OutputError("it was changed", ""), False),
    ],
)
def test_what_another_time_may_help(
    monkeypatch: pytest.MonkeyPatch, error: BaseException, *, may_pass: bool
) -> None:
    """A task never raises what the system refused: it answers, and says whether to try again."""

    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr(tasks, "_value", fail)
    fault = tasks.do("lay", None).fault

    assert fault is not None
    assert fault.may_pass is may_pass
    assert fault.message
    assert "Traceback" not in fault.message


@pytest.mark.usefixtures("voice")
@pytest.mark.parametrize("harm", ["full disk", "cut part"])
def test_a_worker_in_trouble_loses_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, harm: str
) -> None:
    """Its disk is full in the middle of a part, or a part is cut short before it is used."""
    write_season(tmp_path, 1, ["joe"], 1, STANDARD)
    out, n_harmed = tmp_path / "out", 0

    def full(build: object, voiced: object, step: str, before: object) -> object:
        nonlocal n_harmed
        part = write_step(build, voiced, step, before)  # type: ignore[arg-type]
        if step == "papers" and not n_harmed:  # when all but its last file is written
            n_harmed += 1
            raise _wrapped(errno.ENOSPC)
        return part

    def cut(task: Task) -> Outcome | None:
        nonlocal n_harmed
        if task.kind == "check" and not n_harmed:
            for file in (out / WORK / "parts").glob("*-lay/files/version-A/*.wav"):
                os.truncate(file, file.stat().st_size // 2)
                n_harmed += 1
        return None

    if harm == "full disk":
        monkeypatch.setattr(tasks, "write_step", full)
    engine = InlineEngine(cut if harm == "cut part" else None)
    made = make_season(SeasonAsk(tmp_path, out, Making(("wav",))), engine, lambda _: None)

    assert n_harmed
    assert (made.counts.n_made, made.table.not_made) == (1, ())
    assert made.counts.n_voiced == made.counts.n_takes
    assert not list((out / WORK / "parts").iterdir())
    alone = tmp_path / ".alone"
    build_versions(tmp_path / "test-0001.md", Options(alone, ("wav",)))
    mine = {one: bytes_ for one, bytes_ in results(out).items() if "/" in one}
    assert mine == results(alone)


@pytest.mark.long
def test_a_worker_of_another_age_is_refused(tmp_path: Path) -> None:
    """A program that has another numpy: one sentence, code 2, and nothing is voiced."""
    season = tmp_path / "season"
    write_season(season, 1, ["joe"], 1, STANDARD)
    with Cluster(tmp_path / "dask", 0) as cluster:
        cluster.add_worker(environment={SKEW: "1.0"})
        out = tmp_path / "out"
        command = season_command(season, "--out", str(out), "--scheduler", cluster.address)
        done = subprocess.run(
            command, env=child_environment(), capture_output=True, check=False, encoding="utf-8"
        )

    assert done.returncode == 2
    assert "does not make the same bytes: it has numpy 1.0, and this machine" in done.stdout
    assert "Traceback" not in done.stdout + done.stderr
    assert not list(out.glob("test-*"))


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_slow_and_frozen_workers_lose_nothing(tmp_path: Path) -> None:
    """One of three takes a second longer for everything, another stands still for a while."""
    season, out, alone = tmp_path / "season", tmp_path / "out", tmp_path / "alone"
    write_season(season, 3, ["joe"], 1, TWO)
    with Cluster(tmp_path / "dask", 2, patience="20 s") as cluster:
        cluster.add_worker(environment={SLOW: "1"})
        command = season_command(season, "--out", str(out), "--scheduler", cluster.address)
        made = subprocess.Popen(
            command, env=child_environment(), stdout=subprocess.PIPE, encoding="utf-8"
        )
        while made.poll() is None and not list((out / WORK).glob("parts/*-lay")):
            time.sleep(0.1)
        cluster.freeze_worker(0, is_frozen=True)
        time.sleep(30)
        cluster.freeze_worker(0, is_frozen=False)
        said, _ = made.communicate()
    assert made.returncode == 0
    found = json.loads(said)
    assert (found["n_made"], found["n_not_good"]) == (3, 0)
    command = season_command(season, "--out", str(alone), "--workers", "1")
    subprocess.run(command, env=child_environment(), check=True, capture_output=True)
    assert results(out) == results(alone)
