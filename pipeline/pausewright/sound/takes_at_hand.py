"""Finished takes held in memory; those unused for longest go when there are too many."""

from __future__ import annotations

import threading
from collections import OrderedDict
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Hashable

    from pausewright.sound.take import Take


class TakesAtHand:
    """Takes by what identifies them; several threads may ask at once."""

    def __init__(self, most_bytes: int) -> None:
        """Hold so many bytes at most, or one take."""
        self.n_bytes = 0
        self._most_bytes = most_bytes
        self._takes: OrderedDict[Hashable, Take] = OrderedDict()
        self._lock = threading.Lock()

    def __len__(self) -> int:
        """Return how many are held."""
        return len(self._takes)

    def get(self, identity: Hashable) -> Take | None:
        """Return a take; None if it is not held."""
        with self._lock:
            take = self._takes.get(identity)
            if take is not None:
                self._takes.move_to_end(identity)
            return take

    def hold(self, identity: Hashable, take: Take) -> None:
        """Hold a take, if it is not held already."""
        with self._lock:
            if identity in self._takes:
                return
            self._takes[identity] = take
            self.n_bytes += take.samples.nbytes
            while self.n_bytes > self._most_bytes and len(self._takes) > 1:
                _, old = self._takes.popitem(last=False)
                self.n_bytes -= old.samples.nbytes

    def drop(self, identity: Hashable) -> None:
        """Hold a take no longer, if it is held."""
        with self._lock:
            take = self._takes.pop(identity, None)
            if take is not None:
                self.n_bytes -= take.samples.nbytes
