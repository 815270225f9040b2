"""Problems of a text: what has no words, what has several, and what is typed wrongly."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

from pausewright.wording.letters import unmarked
from pausewright.wording.topics import TOKEN, TRIM, token_at
from pausewright.wording.unread import is_dotted

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.problems import Place, Problems
    from pausewright.wording.language import Language
    from pausewright.wording.scan import Doubt


class Refusals:
    """Tells problems of one text, each with its place."""

    def __init__(self, text: str, where: Callable[[int, int], Place], problems: Problems) -> None:
        """Take the text, what gives places in it, and what takes problems."""
        self._text = text
        self._where = where
        self._problems = problems

    def doubt_dot(self, at: int, language: Language) -> None:
        """Warn of a full stop that ends no sentence: an abbreviation that nobody knows."""
        start = at
        while start and self._text[start - 1].isalpha():
            start -= 1
        word = self._text[start:at]
        if is_dotted(self._text, word, at, language):
            self._problems.warn(
                self._where(start, at - start + 1),
                f"‘{word}.’ has a full stop inside a sentence",
                "write the word in full, or take the full stop out",
                code="wording-abbreviation",
            )

    def doubt_joint(self, at: int) -> None:
        """Warn of a dash or colon beside a figure that nothing reads: it is not heard."""
        self._problems.warn(
            self._where(at, 1),
            f"‘{self._text[at]}’ is not said here",
            "write what is heard, for example “to”, “minus” or a comma",
            code="wording-ambiguous",
        )

    def token(self, at: int) -> tuple[str, int]:
        """Refuse what stands between two blanks; return what of it is left, and its end."""
        start, token = token_at(self._text, at)
        token = token or self._text[at]
        core = token.strip(TRIM) or token
        first = start + token.find(core)
        here = self._where(first, len(core))
        self._problems.error(
            here,
            f"there are no words for ‘{core}’ yet",
            _hint(core, 'say="…"', whole=here.length == len(core)),
            code="wording-none",
        )
        return self._text[at : start + len(token)], max(at + 1, start + len(token))

    def sign(self, at: int, sign: str) -> tuple[str, int]:
        """Refuse a sign with what stands behind it; return that, and its end."""
        found = TOKEN.match(self._text, at)
        token = found[0] if found else sign
        here = self._where(at, 1)
        name = unicodedata.name(sign, "a sign without a name").lower()
        self._problems.error(
            here,
            f"there are no words for the sign ‘{sign}’ ({name})",
            _hint(token.strip(TRIM) or sign, 'say="…"', whole=here.length == 1),
            code="wording-none",
        )
        return token, at + len(token)

    def slip(self, start: int, end: int, meant: str) -> None:
        """Warn of a unit that is typed wrongly."""
        written = self._text[start:end]
        self._problems.warn(
            self._where(start, end - start),
            f"‘{written}’ is not how this unit is written",
            f"write {meant}",
            code="wording-slip",
        )

    def doubt(self, doubt: Doubt) -> None:
        """Warn of a piece with several readings."""
        core = self._text[doubt.start : doubt.end]
        here = self._where(doubt.start, len(core))
        first, *others = dict.fromkeys(unmarked(choice.words) for choice in doubt.choices)
        if not others:
            return
        also = " or ".join(f"“{words}”" for words in others)
        hint = f"write {' or '.join(choice.typed for choice in doubt.choices)}"
        choices = (first, *others)
        if here.length != len(core):
            hint, choices = "write it in words here", ()
        self._problems.warn(
            here,
            f"‘{core}’ is read “{first}”, but it may be {also}",
            unmarked(hint),
            code="wording-ambiguous",
            choices=choices,
        )


def _hint(core: str, attribute: str, *, whole: bool) -> str:
    """Return what to write; in a field or for an escaped sign (not `whole`) no span can stand."""
    if not whole:
        return "write it in words here"
    return f"write [{core}]{{{attribute}}} with the words to be said"
