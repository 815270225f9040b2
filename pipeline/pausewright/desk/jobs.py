"""Jobs: work that a person waits for, with steps, the time that is left, and a way to stop it."""

from __future__ import annotations

import contextlib
import secrets
import threading
import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.desk.messages import SOUNDING, Answer, HearLines, Refused, Step
from pausewright.desk.shelf import ROOMS
from pausewright.desk.workers import ENDED, Worker
from pausewright.files.stage import settle
from pausewright.problems import PausewrightError
from pausewright.voice.store import FOLDER as TAKES

if TYPE_CHECKING:
    from collections.abc import Iterator
    from concurrent.futures import Future
    from pathlib import Path

    from pausewright.desk.messages import Ask

State: TypeAlias = Literal["running", "done", "refused", "stopped"]

MOST_KEPT: Final = 40
"""Jobs whose results can still be looked at; older ones are forgotten."""
_STEPS_FOR_AN_ESTIMATE: Final = 3
_PART_AGE_S: Final = 0.15
"""A file that another command is writing has got its name by then."""


@dataclass(slots=True)
class Job:
    """One piece of work."""

    kind: str
    test: str
    """Id of the test that it belongs to; "" for none."""
    ask: Ask
    page: Path | None = None
    """Where it leaves a page or a sound to be looked at."""
    onwards: tuple[tuple[str, str], ...] = ()
    """Where to go on from it, the next thing first; () for the usual ways of its kind."""
    id: str = field(default_factory=lambda: secrets.token_hex(8))
    state: State = "running"
    answer: Answer | None = None
    step: Step | None = None
    is_sounding: bool = False
    """Whether the first of a sound can be heard, though the rest may still be voiced."""
    began_s: float = field(default_factory=time.monotonic)
    _stage_began_s: float = 0
    _stage_began_at: int = 0
    _told_s: float = 0

    def told(self, step: Step) -> None:
        """Take a step that the worker told."""
        if step.stage == SOUNDING:
            self.is_sounding = True
            return
        self._told_s = time.monotonic()
        if self.step is None or self.step.stage != step.stage:
            self._stage_began_s, self._stage_began_at = self._told_s, step.n_done
        self.step = step

    def left(self) -> list[Path]:
        """Return the files that it leaves, or may have left, to be looked at or heard."""
        growing = [self.ask.growing] if isinstance(self.ask, HearLines) else []
        return growing if self.page is None else [self.page, *growing]

    @property
    def took_s(self) -> float:
        """Seconds since it began."""
        return time.monotonic() - self.began_s

    @property
    def left_s(self) -> float | None:
        """Seconds that the stage takes yet at its pace until now; None where that says nothing."""
        step = self.step
        if step is None or self.state != "running":
            return None
        n_done = step.n_done - self._stage_began_at
        if n_done < _STEPS_FOR_AN_ESTIMATE or step.n_done >= step.n_all:
            return None
        at_pace_s = (self._told_s - self._stage_began_s) / n_done * (step.n_all - step.n_done)
        return max(0.0, at_pace_s - (time.monotonic() - self._told_s))


class Jobs:
    """All jobs of a desk: long ones singly, each in a fresh process; sounds in a warm one."""

    def __init__(self, folder: Path, out: Path) -> None:
        """Take the folder of the tests and that of the results; nothing is started yet."""
        self._folder = folder
        self._out = out
        self._lock = threading.Lock()
        self._jobs: dict[str, Job] = {}
        self._workers: dict[str, Worker] = {}
        self._heard = Worker()
        self.heavy: Job | None = None
        """The long job that is running."""

    def get(self, job_id: str) -> Job | None:
        """Return a job by its id."""
        return self._jobs.get(job_id)

    @property
    def is_busy(self) -> bool:
        """Whether a job is running."""
        return any(job.state == "running" for job in list(self._jobs.values()))

    def pids(self) -> list[int]:
        """Return the numbers of the processes that are doing long work."""
        return [pid for one in list(self._workers.values()) if (pid := one.pid) is not None]

    def begin(self, job: Job) -> Job:
        """Begin a long job; while another is running that one is returned, and nothing begun."""
        with self._lock:
            if self.heavy is not None and self.heavy.state == "running":
                return self.heavy
            self.heavy = job
            self._keep(job)
            worker = self._workers[job.id] = Worker()
        worker.ask(job.ask, job.told).add_done_callback(lambda done: self._ended(job, done))
        return job

    def begin_sound(self, job: Job) -> Job:
        """Begin a short job, as one that makes a sound; those before it are waited for."""
        with self._lock:
            self._keep(job)
        self._heard.ask(job.ask, job.told).add_done_callback(lambda done: self._ended(job, done))
        return job

    def stop(self, job: Job) -> None:
        """Stop a job at once, and clear away what it was writing."""
        with self._lock:
            if job.state != "running":
                return
            job.state = "stopped"
            worker = self._workers.pop(job.id, self._heard)
        before = set(self._parts())
        worker.end()
        self._clear(before)

    def end(self) -> None:
        """Stop everything: the desk ends."""
        for job in list(self._jobs.values()):
            self.stop(job)
        self._heard.end()
        for worker in self._workers.values():
            worker.end()

    def _keep(self, job: Job) -> None:
        self._jobs[job.id] = job
        for old in [one for one in self._jobs.values() if one.state != "running"][:-MOST_KEPT]:
            del self._jobs[old.id]
            for file in old.left():
                with contextlib.suppress(OSError):
                    file.unlink(missing_ok=True)

    def _ended(self, job: Job, done: Future[Answer]) -> None:
        with self._lock:
            worker = self._workers.pop(job.id, None)
            if job.state == "running":
                job.answer = done.result()
                if job.answer == ENDED:  # it crashed: what it was writing is cleared first
                    self._clear(set(self._parts()))
                job.state = "refused" if isinstance(job.answer, Refused) else "done"
        if worker is not None:
            threading.Thread(target=worker.end, daemon=True).start()

    def _clear(self, before: set[Path]) -> None:
        """Clear away what a process that was ended had begun: stages, and parts of kept takes."""
        for one in {script.stem for script in self._folder.glob("*.md")}:
            rooms = self._folder / ROOMS / one
            for folder in (
                rooms,
                *(self._out / f"{one}{end}" for end in ("", "-papers", "-proof")),
            ):
                with contextlib.suppress(PausewrightError, OSError):
                    settle(folder)
        left = before & set(self._parts())
        if left:
            time.sleep(_PART_AGE_S)
        for part in left & set(self._parts()):
            with contextlib.suppress(OSError):
                part.unlink(missing_ok=True)

    def _parts(self) -> Iterator[Path]:
        yield from (self._folder / TAKES).glob("*/.*.part")
        yield from (self._folder / TAKES).glob(".*.part")
