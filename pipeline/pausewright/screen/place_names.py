"""What questions and readings are called in the room; nothing of their contents."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.script.references import QuestionSpan

if TYPE_CHECKING:
    from pausewright.plan.timeline import Questions

_ORDINALS: Final = (
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
)


def reading_name(reading: int) -> str:
    """Return "second reading" for 2."""
    if reading > len(_ORDINALS):
        return f"reading {reading}"
    return f"{_ORDINALS[reading - 1]} reading"


def question_name(questions: Questions, n_questions: int) -> str:
    """Return what candidates call a question, or those of a passage, and of how many."""
    if isinstance(questions, QuestionSpan):
        return f"Questions {questions} of {n_questions}"
    if questions.practice:
        return f"Practice question {questions.number}{questions.letter}"
    return f"Question {questions} of {n_questions}"
