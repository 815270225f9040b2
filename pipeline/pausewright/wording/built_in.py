"""Sentences that a script needs without writing them: "The recording continues.", ordinals, …

They stand in the file of each language. A language without a sentence is a problem where it would
be said, with the setting that words it: nothing is ever said in English by another voice.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.script.model import (
    Again,
    ByHand,
    Dictation,
    Passage,
    Prose,
    Question,
    Stop,
    SubQuestion,
)
from pausewright.wording.language import language_for

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.problems import Place, Problems
    from pausewright.script.model import AnswerTime, InForce, Script

_HINTS: Final = {
    "continues": 'word it in the settings: continues-wording: "…"',
    "time-cue": 'word it in the settings: time-cue-wording: "…"',
    "withdrawn": 'word it in the settings: withdrawn-wording: "… {number} …"',
    "practice": 'word it on the practice part: {announce="… {number}."}',
    "proof": "build the track itself and listen to that: leave --proof out",
    "proof-same": "let every reading be heard: --all-readings",
    "excerpt": "leave the excerpt's own sentence out",
    "excerpts": "leave the excerpt's own sentence out",
    "answer": "leave .answers out, or read the answers from a group of your own",
    "sound-check": "test the sound with the tone of the room screen",
}
"""What to type where a language has no such sentence."""
_WHAT: Final = {
    "continues": "what is said after a stop",
    "time-cue": "what is said when half of the time is gone",
    "withdrawn": "what is said for a withdrawn question",
    "practice": "what announces a practice question",
    "proof": "what tells that a proof is no track",
    "proof-same": "what is said in place of a reading",
    "excerpt": "what is said before an excerpt",
    "excerpts": "what is said before an excerpt",
    "answer": "the number that is said before an answer",
    "sound-check": "what is said to check the sound",
}


def has_words(name: str, language: str) -> bool:
    """Say whether a language has a built-in sentence."""
    known = language_for(language)
    return known is not None and bool(known.sentence(name))


def sentence(name: str, language: str, place: Place, problems: Problems) -> str | None:
    """Return a built-in sentence with its fields; None, and a problem, without words for it."""
    known = language_for(language)
    found = "" if known is None else known.sentence(name)
    if not found:
        _refuse(f"there are no words for {_WHAT[name]}", language, _HINTS[name], place, problems)
    return found or None


def ordinal(number: int, language: str, place: Place, problems: Problems) -> str:
    """Return which reading it is: "second"; "", and a problem, in a language without words."""
    known = language_for(language)
    words = () if known is None else known.reading_ordinals
    if number <= len(words):
        return words[number - 1]
    hint = "write {reading}, which is a number, in place of {reading-th}"
    _refuse(f"there is no word for reading {number}", language, hint, place, problems)
    return ""


def _refuse(what: str, language: str, hint: str, place: Place, problems: Problems) -> None:
    problems.error(place, f"{what} in the language ‘{language}’", hint, code="language-words")


def first_hold(script: Script) -> Place | None:
    """Return where the recording first stops: at a stop, or where a wait ends by hand."""
    for _, _, block in script.blocks():
        for one in _with_inner(block):
            if isinstance(one, Stop) or (isinstance(one, Passage) and "pieces" in one.order):
                return one.place
        for answer, place in _answers(block):
            if answer is not None and isinstance(answer.value, ByHand):
                return answer.place or place
    return None


def _with_inner(block: object) -> Iterator[object]:
    yield block
    if isinstance(block, Question | SubQuestion):
        for one in block.content:
            yield from _with_inner(one)


def _answers(block: object) -> Iterator[tuple[InForce[AnswerTime] | None, Place]]:
    """Give every answer time of a block and of what stands in it, with what has it."""
    for one in _with_inner(block):
        if isinstance(one, Question | SubQuestion | Passage | Again):
            yield one.delivery.answer_time, one.place
        if isinstance(one, Passage):
            yield from ((prose.answer_time, prose.place) for prose in one.content)
        elif isinstance(one, Prose | Dictation):
            yield one.answer_time, one.place
