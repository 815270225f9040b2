"""Plain text to the words for the voice: figures worded, every other sign known or refused."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.wording import numbers

if TYPE_CHECKING:
    from collections.abc import Callable

    from pausewright.problems import Place, Problems
    from pausewright.script.model import Settings

    Where: TypeAlias = Callable[[int, int], Place]
    """From an offset in a text and a count of characters to their place."""

_QUIET: Final = frozenset(" \n.,;:?!'’‘\"“”()–—-…¿¡«»")
"""Signs that a voice takes as phrasing or not at all."""
_TOKEN: Final = re.compile(r"\S+")
_FIGURE: Final = re.compile(r"\d")
_TITLES: Final = {"Mr.": "Mister", "Mrs.": "Missus", "Ms.": "Miz", "Dr.": "Doctor"}
_TRIM: Final = ".,;:?!'’‘\"“”()–—…¿¡«»"
_MAYBE_YEAR: Final = re.compile(r"1[1-9]\d\d|20\d\d")


def spoken_text(
    text: str, settings: Settings, language: str, where: Where, problems: Problems
) -> str:
    """Return the words to be spoken for plain text; `where` gives the place of each part of it.

    Whole numbers and decimals are worded in English; any other token with a figure, and any
    sign that has no words, is a problem with its own place.
    """
    out: list[str] = []
    at = 0
    for found in _TOKEN.finditer(text):
        out.append(text[at : found.start()])
        out.append(_token(found[0], found.start(), settings, language, where, problems))
        at = found.end()
    out.append(text[at:])
    words = "".join(out)
    return words.replace("…", ",").replace("...", ",")


def _token(
    token: str, offset: int, settings: Settings, language: str, where: Where, problems: Problems
) -> str:
    if token in _TITLES and language.startswith("en"):
        return _TITLES[token]
    if _FIGURE.search(token):
        return _figure(token, offset, settings, language, where, problems)
    for index, sign in enumerate(token):
        if sign.isalpha() or sign in _QUIET or unicodedata.category(sign) in {"Mn", "Mc", "Cf"}:
            continue
        name = unicodedata.name(sign, "a sign without a name").lower()
        here = where(offset + index, 1)
        problems.error(
            here,
            f"there are no words for the sign ‘{sign}’ ({name})",
            _hint(token.strip(_TRIM), 'say="…"', whole=here.length == 1),
            code="wording-none",
        )
        return token
    return token


def _hint(core: str, attribute: str, *, whole: bool) -> str:
    """Return what to write; in a field or for an escaped sign (not `whole`) no span can stand."""
    if not whole:
        return "write it in words here"
    told = "with the words to be said" if attribute.startswith("say") else "to have its digits read"
    return f"write [{core}]{{{attribute}}} {told}"


def _figure(
    token: str, offset: int, settings: Settings, language: str, where: Where, problems: Problems
) -> str:
    core = token.strip(_TRIM)
    start = token.find(core)
    before, after = token[:start], token[start + len(core) :]
    here = where(offset + start, len(core))
    number = numbers.NUMBER.fullmatch(core)
    digits = re.sub(r"\D", "", core)
    worded = number is not None and not before.endswith(("–", "—", "-", "−"))
    if not worded or not language.startswith("en") or len(digits) > numbers.MOST_DIGITS:
        problems.error(
            here, f"there are no words for ‘{core}’ yet",
            _hint(core, 'say="…"', whole=here.length == len(core)), code="wording-none",
        )  # fmt: skip
        return token
    if len(core) > 1 and core[0] == "0" and core[1].isdigit():
        problems.error(
            here, f"‘{core}’ begins with a nought: is it a code?",
            _hint(core, ".digits", whole=here.length == len(core)), code="wording-ambiguous",
        )  # fmt: skip
        return token
    if _MAYBE_YEAR.fullmatch(core):
        problems.warn(
            here, f"‘{core}’ may be a year; it is read as a number",
            f'write [{core}]{{as="year"}} or [{core}]{{as="number"}}', code="wording-ambiguous",
        )  # fmt: skip
    british = not language.startswith("en-US")
    return before + numbers.spoken_number(core, settings, british=british) + after
