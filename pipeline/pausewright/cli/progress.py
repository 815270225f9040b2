"""What a command is at, on standard error: bars with the time left on a terminal, else lines."""

from __future__ import annotations

import os
import sys
from functools import partial
from typing import TYPE_CHECKING, Protocol, Self

from pausewright.cli.late import loaded_late

with loaded_late():
    from pausewright.cli import bars

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.deliver.build import Progress


class Steps(Protocol):
    """A way to show steps."""

    def step(self, stage: str, n_done: int, n_all: int, count: str) -> None:
        """Show how far a stage is; `count` is that in characters."""

    def end(self) -> None:
        """Take away what should not stay on the terminal."""


class Meter:
    """What commands tell their progress to, while they are at work (`with`)."""

    def __init__(self, steps: Steps | None) -> None:
        """Take the way to show steps; None shows nothing."""
        self._steps = steps

    def __enter__(self) -> Self:
        """Begin."""
        return self

    def __exit__(self, *_: object) -> None:
        """End, whatever happened."""
        if self._steps is not None:
            self._steps.end()

    def show(self, progress: Progress) -> None:
        """Show a step of a build; of what is checked the share, as `share` does."""
        count = f"{progress.n_done / progress.n_all:.0%}" if progress.stage == "checking" else ""
        self._step(progress.stage, progress.n_done, progress.n_all, count)

    def share(self, done: float) -> None:
        """Show how much of a track was checked, 0 to 1."""
        self._step("checking", round(done * 100), 100, f"{done:.0%}")

    def counter(self, stage: str) -> Callable[[int, int], None]:
        """Return a function that shows how many of a stage's steps are done, of how many."""
        return partial(self._step, stage)

    def _step(self, stage: str, n_done: int, n_all: int, count: str = "") -> None:
        if self._steps is not None:
            self._steps.step(stage, n_done, n_all, count or f"{n_done}/{n_all}")


class _Lines:
    """A line at the beginning, in the middle and at the end of a stage."""

    def __init__(self) -> None:
        self._last = (-1, "")

    def step(self, stage: str, n_done: int, n_all: int, count: str) -> None:
        tenth = n_done * 10 // max(1, n_all)
        if (tenth, stage) != self._last and tenth % 5 == 0:
            print(f"{stage} {count}", file=sys.stderr, flush=True)
        self._last = (tenth, stage)

    def end(self) -> None:
        """Lines stay."""


def meter(*, silent: bool) -> Meter:
    """Return what shows progress in the way that suits standard error; nothing if `silent`."""
    if silent:
        return Meter(None)
    if sys.stderr.isatty() and os.environ.get("TERM") != "dumb":
        return Meter(bars.Bars())
    return Meter(_Lines())
