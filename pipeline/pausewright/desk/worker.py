"""The process in which the desk has work done: asks come as lines, steps and answers go back.

It ends when nobody can ask any more: when the desk ends, however that happens.
"""

from __future__ import annotations

import os
import queue
import sys
import threading
import time
from typing import TYPE_CHECKING, Final

from pausewright.desk.messages import ASKED, PATIENT, Asked, Step, Told, line_of
from pausewright.desk.work import answer
from pausewright.offline import connections_refused

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

STEP_EVERY_S: Final = 0.1
"""More steps than that nobody can see; the last one of a stage is always told."""
_READ_BYTES: Final = 1 << 16
_PATIENCE: Final = 10
"""Added to the niceness of who lets others go first."""


def _lines(descriptor: int) -> Iterator[bytes]:
    """Yield whole lines from a descriptor until its end."""
    held = b""
    while part := os.read(descriptor, _READ_BYTES):
        *whole, held = (held + part).split(b"\n")
        yield from whole


def _listen(asked: queue.SimpleQueue[Asked]) -> None:
    """Take asks until the desk closes; then nothing that is being done is wanted any more."""
    for line in _lines(0):
        asked.put(ASKED.decode(line))
    os._exit(0)


def _teller(send: Callable[[Told], None], n: int) -> Callable[[Step], None]:
    last_s = 0.0

    def tell(step: Step) -> None:
        nonlocal last_s
        now_s = time.monotonic()
        if step.n_done >= step.n_all or now_s - last_s >= STEP_EVERY_S:
            last_s = now_s
            send(Told(n, step=step))

    return tell


@connections_refused()
def work() -> None:
    """Answer asks one after another, until the desk ends."""
    if PATIENT in sys.argv[1:] and sys.platform != "win32":
        os.nice(_PATIENCE)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    channel = os.dup(1)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for descriptor in (1, 2):  # what libraries say of themselves is no answer
        os.dup2(nowhere, descriptor)
    lock = threading.Lock()

    def send(told: Told) -> None:
        line = memoryview(line_of(told))
        with lock:
            while line:
                line = line[os.write(channel, line) :]

    asked: queue.SimpleQueue[Asked] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(asked,), daemon=True).start()
    while True:
        one = asked.get()
        send(Told(one.n, answer=answer(one.ask, _teller(send, one.n))))


if __name__ == "__main__":
    work()
