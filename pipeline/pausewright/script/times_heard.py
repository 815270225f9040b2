"""How often something is heard: a question, or the passages and dictations inside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.frozen import frozen
from pausewright.script.model import Dictation, Passage, Question, SubQuestion

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.problems import Place
    from pausewright.script.model import Block, Delivery, QuestionContent


@frozen
class Heard:
    """How often one thing is heard."""

    count: int
    whose: str
    """In words: "question 4", "the dictation in question 4"."""
    place: Place


def materials(content: Sequence[QuestionContent]) -> tuple[Passage | Dictation, ...]:
    """Return the passages and dictations that stand directly in a question."""
    return tuple(one for one in content if isinstance(one, Passage | Dictation))


def is_read_inside(delivery: Delivery, content: Sequence[QuestionContent]) -> bool:
    """Say whether the readings of a question are those of what stands in it.

    So it is where its own words are read once and what stands among them has readings or a silence
    of its own; and where it has sub-questions, which are read each for itself.
    """
    if any(isinstance(one, SubQuestion) for one in content):
        return True
    return delivery.readings.value == 1 and any(map(_has_its_own, materials(content)))


def _has_its_own(material: Passage | Dictation) -> bool:
    if isinstance(material, Dictation) or material.n_readings > 1:
        return True
    answer = material.delivery.answer_time
    return material.pause_after_s is not None or (answer is not None and answer.value is not None)


def named(material: Passage | Dictation, within: str = "") -> str:
    """Return what a passage or dictation is called in messages."""
    kind = "passage" if isinstance(material, Passage) else "dictation"
    return f"the {kind} in {within}" if within else f"the {kind}"


def heard(block: Block) -> list[Heard]:
    """Return how often a block is heard; nothing where it has no readings or a pattern says it."""
    if isinstance(block, Passage | Dictation):
        return [Heard(block.n_readings, named(block), block.place)]
    if not isinstance(block, Question) or block.printed or block.delivery.pattern.value is not None:
        return []
    whose = f"question {block.label}"
    inside = materials(block.content)
    if inside and is_read_inside(block.delivery, block.content):
        return [Heard(one.n_readings, named(one, whose), one.place) for one in inside]
    return [Heard(block.delivery.readings.value, whose, block.place)]
