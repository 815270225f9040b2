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
from typing import TYPE_CHECKING

from pausewright.voice import engine_kinds

from support.seasons.names import BLIND, NAME, PITCH, PRELOAD

if TYPE_CHECKING:
    from collections.abc import Mapping

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

    def look(event: str, arguments: tuple[object, ...]) -> None:
        if event in {"open", "os.listdir", "os.scandir", "os.mkdir", "os.rename", "os.link"}:
            for one in arguments[:2]:
                path = os.fsdecode(one) if isinstance(one, (str, bytes, os.PathLike)) else ""
                if path == folder or path.startswith(folder + os.sep):
                    raise FileNotFoundError(errno.ENOENT, "another machine sees nothing", path)

    sys.addaudithook(look)


if os.environ.get(BLIND):
    _refuse_below(os.environ[BLIND])

if __name__ == "__main__":
    from pausewright.cli import main

    os.environ[PRELOAD] = NAME
    main()
