"""Dask `distributed` as the engine of a season: the one module that knows it.

By default its scheduler runs in this process and its workers are children of it, all on 127.0.0.1.
With an address it is somebody else's, and this process is a client of it. Either way a task is
given only to workers that were asked who they are (`admission`); dask chooses among those, moves
answers between them and gives a task again when its worker is gone. What dask loses with a
scheduler is given again from here.
"""

from __future__ import annotations

import contextlib
import logging
import queue
import time
import uuid
import warnings
from dataclasses import dataclass
from importlib.machinery import ModuleSpec
from importlib.util import find_spec
from typing import TYPE_CHECKING, Final, Self

import dask
import distributed

from pausewright.files.writing import make_folder
from pausewright.offline import host_allowed, loopback_allowed
from pausewright.problems import OutputError
from pausewright.season.admission import Admission
from pausewright.season.alike import Introduction, introduce
from pausewright.season.asks import Fault, Outcome
from pausewright.season.interrupts import interrupts_held
from pausewright.season.tasks import do

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path
    from types import TracebackType

    from pausewright.season.graph import Task
    from pausewright.season.line import Admitted, Entry

LOOPBACK: Final = "127.0.0.1"
FOUND_S: Final = 15.0
"""As long as a scheduler is looked for, and the first worker of one."""
PATIENCE_S: Final = 120.0
"""As long as a scheduler that is gone, or workers that are all gone, are waited for."""
LOOKED_S: Final = 1.0
"""Between two looks at which workers there are."""
ANSWERED_S: Final = 300.0
"""As long as a worker may take to voice its sentences."""
HANDED_S: Final = 30.0
"""As long as an answer may take from a worker to here."""
_AGAIN_S: Final = 0.2
MOST_DEATHS: Final = 20
"""Times that a task is given again whose worker died of it, or beside it."""
SETTINGS: Final = {
    "distributed.scheduler.allowed-failures": MOST_DEATHS,
    "distributed.scheduler.http.routes": [],
    "distributed.worker.http.routes": [],
    "distributed.worker.memory.target": False,  # nothing of a test is spilled to a disk
    "distributed.worker.memory.spill": False,
    "distributed.admin.tick.limit": "30s",
    # what looks at itself many times a second takes a processor from the workers: 5.8 % of one in
    # the command with nothing to do, 1.1 % so (loaded machine; docs/season.md)
    "distributed.admin.tick.interval": "500ms",
    "distributed.admin.system-monitor.interval": "2s",
    "distributed.worker.memory.monitor-interval": "500ms",
    "distributed.worker.profile.enabled": False,
    "distributed.nanny.pre-spawn-environ.RAYON_NUM_THREADS": "1",  # of Typst; dask does it for BLAS
}
"""Of our own scheduler and workers: nothing is served but tasks, and nothing is spilled; each
worker has one processor."""
OLD: Final = "it has no Pausewright that makes seasons"
_LOST: Final = (OSError, TimeoutError, RuntimeError)
"""What a call raises while the scheduler is away, or dask gives it up."""


@dataclass(slots=True)
class _Asked:
    """A task that was given to the engine."""

    task: Task
    future: distributed.Future[Outcome]
    among: frozenset[str]
    """Addresses of the workers that may do it."""
    n_times: int = 1
    is_told: bool = False
    """Whether its answer was told; it may still be needed by others."""


class DaskEngine:
    """Tasks on the workers of one scheduler; see `line.Engine`."""

    is_here = False

    def __init__(self, connect: Callable[[contextlib.ExitStack], distributed.Client]) -> None:
        """Take what starts or connects; what it opens is closed with the engine."""
        self._connect = connect
        self._stack = contextlib.ExitStack()
        self._client: distributed.Client | None = None
        self._asked: dict[str, _Asked] = {}
        """By key, each after those that it depends on."""
        self._ended: queue.SimpleQueue[tuple[str, distributed.Future[Outcome]]] = (
            queue.SimpleQueue()
        )
        self._admission: Admission | None = None
        self._questions: dict[str, distributed.Future[Introduction]] = {}
        self._looked_s = 0.0
        self._away_s: float | None = None
        """Since when the scheduler, or every worker, is away."""

    def __enter__(self) -> Self:
        """Start or connect; raises OutputError in one sentence."""
        try:
            self._client = self._connect(self._stack)
        except BaseException:
            self._stack.close()
            raise
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Forget what was asked, and end what was started."""
        with contextlib.suppress(*_LOST):
            if self._asked and self._client is not None:
                self._client.cancel([one.future for one in self._asked.values()], force=True)
        self._asked.clear()
        with contextlib.suppress(*_LOST):
            if self._client is not None:
                self._client.close(timeout=5)
        self._stack.close()

    @property
    def n_workers(self) -> int:
        """How many workers are admitted now, at least 1."""
        if self._admission is None:
            return max(1, len(self._workers()))
        return max(1, len(self._admission.may(voice=False)))

    # ---- who may work

    def admit(self, entry: Entry) -> Admitted:
        """Ask all workers who they are; raises OutputError if one is unlike this machine."""
        admission = Admission(entry)
        workers = self._workers()
        able = self._able(workers)
        questions = {address: self._question(address, entry) for address in able}
        said = dict.fromkeys(workers - able, OLD) | {
            at: _answer(one) for at, one in questions.items()
        }
        admitted = admission.first(said)
        self._admission = admission
        return admitted

    def _workers(self) -> frozenset[str]:
        return frozenset(self._own.nthreads())

    def _able(self, addresses: frozenset[str]) -> frozenset[str]:
        """Return the workers that have seasons at all: others cannot even be asked."""
        if not addresses:
            return addresses
        found = self._own.run(
            find_spec, Admission.__module__, workers=sorted(addresses), on_error="return"
        )
        return frozenset(at for at, spec in found.items() if isinstance(spec, ModuleSpec))

    def _question(self, address: str, entry: Entry) -> distributed.Future[Introduction]:
        return self._own.submit(
            introduce,
            entry.voices,
            entry.mark,
            entry.content,
            entry.store,
            key=f"introduce-{uuid.uuid4().hex}",
            workers=[address],
            pure=False,
        )

    def _look(self) -> None:
        """See which workers have come and gone, and give again what nobody can do any more."""
        now_s = time.monotonic()
        admission = self._admission
        if admission is None or now_s - self._looked_s < LOOKED_S:
            return
        self._looked_s = now_s
        try:
            self._reconnect()
            living = self._workers()
            admission.keep(living)
            new = living - admission.known - self._questions.keys()
            able = self._able(new)
            for address in new - able:
                admission.take(address, OLD)
            for address in able:
                self._questions[address] = self._question(address, admission.entry)
            for address, future in list(self._questions.items()):
                if address not in living or future.status in {"cancelled", "lost"}:
                    del self._questions[address]
                elif future.done():
                    admission.take(address, _answer(self._questions.pop(address)))
            is_away = not admission.may(voice=True)
            if not is_away:
                self._give_again()
        except _LOST:
            is_away = True
        self._wait_for(now_s, is_away=is_away)

    def _reconnect(self) -> None:
        """Connect once more if dask has given the scheduler up."""
        if self._own.status in {"running", "connecting", "newly-created"}:
            return
        with contextlib.suppress(*_LOST):
            self._own.close(timeout=5)
        self._stack.close()
        try:
            self._client = self._connect(self._stack)
        except OutputError as error:
            raise TimeoutError from error

    def _wait_for(self, now_s: float, *, is_away: bool) -> None:
        if not is_away:
            self._away_s = None
        elif self._away_s is None:
            self._away_s = now_s
        elif now_s - self._away_s > PATIENCE_S:
            raise OutputError(
                f"the scheduler or all its workers have been gone for {PATIENCE_S:.0f} s",
                "start them and run this again: what was made is kept",
            )

    # ---- tasks

    def add(self, tasks: Sequence[Task]) -> None:
        """Take tasks, each after those that it depends on; known keys are not taken twice."""
        gone = {"closing", "closed"}  # until it is back, or patience ends
        while self._admission is not None and self._own.status in gone:
            self._look()
            time.sleep(_AGAIN_S)
        for task in tasks:
            if task.key not in self._asked:
                self._give(task, 1)

    def next(self, patience_s: float) -> tuple[str, Outcome] | None:
        """Return the key and the answer of a task that has ended, or None after a while.

        Raises
        ------
        OutputError
            If the scheduler is gone and does not come back.
        """
        until_s = time.monotonic() + patience_s
        while True:
            self._look()
            left_s = until_s - time.monotonic()
            if left_s <= 0:
                return None
            try:
                key, future = self._ended.get(timeout=min(left_s, LOOKED_S))
            except queue.Empty:
                continue
            asked = self._asked.get(key)
            if asked is None or asked.future is not future:
                continue  # it was forgotten, or given again
            outcome = self._outcome(asked)
            if outcome is None and future.status == "finished":  # its worker is just gone
                time.sleep(_AGAIN_S)
                self._ended.put((key, future))
            if outcome is not None and not asked.is_told:
                asked.is_told = True
                return key, outcome

    def drop(self, keys: Sequence[str]) -> None:
        """Forget tasks and their answers."""
        for key in keys:
            self._asked.pop(key, None)

    def _outcome(self, asked: _Asked) -> Outcome | None:
        """Return what came of a task; None if it is to be given again."""
        future = asked.future
        try:
            if future.status == "finished":
                found = future.result(timeout=HANDED_S)
                return found if isinstance(found, Outcome) else None
            if future.status != "error":
                return None  # the scheduler is gone, or all who could do it: `_look` sees to it
            error = future.exception(timeout=HANDED_S)
        except (*_LOST, distributed.CancelledError):
            return None
        if isinstance(error, distributed.KilledWorker):
            return _died()
        if isinstance(error, BaseException):
            raise error
        return None

    def _give(self, task: Task, n_times: int) -> None:
        among = self._among(task)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # that a bundle of files is large
            future = self._own.submit(
                do,
                task.kind,
                task.ask,
                [self._asked[key].future for key in task.after if key in self._asked],
                key=f"{task.key}-{uuid.uuid4().hex[:8]}",
                workers=sorted(among) or None,
                pure=False,
            )
        is_told = task.key in self._asked and self._asked[task.key].is_told
        self._asked[task.key] = _Asked(task, future, among, n_times, is_told)
        future.add_done_callback(lambda one, key=task.key: self._ended.put((key, one)))

    def _among(self, task: Task) -> frozenset[str]:
        if self._admission is None:  # reading: by whichever process of this machine
            return frozenset()
        return self._admission.may(voice=task.voices)

    def _give_again(self) -> None:
        """Give tasks again that were lost, or that only workers could do who are gone."""
        if self._admission is None:
            return
        living = self._admission.may(voice=False)
        again: set[str] = set()
        for key, one in list(self._asked.items()):
            is_lost = one.future.status in {"cancelled", "lost"}
            is_stuck = one.future.status == "pending" and not one.among & living
            if is_lost or is_stuck or again & set(one.task.after):
                if one.future.status == "finished" and not is_lost:
                    continue  # it has its answer, whatever became of those before it
                again.add(key)
                self._give(one.task, one.n_times + 1)

    @property
    def _own(self) -> distributed.Client:
        if self._client is None:
            raise OutputError("the engine is not started", "start it first")
        return self._client


class OnThisMachine(DaskEngine):
    """A scheduler in this process and workers that are children of it, on 127.0.0.1 alone."""

    is_here = True

    def __init__(self, n_workers: int, work: Path, *, has_processes: bool = True) -> None:
        """Start nothing yet.

        Parameters
        ----------
        n_workers : at least 1
        work : a private folder for what dask writes
        has_processes : False: threads of this process, for tests
        """

        def connect(stack: contextlib.ExitStack) -> distributed.Client:
            scratch = work / "scratch"
            make_folder(scratch, private=True)
            stack.enter_context(loopback_allowed())
            stack.enter_context(dask.config.set(SETTINGS))
            _silence()
            with interrupts_held(), warnings.catch_warnings():
                # its server for pages, which has none, takes another port of 127.0.0.1 then
                warnings.filterwarnings("ignore", "Port .* is already in use", UserWarning)
                cluster = distributed.LocalCluster(
                    n_workers=n_workers,
                    threads_per_worker=1,
                    processes=has_processes,
                    host=LOOPBACK if has_processes else None,
                    protocol="tls://" if has_processes else "inproc://",
                    # a key for this season alone: other accounts of the machine stay out
                    security=has_processes or None,
                    dashboard_address=None if has_processes else f"{LOOPBACK}:0",
                    worker_dashboard_address=None,
                    local_directory=str(scratch),
                    silence_logs=logging.CRITICAL + 1,
                )
                stack.callback(cluster.close)
                return distributed.Client(cluster, set_as_default=False)

        super().__init__(connect)


class AtAddress(DaskEngine):
    """A scheduler that runs somewhere, and its workers."""

    def __init__(self, address: str, host: str) -> None:
        """Connect to nothing yet; `host` is that of the address."""

        def connect(stack: contextlib.ExitStack) -> distributed.Client:
            try:
                stack.enter_context(host_allowed(host))
                _silence()
                client = distributed.Client(
                    address, timeout=FOUND_S, set_as_default=False, direct_to_workers=False
                )
            except (*_LOST, ValueError) as error:
                raise OutputError(
                    f"no scheduler answers at {address}",
                    "start one there, or look at the address: docs/season.md says how",
                ) from error
            try:
                client.wait_for_workers(1, timeout=FOUND_S)
            except _LOST as error:
                client.close(timeout=5)
                raise OutputError(
                    f"the scheduler at {address} has no worker",
                    "start one on each machine: docs/season.md says how",
                ) from error
            return client

        super().__init__(connect)


def _died() -> Outcome:
    """Return what came of a task whose workers died."""
    sentence = f"{MOST_DEATHS} workers died of it"
    return Outcome(fault=Fault(sentence, "give workers more memory", may_pass=True))


def _silence() -> None:
    """Let dask log nothing: what matters is told in a sentence."""
    logging.getLogger("distributed").setLevel(logging.CRITICAL + 1)


def _answer(future: distributed.Future[Introduction]) -> Introduction | str:
    """Return what a worker says of itself, or why it cannot."""
    try:
        error = future.exception(timeout=ANSWERED_S)
        found = future.result(timeout=ANSWERED_S) if error is None else error
    except (*_LOST, distributed.CancelledError) as lost:
        found = lost
    if isinstance(found, Introduction):
        return found
    return f"it cannot say what it is ({type(found).__name__})"
