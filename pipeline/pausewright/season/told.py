"""How far a season is."""

from __future__ import annotations

from typing import Literal

from pausewright.frozen import frozen


@frozen
class Told:
    """A step of a season on its way."""

    stage: Literal["reading", "tests", "work"]
    """Scripts that are read; tests that are placed; tasks that are done, of all."""
    n_done: int
    n_all: int
    test: str = ""
    """The test that was just read or placed."""
