"""The gaps of a given recording, as its standard script names them."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from pausewright.frozen import frozen
from pausewright.plan.timeline import Say, Wait
from pausewright.wording.line_elements import Excerpt

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from fractions import Fraction

    from pausewright.plan.timeline import Step

Key: TypeAlias = "tuple[Fraction | None, Fraction | None] | None"
"""From and to of a stretch; None for the ends of the recording."""


@frozen
class Bound:
    """Where the sound of a stretch lies in the recording: [start, end), edges found from it."""

    start: int
    end: int


@frozen
class Gap:
    """A gap of the recording and the silence that the standard script has there."""

    wait: Wait
    n_samples: int

    def is_alike(self, wait: Wait) -> bool:
        """Return whether a silence of a version is this one."""
        return (wait.kind, wait.question) == (self.wait.kind, self.wait.question)


def key_of(say: Say | None) -> Key:
    """Return what identifies a stretch, whatever its pace."""
    if say is None or not isinstance(say.element, Excerpt):
        return None
    return say.element.sound.from_s, say.element.sound.to_s


class StandardGaps:
    """Which stretch follows which, and how long it is quiet between them."""

    def __init__(
        self, standard: Sequence[Step], bound: Callable[[Excerpt], Bound], n_samples: int
    ) -> None:
        """Take the steps of the standard track."""
        self._n_samples = n_samples
        self._next: dict[Key, Key] = {}
        self._after: dict[Key, Gap] = {}
        self._before: dict[Key, Gap] = {}
        self._starts: dict[Key, int] = {}
        self._ends: dict[Key, int] = {}
        self._waits: list[Gap] = []
        last: Key = None
        last_end = 0
        waits: list[Wait] = []
        is_own = False
        for step in standard:
            if isinstance(step, Wait):
                waits.append(step)
            elif isinstance(step, Say) and isinstance(step.element, Excerpt):
                key, at = key_of(step), bound(step.element)
                self._link(last, key, last_end, at.start, [] if is_own else waits)
                self._starts[key], self._ends[key] = at.start, at.end
                last, last_end, waits, is_own = key, at.end, [], False
            elif isinstance(step, Say):
                is_own = True
        self._link(last, None, last_end, n_samples, [] if is_own else waits)

    def _link(self, last: Key, key: Key, end: int, start: int, waits: Sequence[Wait]) -> None:
        if start < end or last in self._next:
            return
        self._next[last] = key
        if len(waits) == 1:
            gap = Gap(waits[0], start - end)
            self._after[last] = gap
            self._before[key] = gap
            self._waits.append(gap)

    def follow(self, one: Key, other: Key) -> bool:
        """Return whether a stretch follows another in the recording, nothing between them."""
        return one in self._next and self._next[one] == other

    def after(self, key: Key) -> Gap | None:
        """Return the gap after a stretch; before the first for None."""
        return self._after.get(key)

    def before(self, key: Key) -> Gap | None:
        """Return the gap before a stretch; after the last for None."""
        return self._before.get(key)

    def like(self, wait: Wait) -> Gap | None:
        """Return the gap of the same kind and question, of the same reading or the last."""
        alike = [one for one in self._waits if one.is_alike(wait) and wait.question is not None]
        same = [one for one in alike if one.wait.reading == wait.reading]
        found = same or alike
        return found[-1] if found else None

    def next_start(self, key: Key) -> int:
        """Return where the next stretch of the recording begins, after one or at its beginning."""
        end = self._ends.get(key, 0)
        return min((one for one in self._starts.values() if one >= end), default=self._n_samples)

    def last_end(self, key: Key) -> int:
        """Return where the stretch before one ends; before the recording's end for None."""
        start = self._starts.get(key, self._n_samples)
        return max((one for one in self._ends.values() if one <= start), default=0)
