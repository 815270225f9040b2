"""Respellings that a voice would read letter by letter: capitals inside a word."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.wording.patterns import Late

if TYPE_CHECKING:
    from pausewright.problems import Place, Problems

_SPELLED: Final = Late(
    r"(?<![\w-])(?=[\w-]*[a-z])(?=[\w-]*(?:[A-Z]{2}|[a-z-][A-Z]))[A-Za-z-]+(?![\w-])"
)
"""Small letters beside capitals that do not begin the word: ZAN-thee, zanTHEE."""
_NAME: Final = Late(r"(?:[A-Z][a-z]*|[a-z]+)(?:-[A-Z][a-z]*|-[a-z]+)*|(?:Mc|Mac|O)[A-Z][a-z]+")


def warn_of_capitals(said: str, place: Place, problems: Problems) -> None:
    """Warn if words for the voice hold capitals inside a word: they may be spelled out."""
    for found in _SPELLED.finditer(said):
        if _NAME.fullmatch(found[0]):
            continue
        problems.warn(
            place,
            f"the voice may spell out ‘{found[0]}’: capitals stand inside the word",
            f"write it in small letters: {found[0].lower()}",
            code="respelling-capitals",
        )
