"""Lets the voice without a model speak for every engine: import it before anything of ours.

    python3 -m support.seasons.no_models season FOLDER …

is the command `pausewright` with it. Workers of a local scheduler load it too, as dask's
preload; others are started with `dask worker --preload support.seasons.no_models`.
"""

from __future__ import annotations

import functools
import os
from typing import TYPE_CHECKING

from pausewright.voice import engine_kinds

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.voice.engine import Engine

NAME = "support.seasons.no_models"
PRELOAD = "DASK_DISTRIBUTED__WORKER__PRELOAD"
"""The variable by which dask's workers are told what to load."""
PITCH = "PAUSEWRIGHT_TESTS_PITCH_HZ"
"""A variable with which a process sounds otherwise, as another processor does."""


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
