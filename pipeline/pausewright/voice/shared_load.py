"""What several voices hold together: loaded once, and gone with the last one that holds it."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, Generic, TypeVar
from weakref import WeakValueDictionary

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable

Key = TypeVar("Key", bound="Hashable")
Held = TypeVar("Held")


class SharedLoad(Generic[Key, Held]):
    """Things by their keys, as long as somebody holds them; safe in several threads."""

    def __init__(self) -> None:
        """Hold nothing yet."""
        self._lock = threading.Lock()
        self._held: WeakValueDictionary[Key, Held] = WeakValueDictionary()

    def get(self, key: Key, load: Callable[[], Held]) -> Held:
        """Return the thing of a key, loaded if nobody holds it; raises what `load` raises."""
        with self._lock:
            found = self._held.get(key)
            if found is None:
                found = load()
                self._held[key] = found
            return found
