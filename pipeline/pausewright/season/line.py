"""What a season asks of an engine: tasks in, answers out, by workers that make the same bytes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol, Self

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path
    from types import TracebackType

    from pausewright.season.alike import Introduction, VoiceAsk
    from pausewright.season.asks import Outcome
    from pausewright.season.graph import Task


@frozen
class Entry:
    """What a worker is asked before it is given anything."""

    mine: Introduction
    """What this machine says of itself; a worker must be like it."""
    voices: tuple[VoiceAsk, ...]
    mark: Path
    """A file in the season's folder of work, that workers may see."""
    content: str
    """Of that file."""
    must_see: bool | None
    """Whether workers must see the folder; None: it is found out by those that are there first."""
    store: str = ""
    """URL of the season's place in an object store that workers must reach; "" without one."""


@frozen
class Admitted:
    """The workers that were there at the beginning."""

    n_workers: int
    n_voicing: int
    """Those that sound as this machine; the others lay, code and check."""
    see_folder: bool
    """Whether all of them see the season's folder."""
    notes: tuple[str, ...] = ()
    """What is to be said of them."""


class Engine(Protocol):
    """Runs tasks somewhere; used as a context."""

    @property
    def is_here(self) -> bool:
        """Whether its workers are processes of this machine and this program."""

    @property
    def n_workers(self) -> int:
        """How many workers are admitted now, at least 1."""

    def __enter__(self) -> Self:
        """Start or connect; raises OutputError in one sentence."""

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """End what was started, and forget what was asked."""

    def admit(self, entry: Entry) -> Admitted:
        """Ask all workers who they are; raises OutputError if one is unlike this machine."""

    def add(self, tasks: Sequence[Task]) -> None:
        """Take tasks, each after those that it depends on; known keys are not taken twice."""

    def next(self, patience_s: float) -> tuple[str, Outcome] | None:
        """Return the key and the answer of a task that has ended, or None after a while.

        Raises
        ------
        OutputError
            If the engine is lost.
        """

    def drop(self, keys: Sequence[str]) -> None:
        """Forget tasks and their answers."""
