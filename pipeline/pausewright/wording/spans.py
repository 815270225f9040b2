"""What a span says in place of its words: `say`, `ipa`, `.spell`, `.digits`, `as`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from pausewright.script.inlines import plain
from pausewright.wording import numbers
from pausewright.wording.pieces import SpokenPart
from pausewright.wording.text import spoken_text

if TYPE_CHECKING:
    from pausewright.problems import Problems
    from pausewright.script.model import Settings, Span


def span_words(
    span: Span, settings: Settings, language: str, problems: Problems
) -> SpokenPart | None:
    """Return the words of a span in `language`, or None if it says what its bracket holds."""
    text = " ".join(plain(span.children).split())
    if span.ipa is not None:
        return SpokenPart(span.ipa.strip("/[] "), is_ipa=True)
    if span.say is not None:
        place = span.place
        return SpokenPart(
            spoken_text(span.say, settings, language, lambda _offset, _length: place, problems)
        )
    if span.spell:
        return SpokenPart(_spelled(text, span, language, problems))
    if span.digits:
        return SpokenPart(_digits(text, span, settings, language, problems))
    if span.read_as is not None:
        return SpokenPart(_read_as(text, span, settings, language, problems))
    return None


def _spelled(text: str, span: Span, language: str, problems: Problems) -> str:
    english = language.startswith("en")
    unknown = numbers.unspellable(text, english=english)
    if unknown:
        _no_words(span, f"‘{unknown}’ cannot be spelled out", problems)
    return numbers.letters(text, british=english and not language.startswith("en-US"))


def _digits(text: str, span: Span, settings: Settings, language: str, problems: Problems) -> str:
    if not re.search(r"\d", text):
        problems.error(
            span.place, f"‘{text}’ has no digits", "write digits, or use .spell",
            code="digits-none",
        )  # fmt: skip
    elif not language.startswith("en"):
        _no_words(
            span, f"there are no words for the digits of ‘{text}’ in {language} yet", problems
        )
    elif found := re.search(r"[^0-9A-Za-z \-–()/]", text):
        _no_words(span, f"‘{found[0]}’ is no digit", problems)
    return numbers.digits(text, "zero" if settings.zero == "zero" else "oh")


def _read_as(text: str, span: Span, settings: Settings, language: str, problems: Problems) -> str:
    british = not language.startswith("en-US")
    if language.startswith("en"):
        if span.read_as == "number" and numbers.NUMBER.fullmatch(text):
            return numbers.spoken_number(text, settings, british=british)
        if span.read_as == "code" and re.search(r"\d", text):
            return _digits(text, span, settings, language, problems)
        if span.read_as == "year" and re.fullmatch(r"[1-9]\d{2,3}", text):
            return numbers.year(text, british=british)
    _no_words(span, f"‘{text}’ cannot be worded as a {span.read_as} yet", problems)
    return text


def _no_words(span: Span, message: str, problems: Problems) -> None:
    text = " ".join(plain(span.children).split())
    problems.error(
        span.place, message, f'write [{text}]{{say="…"}} with the words to be said',
        code="wording-none",
    )  # fmt: skip
