"""Runs of words that are said as they are written: no topic needs to look at them."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.wording import unread
from pausewright.wording.patterns import Late
from pausewright.wording.scan import LETTER

if TYPE_CHECKING:
    from collections.abc import Set as AbstractSet

    from pausewright.wording.language import Language
    from pausewright.wording.scan import Scan

_NEVER, _NO_FORMULA, _ALWAYS = 0, 1, 2
"""When a run of letters is said as it is written."""
_PLAIN: Final = Late(rf"(?:{LETTER}{{2,}}[’']?{LETTER}*(?=[\s,.;:!?]|$)[,;:!?]*|\s)")
_NAMED_FILE: Final = Late(r"(?:[^\W\d_][.:]|:)[^\W_]|[^\W\d_]?://")
"""A point or colon inside a token: a file's name or an address."""
_SMALL_NUMERAL: Final = Late("[ivxlc]{4,}")
_MAY_END_CLAUSE: Final = frozenset(",;:\"”’')–—")


@cache
def _special(language: Language) -> frozenset[str]:
    """Return the words that a topic wants to see."""
    calendar = language.table("calendar")
    return frozenset(
        word
        for words in (
            calendar.get("months", ()),
            calendar.get("short_months", ()),
            ("Sept",),
            calendar.get("days", ()),
            language.table("abbreviations"),
            language.table("abbreviations_before_figures"),
            language.table("functions"),
            language.table("units").get("lists", {}).get("alone", ()),
            language.table("two_meanings"),
        )
        for word in (*words, *(one.rstrip(".") for one in words))
    )


class PlainRuns:
    """The runs of one language; `known` keeps, for each run seen, whether it is plain."""

    def __init__(self, language: Language, firsts: AbstractSet[str], known: dict[str, int]) -> None:
        """Take the first words of lexicon entries, which are never plain."""
        self._language = language
        self._firsts = firsts
        self._known = known
        self._special = _special(language)

    def end(self, scan: Scan, at: int) -> int:
        """Return the end of the words from `at` on that are said as they are written."""
        text, known, start = scan.text, self._known, at
        while (found := _PLAIN.match(text, at)) is not None:
            run = found[0]
            if run.isspace() and at > start and text[at - 1] in _MAY_END_CLAUSE:
                break
            kind = known.get(run)
            if kind is None:
                kind = known[run] = self._kind_of(run)
            if kind == _NEVER or (kind == _NO_FORMULA and scan.is_formula):
                break
            if _NAMED_FILE.match(text, found.end() - 1):
                break
            at = found.end()
        return at

    def _kind_of(self, run: str) -> int:
        """Return whether a run is plain always, never, or in texts without a formula."""
        if self._is_plain(run):
            return _ALWAYS
        word = run.rstrip(",;:!?").lower()
        is_short = word in self._language.listed("unread", "short") and run[1:].islower()
        return _NO_FORMULA if is_short and word not in self._firsts else _NEVER

    def _is_plain(self, run: str) -> bool:
        """Say whether a word, with the signs after it, is said as it is written."""
        word = run.rstrip(",;:!?")
        if not word.strip():
            return True
        if not word.isascii() and not is_word(word):
            return False
        if not word.isascii() and any(one in self._language.table("greek") for one in word):
            return False  # tanθ
        if unread.is_no_word(word, self._language):
            return False
        if not (word.islower() or word.istitle()) and self._language.has("elements"):
            return False
        if _SMALL_NUMERAL.fullmatch(word):
            return False
        if word in self._special or len(word) < 4 or word.isupper():
            return False
        return word.lower() not in self._firsts


def is_word(text: str) -> bool:
    """Say whether a text is letters and apostrophes, or one sign."""
    return len(text) == 1 or all(sign.isalpha() or sign in "'’" for sign in text)
