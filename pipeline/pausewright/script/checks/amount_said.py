"""How often a script has paragraphs said: repeats multiply, and a short script can be endless."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.script.limits import MOST_WORDS_CHARACTERS
from pausewright.script.model import (
    Again,
    Dictation,
    Options,
    PageTurn,
    Passage,
    Question,
    Sound,
    Stop,
    SubQuestion,
)
from pausewright.script.walk import inlines_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.problems import Problems
    from pausewright.script.model import Block, Part, QuestionContent, Script

MOST_SAID: Final = 20_000
"""Paragraphs that a test may say, each reading counted."""


def refuse_endless(script: Script, problems: Problems) -> bool:
    """Say whether the test says more than is read, and add a problem at the block that does."""
    n_characters = 0
    for _, _, block in script.blocks():
        sounds = (node for node in inlines_of(block) if isinstance(node, Sound))
        n_characters += sum(len(sound.words or "") for sound in sounds)
        if n_characters > MOST_WORDS_CHARACTERS:
            most = f"{MOST_WORDS_CHARACTERS:,} characters"
            message = f"with this the words of recordings are more than {most}"
            problems.error(block.place, message, "make several scripts of it", code="too-long")
            return True
    n_said = 0
    for part, _, block in script.blocks():
        n_said += _block(script, part, block)
        if n_said > MOST_SAID:
            most = f"{MOST_SAID:,} paragraphs, each reading counted"
            message = f"from here on the test says more than {most}"
            hint = "have less of it said again, or make several scripts of it"
            problems.error(block.place, message, hint, code="too-long")
            return True
    return False


def _block(script: Script, part: Part, block: Block) -> int:
    if isinstance(block, Question):
        return _question(script, block, block.delivery.pattern.value)
    if isinstance(block, Again):
        pattern = block.delivery.pattern.value
        again = script.said_again(block, part)
        return len(block.lead_in) + sum(
            _question(script, one, pattern or one.delivery.pattern.value) for one in again
        )
    if isinstance(block, Stop | PageTurn):
        return max(1, len(block.cue))
    return _contents([block]) if isinstance(block, Passage | Dictation) else 1


def _question(script: Script, question: Question, pattern: str | None) -> int:
    known = script.settings.patterns.get(pattern or "")
    if known is not None:
        return len(known.steps)
    return 1 + question.delivery.readings.value * _contents(question.content)


def _contents(contents: Sequence[QuestionContent]) -> int:
    n = 0
    for one in contents:
        if isinstance(one, Passage):
            n += one.n_readings * len(one.content)
        elif isinstance(one, Dictation):
            n += one.n_readings * len(one.phrases)
        elif isinstance(one, SubQuestion):
            n += one.delivery.readings.value * _contents(one.content)
        else:
            n += len(one.options) if isinstance(one, Options) else 1
    return n
