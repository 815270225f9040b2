"""All tests of a season, read before anything is voiced: here, or by workers of this machine."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, cast

from pausewright.problems import OutputError
from pausewright.season.graph import Task
from pausewright.season.reading import Reading, read_test
from pausewright.voice.store import digest

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.season.asks import TestAsk
    from pausewright.season.line import Engine

FEW: Final = 4
"""Tests that are read here before a worker would have begun."""
_AHEAD: Final = 4
"""Tests that each worker is asked to read at a time."""
_PATIENCE_S: Final = 5.0


def read_here(
    asks: Sequence[TestAsk], told: Callable[[int, int, str], None]
) -> list[Reading] | None:
    """Return what came of reading few tests, without an engine; None if they are many."""
    return _one_by_one(asks, told) if len(asks) <= FEW else None


def read_all(
    asks: Sequence[TestAsk], engine: Engine, told: Callable[[int, int, str], None]
) -> list[Reading]:
    """Return what came of reading each test, in their order.

    Workers of other machines read nothing: what decides bytes is looked at on this one.
    """
    if not engine.is_here:
        return _one_by_one(asks, told)
    tasks = {_key(ask): Task(_key(ask), "read", ask) for ask in asks}
    waiting = list(tasks.values())
    readings: dict[str, Reading] = {}
    n_asked = 0
    while len(readings) < len(tasks):
        room = _AHEAD * engine.n_workers - n_asked
        if waiting and room > 0:
            engine.add(waiting[:room])
            n_asked += len(waiting[:room])
            del waiting[:room]
        ended = engine.next(_PATIENCE_S)
        if ended is None or ended[0] in readings:
            continue
        key, outcome = ended
        if outcome.fault is not None:
            raise OutputError(outcome.fault.message, outcome.fault.hint)
        readings[key] = cast("Reading", outcome.value)
        n_asked -= 1
        engine.drop([key])
        told(len(readings), len(tasks), readings[key].script.stem)
    return [readings[key] for key in tasks]


def _one_by_one(asks: Sequence[TestAsk], told: Callable[[int, int, str], None]) -> list[Reading]:
    found = []
    for ask in asks:
        found.append(read_test(ask))
        told(len(found), len(asks), ask.name)
    return found


def _key(ask: TestAsk) -> str:
    return f"read-{digest({'script': str(ask.script), 'inputs': ask.inputs})}"
