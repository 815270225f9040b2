"""The graph of a season: which tasks make a test, by what they are keyed, which depend on which.

Pure: nothing is read, voiced or sent here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.season.asks import TakeAsk, VersionAsk

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping
    from pathlib import Path

    from pausewright.season.asks import Kind, TestRead, VersionRead

STEPS: Final = ("lay", "papers", "check")
"""Kinds of the tasks that make a version, in their order; what each makes is a part."""


@frozen
class Task:
    """One node of the graph."""

    key: str
    """What it makes, by its content: equal keys are one task, whoever asks for it."""
    kind: Kind
    ask: object
    after: tuple[str, ...] = ()
    """Keys of the tasks that it depends on, in the order in which it is given their answers."""

    @property
    def voices(self) -> bool:
        """Whether it makes sound, which a worker may do only if it sounds as all others."""
        return self.kind == "voice"


@frozen
class TestGraph:
    """The tasks that make one test, each after all that it depends on."""

    tasks: tuple[Task, ...]
    checks: Mapping[str, str]
    """Keys of the last task of each version, by its label."""


def take_key(key: str) -> str:
    """Return the key of the task that voices the utterance of a take's key."""
    return f"voice-{key}"


def graph_of(
    read: TestRead,
    kept: Collection[str],
    also: Mapping[str, tuple[Path, ...]],
    carried: Mapping[str, Task] | None = None,
) -> TestGraph:
    """Return the graph of a test.

    Parameters
    ----------
    read : the test
    kept : keys of takes that are kept already
    also : further folders of scripts that need a take, by its key
    carried : where workers see no shared folder: tasks that carry what they need, by key; "bundle"
        is the folder's, the others take the place of those that voice
    """
    tasks: dict[str, Task] = {}
    first: tuple[str, ...] = ()
    if carried is not None:
        tasks["bundle"] = carried["bundle"]
        first = (carried["bundle"].key,)
    for need in read.takes.values():
        _add_take(tasks, read, need.key, kept, also, carried, first)
    checks = {}
    due = {one.label: one for one in read.due}
    ordered = sorted(due.values(), key=lambda one: one.label != read.standard)
    for version in ordered:
        ask = _ask(read, version, due)
        takes = tuple(tasks[one].key for one in version.takes if one in tasks)
        lay = Task(ask.name("lay"), "lay", ask, (*first, *takes))
        papers = Task(ask.name("papers"), "papers", ask, (*first, *takes, lay.key))
        last = (*first, *takes, lay.key, papers.key)
        if ask.standard is not None:
            last = (*last, f"{ask.standard[1]}-check")
        check = Task(ask.name("check"), "check", ask, last)
        tasks |= {one.key: one for one in (lay, papers, check)}
        checks[version.label] = check.key
    return TestGraph(tuple(tasks.values()), checks)


def _add_take(
    tasks: dict[str, Task],
    read: TestRead,
    key: str,
    kept: Collection[str],
    also: Mapping[str, tuple[Path, ...]],
    carried: Mapping[str, Task] | None,
    first: tuple[str, ...],
) -> None:
    """Add the task of a take, after that of the take whose length it is a share of."""
    if key in tasks:
        return
    need = read.takes[key]
    if key in kept:
        if carried is not None:
            tasks[key] = carried[key]
        return
    after = first
    if need.after:
        _add_take(tasks, read, need.after, kept, also, carried, first)
        if need.after in tasks:
            after = (*first, tasks[need.after].key)
    others = tuple(one for one in also.get(key, ()) if one != need.setting.folder)
    ask = TakeAsk(read.ask.where, key, need.setting, need.utterance, others)
    tasks[key] = Task(take_key(key), "voice", ask, after)


def _ask(read: TestRead, version: VersionRead, due: Mapping[str, VersionRead]) -> VersionAsk:
    standard = due.get(read.standard)
    beside = None
    if standard is not None and standard.label != version.label:
        beside = standard.label, standard.part
    return VersionAsk(read.ask, version.label, version.key, version.part, beside)
