"""What must not reach the voice unread: letters that are no word, odd dots, hidden signs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.wording.patterns import Late

if TYPE_CHECKING:
    from pausewright.wording.language import Language

HIDDEN: Final = Late(
    "\\d[\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff]+(?=[\\d.,:/])"
    "|\\d[.,:/][\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff]+(?=\\d)"
)
"""An invisible or bidirectional sign inside a number."""
_VOWELLESS: Final = Late(r"[bcdfghjklmnpqrstvwxz]{2,12}")
_DOTTED: Final = Late(r"\.(?=[ \u00a0](?:[a-z]|\d))")


def is_no_word(word: str, language: Language) -> bool:
    """Say whether small letters without a vowel are no word of the language: `mgr`, `hrld`."""
    known = language.listed("unread", "without_vowels")
    if word.istitle() and len(word) > 2:
        word = word.lower()  # "Hdqrs"; two letters may be a name
    return bool(known) and _VOWELLESS.fullmatch(word) is not None and word not in known


def is_dotted(text: str, word: str, end: int, language: Language) -> bool:
    """Say whether a full stop after a word does not end the sentence: an abbreviation, then."""
    if not language.has("unread") or len(word) < 2 or not word.isalpha():
        return False
    return _DOTTED.match(text, end) is not None
