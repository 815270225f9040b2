"""What a question is called: its number, and the letter of a sub-question."""

from __future__ import annotations

from dataclasses import dataclass

from pausewright.frozen import frozen


@dataclass(frozen=True, order=True, slots=True)
class QuestionRef:
    """A question or sub-question as candidates know it: printed as "7", "7b" or "Practice 1"."""

    number: int
    letter: str = ""
    """Of a sub-question: "a" to "z"; "" for the whole question."""
    practice: bool = False

    def __str__(self) -> str:
        """Return it as candidates read it."""
        return f"{'Practice ' if self.practice else ''}{self.number}{self.letter}"

    @property
    def whole(self) -> QuestionRef:
        """The question that a sub-question belongs to; itself, if it is no sub-question."""
        return QuestionRef(self.number, practice=self.practice)

    def sub(self, letter: str) -> QuestionRef:
        """Return one of its sub-questions."""
        return QuestionRef(self.number, letter, self.practice)


@frozen
class QuestionSpan:
    """The questions that a passage is for, printed as "1–4"."""

    first: int
    last: int

    def __str__(self) -> str:
        """Return it as candidates read it."""
        return str(self.first) if self.first == self.last else f"{self.first}–{self.last}"
