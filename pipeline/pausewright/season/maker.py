"""Makes the tests of a season: a window of them is in work, each is placed when it is whole.

Only the tests of the window are known to the engine, so neither its memory nor what waits for
workers grows with the season.
"""

from __future__ import annotations

import contextlib
from collections import Counter
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.problems import OutputError
from pausewright.season.asks import Fault, Made, Outcome, TakeAsk, Voiced
from pausewright.season.carrying import bundle_of, kept_takes, land_part, land_takes
from pausewright.season.graph import STEPS, Task, graph_of
from pausewright.season.parts import Parts
from pausewright.season.placing import place_test
from pausewright.season.store import StoreError
from pausewright.season.takes import is_kept
from pausewright.season.told import Told

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    from pausewright.season.asks import Kind, TestRead, Where
    from pausewright.season.graph import TestGraph
    from pausewright.season.known import Known
    from pausewright.season.line import Engine

WINDOW: Final = 2
"""Tests in work beside one for each worker: enough that no worker waits for the last of a test."""
TRIES: Final = 3
"""Times that a test is begun for whose failure another time may help."""
_PATIENCE_S: Final = 2.0


@dataclass(slots=True)
class _Work:
    """A test that is in work."""

    read: TestRead
    graph: TestGraph
    n_tries: int
    checked: dict[str, Made | Fault] = field(default_factory=dict)
    """What came of the versions, by label."""
    opened: set[str] = field(default_factory=set)

    @property
    def is_over(self) -> bool:
        return len(self.checked) == len(self.graph.checks)

    @property
    def fault(self) -> Fault | None:
        return next((one for one in self.checked.values() if isinstance(one, Fault)), None)

    @property
    def made(self) -> dict[str, Made]:
        return {label: one for label, one in self.checked.items() if isinstance(one, Made)}


@dataclass(slots=True)
class Counts:
    """What was done."""

    n_made: int = 0
    """Tests that were placed."""
    n_takes: int = 0
    """Different utterances that versions needed."""
    n_uses: int = 0
    """Times that a version needed one."""
    n_voiced: int = 0
    """Times that a voice said one."""
    n_tasks: int = 0
    worked_s: float = 0.0
    """Of all tasks together, in the workers."""


@frozen
class Measured:
    """What a task took, for models of a season on more workers."""

    test: str
    """The first test that asked for it."""
    key: str
    kind: Kind
    took_s: float
    after: tuple[str, ...]


class Maker:
    """Makes tests on an engine, and notes what came of them."""

    def __init__(
        self,
        where: Where,
        known: Known,
        engine: Engine,
        told: Callable[[Told], None],
    ) -> None:
        """Prepare; the season says whether all workers see its folders, or what else carries."""
        self._where = where
        self._known = known
        self._engine = engine
        self._told = told
        self._parts = Parts(where.work)
        self._works: dict[str, _Work] = {}
        self._tasks: dict[str, tuple[str, Task]] = {}
        """Those of the tests in work, with the first test that asked for each."""
        self._also: Mapping[str, tuple[Path, ...]] = {}
        self._done: set[tuple[Path, str]] = set()
        """Takes that were voiced now: the folder of the scripts, and the key."""
        self._bundle: Task | None = None
        self._n_all = self._n_all_tasks = 0
        self.counts = Counts()
        self.measured: list[Measured] = []

    def make(self, due: Sequence[TestRead]) -> None:
        """Make tests in their order; each is placed as soon as all its versions are there.

        Raises
        ------
        OutputError
            If the engine is lost; what was placed stays, and what was made is kept.
        """
        self._count(due)
        waiting = list(reversed(due))
        if not self._where.is_shared:
            bundle = bundle_of(self._where)
            self._bundle = Task(f"bundle-{bundle.mark}", "bundle", bundle)
        self._told(Told("tests", 0, self._n_all))
        while waiting or self._works:
            while waiting and len(self._works) < self._engine.n_workers + WINDOW:
                self._begin(waiting.pop(), 1)
            ended = self._engine.next(_PATIENCE_S)
            if ended is not None:
                self._take(*ended)

    def _count(self, due: Sequence[TestRead]) -> None:
        """Count what is needed, and find the takes that scripts of several folders need."""
        folders: dict[str, dict[Path, None]] = {}
        uses: Counter[str] = Counter()
        for read in due:
            for version in read.due:
                uses.update(version.takes)
            for need in read.takes.values():
                folders.setdefault(need.key, {})[need.setting.folder] = None
        self.counts.n_takes, self.counts.n_uses = len(uses), uses.total()
        self._also = {key: tuple(found) for key, found in folders.items() if len(found) > 1}
        self._n_all = len(due)
        self._n_all_tasks = len(uses) + 3 * sum(len(read.due) for read in due)

    def _begin(self, read: TestRead, n_tries: int) -> None:
        """Give a test to the engine; the second time all its takes are asked for once more."""
        read = replace(read, ask=replace(read.ask, where=self._where))
        kept = {
            need.key: need
            for need in read.takes.values()
            if n_tries == 1 and self._is_kept(need.setting.folder, need.key)
        }
        carried = None
        if self._bundle is not None:
            parcels = kept_takes(kept.values(), self._where)
            carried = {key: Task(f"kept-{key}", "kept", Voiced(0, p)) for key, p in parcels.items()}
            carried["bundle"] = self._bundle
        graph = graph_of(read, kept, self._also, carried)
        self._works[read.ask.name] = _Work(read, graph, n_tries)
        for task in graph.tasks:
            self._tasks.setdefault(task.key, (read.ask.name, task))
        self._engine.add(graph.tasks)

    def _is_kept(self, folder: Path, key: str) -> bool:
        return (folder, key) in self._done or is_kept(folder, key)

    def _take(self, key: str, outcome: Outcome) -> None:
        """Take an answer, and what follows from it."""
        counts = self.counts
        counts.worked_s += outcome.took_s
        counts.n_tasks += 1
        self._measure(key, outcome)
        if isinstance(outcome.value, Voiced):
            counts.n_voiced += outcome.value.n_voiced
            self._keep_take(key, outcome.value)
        over = [
            work
            for work in self._works.values()
            for label, last in work.graph.checks.items()
            if last == key and self._check_ended(work, label, outcome)
        ]
        for work in over:
            self._finish(work)
        self._told(Told("work", min(counts.n_tasks, self._n_all_tasks), self._n_all_tasks))

    def _measure(self, key: str, outcome: Outcome) -> None:
        found = self._tasks.get(key)
        if found is not None:
            name, task = found
            took_s = round(outcome.took_s, 6)
            self.measured.append(Measured(name, key, task.kind, took_s, task.after))

    def _keep_take(self, key: str, voiced: Voiced) -> None:
        """Note a take that is kept now, in every folder that needs it."""
        found = self._tasks.get(key)
        if found is None or not isinstance(found[1].ask, TakeAsk):
            return
        ask = found[1].ask
        with contextlib.suppress(StoreError):  # it is not kept then, and those in work have it
            for folder in self._also.get(ask.key, (ask.setting.folder,)):
                land_takes(folder, voiced.parcel)
                self._done.add((folder, ask.key))

    def _check_ended(self, work: _Work, label: str, outcome: Outcome) -> bool:
        """Note what came of a version; return whether its test is over."""
        work.opened.update(outcome.opened)
        if outcome.fault is not None:
            work.checked[label] = outcome.fault
        elif isinstance(outcome.value, Made):
            work.checked[label] = self._landed(outcome.value)
        return work.is_over

    def _landed(self, made: Made) -> Made | Fault:
        """Keep a version here that came from afar."""
        try:
            if made.parcel:
                land_part(self._parts, made)
        except StoreError as error:
            return Fault(error.message, error.hint, may_pass=True)
        return replace(made, parcel=())

    def _finish(self, work: _Work) -> None:
        """Place a test that is over, or begin it once more, or note why it is not made."""
        name = work.read.ask.name
        del self._works[name]
        others = {task.key for one in self._works.values() for task in one.graph.tasks}
        over = [one.key for one in work.graph.tasks if one.key not in others]
        self._engine.drop(over)
        for key in over:
            self._tasks.pop(key, None)
        fault = work.fault
        if fault is not None:
            if (fault.may_pass or fault.lacks_takes) and work.n_tries < TRIES:
                self._begin(work.read, work.n_tries + 1)
                return
            self._known.not_made(work.read, fault)
        elif all(one.is_good for one in work.made.values()):
            self._place(work)
        else:
            self._refuse(work)
        n_left = self._n_all - self._n_ended()
        self._told(Told("tests", self._n_all - n_left, self._n_all, name))

    def _n_ended(self) -> int:
        return self.counts.n_made + len(self._known.gaps) + len(self._known.reports)

    def _place(self, work: _Work) -> None:
        made = work.made
        try:
            place_test(work.read, self._parts, {label: one.name for label, one in made.items()})
        except OutputError as error:
            self._known.not_made(work.read, Fault(error.message, error.hint))
            return
        rows = {label: one.rows for label, one in made.items()}
        self._known.placed(work.read, rows, work.opened)
        self.counts.n_made += 1
        self._forget(work)

    def _refuse(self, work: _Work) -> None:
        """Note a test that is not good; its parts go, so that it is made anew next time."""
        made = [work.checked[one.label] for one in work.read.due]
        rows = [row for one in made if isinstance(one, Made) for row in one.rows]
        report = "\n".join(one.report for one in made if isinstance(one, Made) and one.report)
        self._known.not_good(work.read, rows, report)
        self._forget(work)

    def _forget(self, work: _Work) -> None:
        """Remove the parts of a test: they are in their place, or not wanted."""
        for one in work.read.due:
            for step in STEPS:
                self._parts.forget(f"{one.part}-{step}")
