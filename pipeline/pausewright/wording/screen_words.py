"""Words that the candidates' screen shows by itself, from the file of their language."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.wording.language import language_for

if TYPE_CHECKING:
    from collections.abc import Mapping

_ENGLISH: Final = "en"


@frozen
class ScreenWords:
    """All words of one screen, in one language."""

    language: str
    """Of the words: "en", "cy"; BCP 47."""
    words: Mapping[str, str]
    """By name: "listen", "answer-time"."""


def screen_words(tag: str) -> ScreenWords:
    """Return the words of a BCP 47 language; all English where it has no table: never a mixture."""
    for language in (tag, _ENGLISH):
        known = language_for(language)
        table = {} if known is None else known.table("screen")
        if known is not None and table:
            return ScreenWords(known.tag, {name: str(words) for name, words in table.items()})
    raise LookupError("the English words of the screen are missing")
