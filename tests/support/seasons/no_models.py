"""Lets the voice without a model speak for every engine of a process that a test starts.

No test imports it: what it changes stays changed.

    python3 -m support.seasons.no_models season FOLDER …

is the command `pausewright` with it. Workers of a local scheduler load it too, as dask's
preload; others are started with `dask worker --preload support.seasons.no_models`.
"""

from __future__ import annotations

import errno
import functools
import os
import sys
import time
from importlib import import_module
from typing import TYPE_CHECKING, Any

from pausewright.voice import engine_kinds

from support.seasons.names import BLIND, NAME, PITCH, PRELOAD, SKEW, SLOW

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from pausewright.season.asks import Kind, Outcome
    from pausewright.voice.engine import Engine


@functools.cache
def _engine() -> Engine:
    from support.voices.fake_voice import RATE_HZ, FakeEngine  # noqa: PLC0415  after the change

    return FakeEngine(RATE_HZ + int(os.environ.get(PITCH, "0")), ramp_s=0.02)


def without_models() -> Mapping[str, engine_kinds.EngineKind]:
    """Return the built-in engines, all of which are the voice without a model."""
    return {
        name: engine_kinds.EngineKind(name, lambda _: _engine(), slowest=4.0, fastest=0.25)
        for name in ("piper", "hibari", "kokoro", "recorded")
    }


engine_kinds.built_in_engines = without_models


def _refuse_below(folder: str) -> None:
    """Let this process see nothing in a folder, nor make anything there."""

    def look(path: object) -> None:
        text = os.fsdecode(path) if isinstance(path, (str, bytes, os.PathLike)) else ""
        if text == folder or text.startswith(folder + os.sep):
            raise FileNotFoundError(errno.ENOENT, "another machine sees nothing", text)

    def heard(event: str, arguments: tuple[object, ...]) -> None:
        if event in {"open", "os.listdir", "os.scandir", "os.mkdir", "os.rename", "os.link"}:
            for one in arguments[:2]:
                look(one)

    def blind(state: Callable[..., os.stat_result]) -> Callable[..., os.stat_result]:
        def found(path: object, *more: object, **named: object) -> os.stat_result:
            look(path)
            return state(path, *more, **named)

        return found

    sys.addaudithook(heard)
    os.stat, os.lstat = blind(os.stat), blind(os.lstat)  # of which Python tells no hook


def _take_longer(by_s: float) -> None:
    tasks: Any = import_module("pausewright.season.tasks")  # it takes the engines when loaded
    do = tasks.do

    def slowly(kind: Kind, ask: object, given: Sequence[Outcome] = ()) -> Outcome:
        time.sleep(by_s)
        found: Outcome = do(kind, ask, given)
        return found

    tasks.do = slowly


def _be_older(version: str) -> None:
    alike: Any = import_module("pausewright.season.alike")
    found = alike.installed_versions
    alike.installed_versions = lambda names: {**found(names), "numpy": version}


if os.environ.get(SLOW):
    _take_longer(float(os.environ[SLOW]))
if os.environ.get(SKEW):
    _be_older(os.environ[SKEW])
if os.environ.get(BLIND):
    _refuse_below(os.environ[BLIND])

if __name__ == "__main__":
    from pausewright.cli import main

    os.environ[PRELOAD] = NAME
    main()
