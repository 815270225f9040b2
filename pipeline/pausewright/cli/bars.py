"""Progress on a terminal: for each stage a bar, how much is done, and about how long it takes yet.

Every word and number is there without colours too.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from rich.console import Console
from rich.progress import BarColumn, Progress, ProgressColumn, TextColumn
from rich.text import Text

if TYPE_CHECKING:
    from rich.progress import Task, TaskID


class Bars:
    """The stages that were begun, one below the other; they are taken away at the end."""

    def __init__(self, console: Console | None = None) -> None:
        """Draw on a terminal; on standard error unless another is given."""
        console = Console(stderr=True) if console is None else console
        bar = () if console.no_color or console.color_system is None else (BarColumn(30),)
        self._progress = Progress(
            TextColumn("{task.description}"),
            *bar,
            TextColumn("{task.fields[count]}", justify="right"),
            _TimeLeft(),
            console=console,
            transient=True,
            redirect_stdout=False,
            refresh_per_second=4,
        )
        self._tasks: dict[str, TaskID] = {}
        self._done: dict[str, int] = {}

    def step(self, stage: str, n_done: int, n_all: int, count: str) -> None:
        """Show how far a stage is; one that goes back to its beginning is timed anew."""
        self._progress.start()
        if stage not in self._tasks:
            self._tasks[stage] = self._progress.add_task(stage, total=n_all, count=count)
        elif n_done < self._done[stage]:
            self._progress.reset(self._tasks[stage], total=n_all)
        self._done[stage] = n_done
        self._progress.update(self._tasks[stage], total=n_all, completed=n_done, count=count)

    def refresh(self) -> None:
        """Draw now; else it is drawn four times a second."""
        self._progress.refresh()

    def end(self) -> None:
        """Take the bars away and give the terminal back as it was."""
        self._progress.stop()


class _TimeLeft(ProgressColumn):
    """About how long a stage takes yet; how long it took so far where nothing can be reckoned."""

    max_refresh = 0.5

    def render(self, task: Task) -> Text:
        if task.finished:
            return Text("")
        if task.time_remaining is None:
            return Text(f"{_clock(task.elapsed or 0)} so far")
        return Text(f"about {_clock(task.time_remaining)} left")


def _clock(length_s: float) -> str:
    minutes, seconds = divmod(math.ceil(length_s), 60)
    return f"{minutes}:{seconds:02}"
