"""A check keeps what it frees: the system counts far fewer faults of pages."""

from __future__ import annotations

import platform
import subprocess
import sys

import pytest

CODE = """
import resource, sys
import numpy as np
from pausewright.cli.freed_memory import keep_freed_memory
if sys.argv[1] == "keep":
    keep_freed_memory()
def fill():
    waves = [np.ones(1 << 20) for _ in range(3)]  # 8 MB each
fill()
before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
for _ in range(20):
    fill()
print(resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before)
"""


def n_faults(how: str) -> int:
    """Return how often a page had to be given to a program that fills 24 MB twenty times."""
    ran = subprocess.run(
        [sys.executable, "-c", CODE, how], check=True, capture_output=True, text=True
    )
    return int(ran.stdout)


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="an option of the GNU C library")
def test_freed_memory_is_used_again() -> None:
    """The pages of what was freed are there when as much is wanted again."""
    assert n_faults("keep") < n_faults("give back") / 10
