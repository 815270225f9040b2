"""Whether a test depends on the accent in which it is read.

It does if at least half of its questions (those that are heard and not for practice) ask for what
an accent changes: a word to write down (a `pattern` that says the first paragraph, of at most three
words, or letters spelled out), or how words sound (first and last sounds, rhymes). Then a voice of
another country is an error; else it is a warning.
"""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING, Final

from pausewright.script.declared import PatternSay
from pausewright.script.inlines import plain
from pausewright.script.model import Prose, Span, Text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.script.declared import Pattern
    from pausewright.script.model import Question, Script

MOST_DICTATED_WORDS: Final = 3
SOUND_WORDS: Final = re.compile(
    r"\b(?:(?:same|first|last|middle|beginning|end) sounds?|(?:begin|start|end)s? (?:with|like)|"
    r"sounds? (?:like|the same)|rhym(?:e|es|ing)|"
    r"mismo sonido|riman?|(?:empieza|termina)n? (?:por|con))\b",
    re.IGNORECASE,
)
"""Words by which a question asks for a sound; English, and the Spanish ones of the same meaning."""


def accent_is_tested(script: Script) -> bool:
    """Say whether what is tested depends on the accent."""
    asked = [one for one in script.questions() if not one.printed]
    real = [one for one in asked if not one.practice] or asked
    patterns = script.settings.patterns
    n_others = 0
    for one in real:
        pattern = patterns.get(one.delivery.pattern.value or "")
        n_others += not (_dictates_a_word(one, pattern) or _asks_for_sounds(one))
        if 2 * n_others > len(real):
            return False  # whatever the rest asks for
    return bool(real)


def _dictates_a_word(question: Question, pattern: Pattern | None) -> bool:
    """Say whether a pattern says the question's first paragraph, which is a word or a few."""
    if pattern is None or not any(
        isinstance(step, PatternSay) and "{1}" in step.template for step in pattern.steps
    ):
        return False
    first = next((one for one in question.content if isinstance(one, Prose)), None)
    return first is not None and len(plain(first.inlines).split()) <= MOST_DICTATED_WORDS


def _asks_for_sounds(question: Question) -> bool:
    return any(
        (isinstance(node, Span) and node.spell)
        or (isinstance(node, Text) and SOUND_WORDS.search(node.text))
        for node in _nodes(question.content)
    )


def _nodes(value: object) -> Iterator[object]:
    """Return everything that a part of a script holds, itself included."""
    if isinstance(value, tuple):
        for one in value:
            yield from _nodes(one)
    elif (names := _names(type(value))) is not None:
        yield value
        for name in names:
            yield from _nodes(getattr(value, name))


_known: dict[type, tuple[str, ...] | None] = {}


def _names(kind: type) -> tuple[str, ...] | None:
    """Return the fields of a part of a script but its place; None for what is none."""
    if kind not in _known:
        names = (one.name for one in fields(kind)) if is_dataclass(kind) else None
        _known[kind] = None if names is None else tuple(one for one in names if one != "place")
    return _known[kind]
