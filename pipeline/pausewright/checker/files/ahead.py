"""Blocks of a file decoded in a thread of their own, while those before them are measured.

What decodes leaves the interpreter to others meanwhile (docs/decisions/filters.md).
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from itertools import islice
from typing import TYPE_CHECKING, Final, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    import numpy as np
    from numpy.typing import NDArray

    Samples: TypeAlias = NDArray[np.float32]

N_AHEAD: Final = 2
"""Blocks that are made while as many are measured: 0.5 MB of a track in one channel."""


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
