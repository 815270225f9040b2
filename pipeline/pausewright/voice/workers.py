"""Threads that make takes, a few ahead of what is asked for next."""

from __future__ import annotations

from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:
    from collections.abc import Callable
    from types import TracebackType

    from pausewright.voice.finish import Finished
    from pausewright.voice.takes_in_use import Identity

AHEAD = 8
"""Utterances prepared ahead for each worker: enough to keep it busy, few enough for memory."""


class Workers:
    """Makes takes in threads and settles each in the calling one, in any order."""

    def __init__(
        self, n_workers: int, settle: Callable[[Identity, Callable[[], Finished]], None]
    ) -> None:
        """Start; `settle` is given what a take is and the function that returns it or raises."""
        self._pool = ThreadPoolExecutor(n_workers, thread_name_prefix="voice")
        self._most_waiting = AHEAD * n_workers
        self._settle = settle
        self._waiting: dict[Future[Finished], Identity] = {}

    def add(self, identity: Identity, make: Callable[[], Finished]) -> None:
        """Have a take made; returns when few enough are waiting."""
        self._waiting[self._pool.submit(make)] = identity
        self._settle_some(leave=self._most_waiting)

    def _settle_some(self, *, leave: int) -> None:
        while len(self._waiting) > leave:
            for future in wait(self._waiting, return_when=FIRST_COMPLETED).done:
                self._settle(self._waiting.pop(future), future.result)

    def __enter__(self) -> Self:
        """Return the workers."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Settle what is left; after an error give it up."""
        try:
            if kind is None:
                self._settle_some(leave=0)
        finally:
            self._pool.shutdown(wait=True, cancel_futures=True)
