"""What a paper holds to be asked: questions with answers and keys, headings, and other text."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from pausewright.frozen import frozen


@dataclass(slots=True)
class Answer:
    """An answer to choose from (capital letter) or a sub-question (small letter)."""

    letter: str
    text: str


@dataclass(slots=True)
class PaperQuestion:
    """A question of the paper."""

    words: list[str]
    """Its paragraphs; never empty."""
    number: int
    """As the paper prints it."""
    answers: list[Answer] = field(default_factory=list)
    key: str = ""
    marks: int = 1
    doubts: list[str] = field(default_factory=list)
    """Whole sentences, for a person to look at."""


@dataclass(slots=True)
class PaperText:
    """Text that is taken for an instruction."""

    text: str
    doubts: list[str] = field(default_factory=list)


@dataclass(slots=True)
class PaperHeading:
    """A heading: of a part, or of a group in it."""

    title: str
    rank: Literal["part", "group"]
    practice: bool = False
    doubts: list[str] = field(default_factory=list)


PaperItem: TypeAlias = PaperQuestion | PaperText | PaperHeading


@frozen
class Left:
    """What was not taken into the script."""

    text: str
    why: str


@dataclass(slots=True)
class PaperFound:
    """All that was found in a paper, in order, and what was left."""

    items: list[PaperItem] = field(default_factory=list)
    left: list[Left] = field(default_factory=list)

    @property
    def questions(self) -> list[PaperQuestion]:
        """The questions, in order."""
        return [one for one in self.items if isinstance(one, PaperQuestion)]
