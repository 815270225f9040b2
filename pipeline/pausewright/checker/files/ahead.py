"""Work on sound in other threads: blocks decoded ahead, stretches looked at side by side.

What decodes, and numpy on long arrays, leave the interpreter to others meanwhile
(docs/decisions/filters.md).
"""

from __future__ import annotations

from collections import deque
from concurrent.futures import ThreadPoolExecutor
from itertools import islice
from typing import TYPE_CHECKING, Final, TypeAlias, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from concurrent.futures import Future

    import numpy as np
    from numpy.typing import NDArray

    Samples: TypeAlias = NDArray[np.float32]

_Item = TypeVar("_Item")
_Result = TypeVar("_Result")

N_BESIDE: Final = 2
"""Threads that work side by side."""
N_AHEAD: Final = 2
"""Blocks that are made while as many are measured: 1 MB of a track in one channel."""


def ahead(blocks: Iterable[Samples]) -> Iterator[Samples]:
    """Yield copies of blocks, which are asked for in another thread; raises what they raise.

    What was made shortly before an error is lost. Left before the end, it waits for what is being
    made.
    """
    left = iter(blocks)

    def next_blocks() -> list[Samples]:
        return [block.copy() for block in islice(left, N_AHEAD)]

    with ThreadPoolExecutor(1, "decoding") as pool:
        coming = pool.submit(next_blocks)
        while made := coming.result():
            coming = pool.submit(next_blocks)
            yield from made


def side_by_side(work: Callable[[_Item], _Result], items: Iterable[_Item]) -> Iterator[_Result]:
    """Yield what `work` returns for each item, in order; two are worked on at a time.

    Five at most are begun and not yet yielded, so that it holds as little of a long track as of a
    short one. Raises what `work` raises.
    """
    with ThreadPoolExecutor(N_BESIDE, "beside") as pool:
        coming: deque[Future[_Result]] = deque()
        for item in items:
            coming.append(pool.submit(work, item))
            if len(coming) > 2 * N_BESIDE:
                yield coming.popleft().result()
        while coming:
            yield coming.popleft().result()
