"""An interrupt from the keyboard waits while programs are started, and never reaches them."""

from __future__ import annotations

import contextlib
import signal
from multiprocessing import resource_tracker
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator


@contextlib.contextmanager
def interrupts_held() -> Iterator[None]:
    """Hold interrupts of this thread back, and of the threads and programs that start meanwhile.

    One that came is raised at the end, once what was started can be closed. The programs keep
    theirs held: whoever started them ends them. POSIX only (sigprocmask is inherited by fork and
    exec); elsewhere nothing is held.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    resource_tracker.ensure_running()  # its start would let them in again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
