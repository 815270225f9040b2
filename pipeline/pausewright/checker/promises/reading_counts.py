"""How often each thing is heard in a version: the rules of "Readings" in docs/arrangements.md."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from pausewright.script.model import Dictation, Passage, SubQuestion

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.script.model import Delivery, QuestionContent


def reads_what_is_inside(delivery: Delivery, content: Sequence[QuestionContent]) -> bool:
    """Say whether further readings are those of a passage or dictation inside a question.

    "Where the words of a question are read once, and a passage in it more often or with a silence
    of its own after it, the passage is read so often, and the words of the question once."
    """
    return delivery.readings.value == 1 and any(_stands_alone(one) for one in content)


def _stands_alone(one: QuestionContent) -> bool:
    if isinstance(one, Dictation):
        return True
    if not isinstance(one, Passage):
        return False
    answer = one.delivery.answer_time
    has_time = answer is not None and answer.value is not None
    return (
        (len(one.order) or one.delivery.readings.value) > 1
        or has_time
        or (one.pause_after_s is not None)
    )


def n_read(delivery: Delivery, content: Sequence[QuestionContent], n_declared: int | None) -> int:
    """Return how often the words of a question or sub-question are read."""
    has_parts = any(isinstance(one, SubQuestion) for one in content)
    if n_declared is None or has_parts or reads_what_is_inside(delivery, content):
        return delivery.readings.value
    return n_declared


def passage_order(
    passage: Passage, n_declared: int | None
) -> tuple[Literal["whole", "pieces"], ...]:
    """Return the readings of a passage: those of its order and, where more are declared, whole."""
    order = list(passage.order)
    n_asked = (
        max(len(order), n_declared or 0)
        if order
        else (n_declared or passage.delivery.readings.value)
    )
    while len(order) < n_asked:
        order.append("whole")
    return tuple(order)


def dictation_order(
    dictation: Dictation, n_declared: int | None
) -> tuple[Literal["whole", "phrases"], ...]:
    """Return the readings of a dictation, further ones whole; phrases count as often as said."""
    n_heard = sum(dictation.phrase_readings if one == "phrases" else 1 for one in dictation.order)
    order = list(dictation.order)
    while n_heard < (n_declared or 0):
        order.append("whole")
        n_heard += 1
    return tuple(order)
