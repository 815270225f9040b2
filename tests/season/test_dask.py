"""The engine itself: dask, in this process and as programs that are killed."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from pausewright.deliver.build import Options, build_versions
from pausewright.offline import connections_refused
from pausewright.problems import OutputError
from pausewright.season.asks import Making
from pausewright.season.run import WORK, SeasonAsk, make_season
from support.amounts import cases
from support.places import ROOT
from support.seasons.cluster import Cluster, child_environment, free_port, season_command
from support.seasons.kills import TWO
from support.seasons.names import NAME, PRELOAD

pytest.importorskip("distributed", reason="dask is the extra ‘season’")

from make_season import write_season
from pausewright.season.dask_engine import AtAddress, OnThisMachine

if TYPE_CHECKING:
    from pathlib import Path


def held(out: Path) -> dict[str, bytes]:
    """Return every file of the tests."""
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file() and WORK not in path.parts and path.parent != out
    }


@pytest.mark.usefixtures("voice")
def test_a_season_on_dask_is_as_built_alone(tmp_path: Path) -> None:
    """Two workers in threads of this process: the same bytes, each utterance once."""
    write_season(tmp_path, 2, ["joe"], 1, TWO)
    ask = SeasonAsk(tmp_path, tmp_path / "out", Making(("wav",)))

    def engine_of(work: Path) -> OnThisMachine:
        return OnThisMachine(2, work, has_processes=False)

    made = make_season(ask, engine_of, lambda _: None)

    assert made.counts.n_made == 2
    assert made.counts.n_voiced == made.counts.n_takes < made.counts.n_uses
    for script in sorted(tmp_path.glob("*.md")):
        build_versions(script, Options(tmp_path / "alone", ("wav",)))
    assert held(tmp_path / "out") == held(tmp_path / "alone")


def test_nobody_answers_at_a_wrong_address(monkeypatch: pytest.MonkeyPatch) -> None:
    """One sentence, within seconds, though connections are refused but to the named host."""
    monkeypatch.setattr("pausewright.season.dask_engine.FOUND_S", 1.0)
    address = f"tcp://127.0.0.1:{free_port()}"
    with (
        connections_refused(),
        pytest.raises(OutputError, match=r"no scheduler answers at tcp://127\.0\.0\.1:"),
        AtAddress(address, "127.0.0.1"),
    ):
        pass


@pytest.mark.long
def test_workers_of_this_machine_need_nothing_started(tmp_path: Path) -> None:
    """The command starts two processes by itself; all listens to 127.0.0.1 alone."""
    write_season(tmp_path, 5, ["joe"], 1, TWO)
    command = season_command(tmp_path, "--out", str(tmp_path / "out"), "--workers", "2")
    done = subprocess.run(
        command, env=child_environment() | {PRELOAD: NAME}, capture_output=True, check=False,
        encoding="utf-8",
    )  # fmt: skip

    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert (found["n_made"], found["n_not_good"]) == (5, 0)
    assert found["n_voiced"] == found["n_utterances"]


@pytest.mark.long
def test_a_worker_that_sounds_otherwise_voices_nothing(tmp_path: Path) -> None:
    """It lays and checks; the results are those of the others."""
    season = tmp_path / "season"
    write_season(season, 2, ["joe"], 1, TWO)
    with Cluster(tmp_path / "dask", 1) as cluster:
        cluster.add_worker(pitch_hz=3)
        command = season_command(
            season, "--out", str(tmp_path / "out"), "--scheduler", cluster.address
        )
        done = subprocess.run(
            command, env=child_environment(), capture_output=True, check=False, encoding="utf-8"
        )
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["n_made"] == 2


@pytest.mark.long
@pytest.mark.timeout(3000)
def test_kills_lose_nothing(tmp_path: Path) -> None:
    """Workers and schedulers are killed at random: each season ends whole and equal."""
    n_workers, n_schedulers = cases(5, 50), cases(2, 10)
    done = subprocess.run(
        [sys.executable, "-m", "support.seasons.kills", str(tmp_path), str(n_workers),
         str(n_schedulers), "1"],
        env=child_environment(), capture_output=True, check=False, encoding="utf-8", cwd=ROOT,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert (found["worker"], found["scheduler"]) == (n_workers, n_schedulers)
    assert found["wrong"] == []
