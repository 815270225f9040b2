"""What questions, readings and silences are called in the room; nothing of their contents."""

from __future__ import annotations

from typing import Final

_SILENCES: Final = {
    "answer-time": "time to answer",
    "look-time": "time to look",
    "phrase-time": "time to write",
    "between-phrase-readings": "time to write",
    "page-turn-time": "time to turn the page",
    "extra-time": "time to work",
}
"""Candidates' silences by name. `between-readings` names the reading that follows."""
_ORDINALS: Final = (
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth",
)  # fmt: skip


def reading_name(reading: int) -> str:
    """Return "second reading" for 2."""
    if reading > len(_ORDINALS):
        return f"reading {reading}"
    return f"{_ORDINALS[reading - 1]} reading"


def silence_words(kind: str) -> str:
    """Return what a silence is called within a sentence, for example "time to answer"."""
    return _SILENCES.get(kind, "pause")


def silence_name(kind: str) -> str:
    """Return what a silence is called by itself, for example "Time to answer"."""
    return silence_words(kind).capitalize()


def question_name(label: str, n_questions: int) -> str:
    """Return what candidates call a question, and of how many.

    `label` is as in steps: "7", "7b", "1–4" or "Practice 2".
    """
    if label.startswith("Practice "):
        return f"Practice question {label.removeprefix('Practice ')}"
    word = "Questions" if "–" in label else "Question"
    return f"{word} {label} of {n_questions}"
