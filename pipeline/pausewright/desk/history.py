"""What a text was before: every state that was saved or found while the desk is open."""

from __future__ import annotations

from typing import Final

MOST_SIGNS: Final = 20_000_000
"""Of all states of one test together; beyond them the oldest are forgotten."""


class History:
    """The states of one test's text, in their order, and which of them stands now."""

    def __init__(self) -> None:
        """Begin with none."""
        self._states: list[str] = []
        self._at = -1

    def note(self, text: str) -> None:
        """Take the text as it stands now; what was taken back before is forgotten by that."""
        if self._at >= 0 and self._states[self._at] == text:
            return
        del self._states[self._at + 1 :]
        self._states.append(text)
        while len(self._states) > 1 and sum(map(len, self._states)) > MOST_SIGNS:
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
        return self._states[self._at]

    def again(self) -> str | None:
        """Return the state that was taken back last, which stands again; None if there is none."""
        if not self.can_go_again:
            return None
        self._at += 1
        return self._states[self._at]
