"""Letters by their names: `Option A`, `C-A-T`, `TV`; and how a name is given to the voice.

A lone A or a is the article to a voice, so a letter A is given by its sound, in a mark inside
the words: see `marked` and `parts`.
"""

from __future__ import annotations

from typing import Final

from pausewright.wording.line_elements import SpokenPart
from pausewright.wording.patterns import Late

_OPEN, _MIDDLE, _CLOSE = "\ue000", "\ue001", "\ue002"
CLAUSE_END: Final = "\ue003"
"""Stands in worded text after a mark between clauses, until a line is put together."""
MARKS: Final = frozenset((_OPEN, _MIDDLE, _CLOSE, CLAUSE_END))
_MARK: Final = Late(f"{_OPEN}([^{_MIDDLE}]*){_MIDDLE}([^{_CLOSE}]*){_CLOSE}")
LETTER_A: Final = "ˈeɪ"
"""The name of the letter A, in IPA (from memory, as any dictionary gives it)."""
_LONE_A: Final = Late(r"(?<![\w'’])[Aa](?![\w'’])")


def marked(sounds: str, word: str) -> str:
    """Return a word with its sounds, as a mark in spoken text."""
    return f"{_OPEN}{sounds}{_MIDDLE}{word}{_CLOSE}"


def named(words: str) -> str:
    """Return words in which every lone A is the letter, not the article."""
    return _LONE_A.sub(lambda found: marked(LETTER_A, found[0]), words)


def unmarked(words: str) -> str:
    """Return words without their marks, to be read by people."""
    return _MARK.sub(r"\2", words)


def parts(words: str, language: str | None = None) -> list[SpokenPart]:
    """Return spoken text as parts: plain words, and words given by their sounds."""
    out: list[SpokenPart] = []
    at = 0
    for found in _MARK.finditer(words):
        if found.start() > at:
            out.append(SpokenPart(words[at : found.start()], language=language))
        out.append(SpokenPart(found[1], is_ipa=True, language=language, word=found[2]))
        at = found.end()
    if at < len(words) or not out:
        out.append(SpokenPart(words[at:], language=language))
    return out
