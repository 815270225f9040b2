"""Lets the voice without a model speak for every engine of a process that a test starts.

No test imports it: what it changes stays changed.

    python3 -m support.seasons.no_models season FOLDER …

is the command `pausewright` with it. Workers of a local scheduler load it too, as dask's
preload; others are started with `dask worker --preload support.seasons.no_models`.
"""

from __future__ import annotations

import functools
import os
from typing import TYPE_CHECKING

from pausewright.voice import engine_kinds

from support.seasons.names import NAME, PITCH, PRELOAD

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

if __name__ == "__main__":
    from pausewright.cli import main

    os.environ[PRELOAD] = NAME
    main()
