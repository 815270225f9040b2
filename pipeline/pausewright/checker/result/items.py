"""What sounds and silences belong to: a question in one of its manners, a passage, a dictation.

A report lists these. They are values all the way; how they are called is made here, and only
where something is shown or written.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from pausewright.script.references import QuestionRef


@frozen
class Asked:
    """A question or sub-question: in its place, said again, or its answer read aloud."""

    question: QuestionRef
    manner: Literal["in place", "again", "answer"] = "in place"

    def __str__(self) -> str:
        """Return "7", "7a", "Practice 1", "7 again" or "answer 7"."""
        if self.manner == "answer":
            return f"answer {self.question}"
        return f"{self.question} again" if self.manner == "again" else str(self.question)

    @property
    def name(self) -> str:
        """What it is called in a sentence."""
        is_numbered = self.manner != "answer" and not self.question.practice
        return f"question {self}" if is_numbered else str(self)

    @property
    def mark(self) -> str:
        """Its mark in a blind report: "Q5", "Q5a", "Q5+", "A5", "W2" for practice."""
        kind = "A" if self.manner == "answer" else "W" if self.question.practice else "Q"
        again = "+" if self.manner == "again" else ""
        return f"{kind}{self.question.number}{self.question.letter}{again}"


@frozen
class Material:
    """A passage or dictation that belongs to no question, by its number among its kind."""

    kind: Literal["passage", "dictation"]
    number: int

    def __str__(self) -> str:
        """Return "passage 1" or "dictation 1"."""
        return f"{self.kind} {self.number}"

    @property
    def name(self) -> str:
        """What it is called in a sentence."""
        return str(self)

    @property
    def mark(self) -> str:
        """Its mark in a blind report: "P1", "D1"."""
        return f"{self.kind[0].upper()}{self.number}"


Item: TypeAlias = Asked | Material


def name_of(item: Item | None) -> str:
    """Return what an item is called in a sentence; "" for none."""
    return "" if item is None else item.name


def shown(item: Item | None) -> str:
    """Return an item as tables and files have it; "" for none."""
    return "" if item is None else str(item)
