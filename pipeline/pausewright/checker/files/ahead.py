"""Blocks of a track decoded ahead, while those before them are measured.

A decoder works without the interpreter, and so do most sums over a block: on two processors a check
waits for the slower of both only.
"""

from __future__ import annotations

import contextlib
import queue
import threading
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Final, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Iterator

    import numpy as np
    from numpy.typing import NDArray

    Samples: TypeAlias = NDArray[np.float32]

AT_ONCE: Final = 16
"""Blocks that are handed over together: each time two threads wait for each other."""
MOST_AHEAD: Final = 2
"""How many times as many wait at most: two megabytes of a track in one channel."""
_LOOK_AGAIN_S: Final = 0.01


def decoded_ahead(blocks: Iterator[Samples]) -> Iterator[Samples]:
    """Yield the same blocks, each of them taken from `blocks` in a thread before it is asked for.

    What that raises is raised here, behind the blocks before it. When this ends, early or not,
    nothing is taken any more.
    """
    waiting: queue.Queue[list[Samples] | None] = queue.Queue(MOST_AHEAD)
    is_over = threading.Event()

    def take() -> None:
        held: list[Samples] = []
        try:
            for block in blocks:
                held.append(block.copy())  # its memory is used again for the next one
                if len(held) == AT_ONCE:
                    waiting.put(held)
                    held = []
                if is_over.is_set():
                    return
        finally:
            waiting.put(held)
            waiting.put(None)

    with ThreadPoolExecutor(max_workers=1, thread_name_prefix="decoder") as pool:
        taken = pool.submit(take)
        try:
            while (held := waiting.get()) is not None:
                yield from held
            taken.result()
        finally:
            is_over.set()
            while not taken.done():  # it may wait for room
                with contextlib.suppress(queue.Empty):
                    waiting.get(timeout=_LOOK_AGAIN_S)
