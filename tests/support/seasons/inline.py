"""An engine without an engine: tasks one after the other, in this process, as they are asked."""

from __future__ import annotations

from collections import Counter, deque
from typing import TYPE_CHECKING, Self

from pausewright.season.admission import Admission
from pausewright.season.alike import introduce
from pausewright.season.tasks import do

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from pausewright.season.asks import Outcome
    from pausewright.season.graph import Task
    from pausewright.season.line import Admitted, Entry


class InlineEngine:
    """Counts what it does; `before` is called with each task and may raise or answer itself."""

    is_here = True
    n_workers = 2

    def __init__(
        self,
        before: Callable[[Task], Outcome | None] | None = None,
        *,
        sees_folder: bool = True,
    ) -> None:
        """Do nothing yet."""
        self.done: Counter[str] = Counter()
        self.most_known = 0
        self._before = before
        self._sees_folder = sees_folder
        self._waiting: deque[Task] = deque()
        self._answers: dict[str, Outcome] = {}

    def __call__(self, _: Path) -> Self:
        """Be the engine of a season."""
        return self

    def __enter__(self) -> Self:
        """Begin."""
        return self

    def __exit__(self, *_: object) -> None:
        """End."""
        self._waiting.clear()
        self._answers.clear()

    def admit(self, entry: Entry) -> Admitted:
        """Be asked as a worker is."""
        mark = entry.mark if self._sees_folder else None
        said = introduce(entry.voices, mark, entry.content, entry.store)
        return Admission(entry).first({"inline": said})

    def add(self, tasks: Sequence[Task]) -> None:
        """Take tasks."""
        known = {one.key for one in self._waiting} | self._answers.keys()
        self._waiting.extend(one for one in tasks if one.key not in known)
        self.most_known = max(self.most_known, len(self._waiting) + len(self._answers))

    def next(self, patience_s: float) -> tuple[str, Outcome] | None:
        """Do the next task."""
        assert patience_s > 0
        if not self._waiting:
            return None
        task = self._waiting.popleft()
        answer = self._before(task) if self._before else None
        if answer is None:
            answer = do(task.kind, task.ask, [self._answers[key] for key in task.after])
        self.done[task.kind] += 1
        self._answers[task.key] = answer
        return task.key, answer

    def drop(self, keys: Sequence[str]) -> None:
        """Forget answers."""
        for key in keys:
            self._answers.pop(key, None)
