"""How many cases a test tries: as many as fit into minutes, or far more in the long set."""

from __future__ import annotations

import os

IS_LONG_SET = bool(os.environ.get("PAUSEWRIGHT_LONG_SET"))
"""Whether `python3 scripts/test.py --all` runs."""


def cases(ordinary: int, long: int) -> int:
    """Return the number of cases for this run."""
    return long if IS_LONG_SET else ordinary
