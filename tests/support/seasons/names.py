"""Names by which processes of a season are told to speak without models."""

from __future__ import annotations

NAME = "support.seasons.no_models"
PRELOAD = "DASK_DISTRIBUTED__WORKER__PRELOAD"
"""The variable by which dask's workers are told what to load."""
BLIND = "PAUSEWRIGHT_TESTS_BLIND_TO"
"""A variable with a folder that a process must not see, as if it were on another machine."""
SLOW = "PAUSEWRIGHT_TESTS_SLOW_S"
"""A variable with seconds by which every task of a process takes longer."""
SKEW = "PAUSEWRIGHT_TESTS_NUMPY"
"""A variable with the version of numpy that a process says it has."""
PITCH = "PAUSEWRIGHT_TESTS_PITCH_HZ"
"""A variable with which a process sounds otherwise, as another processor does."""
