"""Lines, collected while a paper is walked through."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.documents.model import Line

if TYPE_CHECKING:
    from pausewright.documents.model import LineKind

_BLANKS: Final = re.compile(r"[ \t\u00a0\u2000-\u200a\u202f\u3000\r\f\v]+")
_UNSEEN: Final = re.compile(r"[\u00ad\u200b-\u200f\u2060\ufeff\x00-\x08\x0e-\x1f]")


def plain(text: str) -> str:
    """Return text with blanks in a row as one, and without characters that are not seen."""
    return _BLANKS.sub(" ", _UNSEEN.sub("", text)).strip()


class Lines:
    """The lines of a paper, in order."""

    def __init__(self) -> None:
        """Start with none."""
        self.found: list[Line] = []
        self.n_pictures = 0

    def add(
        self,
        text: str,
        kind: LineKind = "paragraph",
        number: str = "",
        level: int = 0,
        row: int = -1,
    ) -> None:
        """Add a paragraph; breaks inside it make lines, of which the first is numbered.

        Nothing is added for text without a character that is seen; a number without text stays.
        """
        parts = [part for raw in text.split("\n") if (part := plain(raw))]
        if not parts and number and number != "•":
            self.found.append(Line(number, kind, "", level, row))
        for i, part in enumerate(parts):
            self.found.append(Line(part, kind, number if i == 0 else "", level, row))

    def cautions(self) -> tuple[str, ...]:
        """Return what to say of what holds no text."""
        n = self.n_pictures
        if not n:
            return ()
        return (f"{n} picture{'s' if n > 1 else ''} in it: no text in pictures is read",)
