"""A scheduler and workers of dask as programs of their own, on 127.0.0.1, to be killed at will."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from types import MappingProxyType
from typing import TYPE_CHECKING, Self

from support.places import ROOT
from support.seasons.names import NAME, PITCH

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

HOST = "127.0.0.1"
EMPTY: Mapping[str, str] = MappingProxyType({})


def free_port() -> int:
    """Return a port that nobody uses now."""
    with socket.socket() as own:
        own.bind((HOST, 0))
        return int(own.getsockname()[1])


class Cluster:
    """Programs that are started, killed and started again."""

    def __init__(
        self,
        folder: Path,
        n_workers: int,
        told: Mapping[str, str] = EMPTY,
        patience: str = "5 minutes",
    ) -> None:
        """Name what is to be started.

        Parameters
        ----------
        folder : for what dask writes
        n_workers : that are started with it
        told : variables of every worker
        patience : after which the scheduler counts a worker as gone that says nothing
        """
        self._told = told
        self._patience = patience
        self.folder = folder
        self.port = free_port()
        self.address = f"tcp://{HOST}:{self.port}"
        self._n_workers = n_workers
        self._scheduler: subprocess.Popen[bytes] | None = None
        self._workers: list[subprocess.Popen[bytes]] = []

    def __enter__(self) -> Self:
        """Start all of them."""
        self.folder.mkdir(parents=True, exist_ok=True)
        self._start_scheduler()
        for _ in range(self._n_workers):
            self.add_worker()
        return self

    def __exit__(self, *_: object) -> None:
        """Kill all of them."""
        for one in (*self._workers, self._scheduler):
            if one is not None:
                one.kill()
                one.wait()

    def add_worker(self, *, pitch_hz: int = 0, environment: Mapping[str, str] = EMPTY) -> None:
        """Start one more worker; with a pitch it sounds otherwise."""
        told = {**self._told, **environment, **({PITCH: str(pitch_hz)} if pitch_hz else {})}
        self._workers.append(
            self._started(
                "worker", self.address, "--no-nanny", "--nthreads", "1", "--host", HOST,
                "--no-dashboard", "--local-directory", str(self.folder), "--preload", NAME,
                "--death-timeout", "60",
                environment=told,
            )
        )  # fmt: skip

    def kill_worker(self, at: int) -> None:
        """Kill a worker as a machine without power does, and start another."""
        one = self._workers.pop(at % len(self._workers))
        one.send_signal(signal.SIGKILL)
        one.wait()
        self.add_worker()

    def freeze_worker(self, at: int, *, is_frozen: bool) -> None:
        """Let a worker stand still, as behind a cut network: nothing moves, nothing is closed."""
        self._workers[at].send_signal(signal.SIGSTOP if is_frozen else signal.SIGCONT)

    def kill_scheduler(self) -> None:
        """Kill the scheduler and start it again at its address; its workers end, so others start.

        That is what the system does for them where a season is made for days.
        """
        if self._scheduler is not None:
            self._scheduler.send_signal(signal.SIGKILL)
            self._scheduler.wait()
        for one in self._workers:
            one.kill()
            one.wait()
        self._workers.clear()
        self._start_scheduler()
        for _ in range(self._n_workers):
            self.add_worker()

    def _start_scheduler(self) -> None:
        self._scheduler = self._started(
            "scheduler", "--host", HOST, "--port", str(self.port), "--no-dashboard", "--no-show"
        )

    def _started(
        self, what: str, *arguments: str, environment: Mapping[str, str] = EMPTY
    ) -> subprocess.Popen[bytes]:
        log = (self.folder / f"{what}.log").open("ab")
        often = {
            "DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": "50",
            "DASK_DISTRIBUTED__SCHEDULER__WORKER_TTL": self._patience,
        }
        variables = {**child_environment(), **often, **environment}
        with log:
            return subprocess.Popen(
                [sys.executable, "-m", "dask", what, *arguments],
                env=variables, stdout=log, stderr=log, cwd=self.folder,
            )  # fmt: skip


def child_environment() -> dict[str, str]:
    """Return the environment of a program that is to find ours."""
    paths = [str(ROOT / one) for one in ("pipeline", "voices", "tests", "scripts")]
    return {**os.environ, "PYTHONPATH": os.pathsep.join([*paths, os.environ.get("PYTHONPATH", "")])}


def season_command(folder: Path, *arguments: str) -> list[str]:
    """Return the command that makes a season with the voice without a model, in JSON."""
    how = ("--format", "wav", "--json", *arguments)
    return [sys.executable, "-m", NAME, "season", str(folder), *how]
