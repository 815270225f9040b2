"""Engines that stay loaded from one studio to the next, for a process that voices now and then."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.voice.engine_kinds import built_in_engines

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pausewright.voice.engine import Engine
    from pausewright.voice.engine_kinds import EngineKind
    from pausewright.voice.profile import VoiceProfile

MOST_ENGINES: Final = 2
"""A dialogue has two voices; each engine holds 0.1 to 0.3 GB."""

_State: TypeAlias = "tuple[VoiceProfile, tuple[tuple[str, int, int], ...]]"
"""A profile, and the name, size and time of each file that it sounds by."""


class EnginesAtHand:
    """Loads each voice once, as long as neither its profile nor its files change."""

    def __init__(
        self, kinds: Mapping[str, EngineKind] | None = None, most: int = MOST_ENGINES
    ) -> None:
        """Load nothing yet; the built-in engines unless `kinds` are given."""
        self._kinds = kinds
        self._most = most
        self._held: OrderedDict[_State, Engine] = OrderedDict()

    def kinds(self) -> dict[str, EngineKind]:
        """Return the engines, as a studio takes them; what they load is kept here."""
        kinds = built_in_engines() if self._kinds is None else self._kinds
        return {
            name: replace(kind, load=partial(self._loaded, kind)) for name, kind in kinds.items()
        }

    def _loaded(self, kind: EngineKind, profile: VoiceProfile) -> Engine:
        """Return the engine of a voice; raises as its own `load` does."""
        state = (
            profile,
            tuple(
                (str(file), held.st_size, held.st_mtime_ns)
                for file in kind.files(profile)
                for held in (file.stat(),)
            ),
        )
        if state not in self._held:
            while len(self._held) >= self._most:
                self._held.popitem(last=False)
            self._held[state] = kind.load(profile)
        self._held.move_to_end(state)
        return self._held[state]
