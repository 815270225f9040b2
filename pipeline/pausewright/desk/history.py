"""What a text was before: every state that was saved or found while the desk is open."""

from __future__ import annotations

import time
from typing import Final

from pausewright.frozen import frozen

MOST_SIGNS: Final = 20_000_000
"""Of all states of one test together; beyond them the oldest are forgotten."""


@frozen
class State:
    """A text as it stood."""

    n: int
    """Its own number, of which no other state of this test was ever called."""
    at_s: float
    """When it was first seen, in seconds of the system's clock."""
    text: str


class History:
    """The states of one test's text, in their order, and which of them stands now."""

    def __init__(self) -> None:
        """Begin with none."""
        self._states: list[State] = []
        self._at = -1
        self._n = 0

    def note(self, text: str) -> None:
        """Take the text as it stands now; what was taken back before is forgotten by that."""
        if self._at >= 0 and self._states[self._at].text == text:
            return
        del self._states[self._at + 1 :]
        self._n += 1
        self._states.append(State(self._n, time.time(), text))
        while len(self._states) > 1 and sum(len(one.text) for one in self._states) > MOST_SIGNS:
            del self._states[0]
        self._at = len(self._states) - 1

    @property
    def can_go_back(self) -> bool:
        """Whether there is a state before."""
        return self._at > 0

    @property
    def can_go_again(self) -> bool:
        """Whether something was taken back."""
        return self._at + 1 < len(self._states)

    def back(self) -> str | None:
        """Return the state before, which stands now; None if there is none."""
        if not self.can_go_back:
            return None
        self._at -= 1
        return self._states[self._at].text

    def again(self) -> str | None:
        """Return the state that was taken back last, which stands again; None if there is none."""
        if not self.can_go_again:
            return None
        self._at += 1
        return self._states[self._at].text

    def by_minute(self) -> tuple[State, ...]:
        """Return the last state of each minute but the one that stands now, the newest first."""
        last: dict[int, State] = {}
        for n, one in enumerate(self._states):
            if n != self._at:
                last[int(one.at_s // 60)] = one
        return tuple(reversed(last.values()))

    def state(self, n: int) -> State | None:
        """Return a state by its number; None if it is kept no longer."""
        return next((one for one in self._states if one.n == n), None)
