"""What is read but not yet built: a clear problem, never silence and never speech."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.script.model import (
    Again,
    ByHand,
    Dictation,
    Passage,
    Prose,
    Question,
    Script,
    Sound,
    Stop,
    SubQuestion,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.problems import Place, Problems
    from pausewright.script.model import Block

_HINT = "this version reads it but cannot build it; leave it out for now"


def check(script: Script, problems: Problems) -> None:
    """Add an error for each construct that cannot be built."""
    for part in script.parts:
        if part.answers:
            problems.error(
                part.place, "answers read aloud cannot be built yet", _HINT, code="not-built"
            )
    for _, _, block in script.blocks():
        for place, what in _unbuilt(block):
            problems.error(place, f"{what} cannot be built yet", _HINT, code="not-built")


def _unbuilt(block: Block) -> Iterator[tuple[Place, str]]:
    if isinstance(block, Dictation):
        yield block.place, "a dictation"
    elif isinstance(block, Again):
        yield block.place, "‘again’"
    elif isinstance(block, Stop) and block.rest:
        yield block.place, "a rest stop"
    elif isinstance(block, Prose):
        if block.answer_time is not None and isinstance(block.answer_time.value, ByHand):
            yield block.place, "an answer time by hand"
        yield from _sounds(block)
    elif isinstance(block, Passage):
        answer = block.delivery.answer_time
        if answer is not None and isinstance(answer.value, ByHand):
            yield block.place, "an answer time by hand"
        for prose in block.content:
            yield from _sounds(prose)
    elif isinstance(block, Question):
        yield from _unbuilt_question(block)


def _unbuilt_question(question: Question) -> Iterator[tuple[Place, str]]:
    answer = question.delivery.answer_time
    if question.withdrawn:
        yield question.place, "a withdrawn question"
    if not question.printed:
        if answer is not None and isinstance(answer.value, ByHand):
            yield answer.place or question.place, "an answer time by hand"
        if question.delivery.time_cue.value is not None:
            yield question.delivery.time_cue.place or question.place, "a time cue"
        for content in question.content:
            if isinstance(content, SubQuestion):
                yield content.place, "a spoken sub-question"
            elif isinstance(content, Passage):
                yield content.place, "a passage inside a question"
            elif isinstance(content, Dictation):
                yield content.place, "a dictation"
            elif isinstance(content, Prose):
                yield from _sounds(content)


def _sounds(prose: Prose) -> Iterator[tuple[Place, str]]:
    for node in prose.inlines:
        if isinstance(node, Sound) and (node.words is not None or node.edges == "trimmed"):
            yield node.place, "recorded speech with words"
