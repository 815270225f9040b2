"""What a span says in place of its words: `say`, `ipa`, `.spell`, `.digits`, `as`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from pausewright.script.inlines import plain
from pausewright.wording import letters, numbers
from pausewright.wording.declared_kinds import words_as
from pausewright.wording.language import language_for
from pausewright.wording.line_elements import SpokenPart
from pausewright.wording.respellings import warn_of_capitals
from pausewright.wording.scan import Scan

if TYPE_CHECKING:
    from pausewright.problems import Problems
    from pausewright.script.declared import Settings
    from pausewright.script.model import Span
    from pausewright.wording.text import TextReader


def span_words(span: Span, reader: TextReader, language: str) -> list[SpokenPart] | None:
    """Return the words of a span in `language`, or None if it says what its bracket holds."""
    settings, problems = reader.settings, reader.problems
    text = " ".join(plain(span.children).split())
    if span.ipa is not None:
        return [SpokenPart(span.ipa.strip("/[] "), is_ipa=True, word=text)]
    if span.say is not None:
        place = span.place
        warn_of_capitals(span.say, place, problems)
        return letters.parts(reader.said(span.say, language, lambda _offset, _length: place))
    if span.spell:
        return [SpokenPart(_spelled(text, span, language, problems))]
    if span.digits:
        return letters.parts(_digits(text, span, settings, language, problems))
    if span.read_as is not None:
        return letters.parts(_read_as(text, span, settings, language, problems))
    return None


def _spelled(text: str, span: Span, language: str, problems: Problems) -> str:
    english = language.startswith("en")
    unknown = numbers.unspellable(text, english=english)
    if unknown:
        _no_words(span, f"‘{unknown}’ cannot be spelled out", problems)
    return numbers.letters(text, british=english and not language.startswith("en-US"))


def _digits(text: str, span: Span, settings: Settings, language: str, problems: Problems) -> str:
    known = language_for(language)
    if not re.search(r"[0-9]", text):
        problems.error(
            span.place, f"‘{text}’ has no digits", "write digits, or use .spell", code="digits-none"
        )
    elif known is None:
        _no_words(
            span, f"there are no words for the digits of ‘{text}’ in {language} yet", problems
        )
    elif found := re.search(r"[^0-9A-Za-z \-–()/]", text):
        _no_words(span, f"‘{found[0]}’ is no digit", problems)
    zero = "zero" if settings.zero == "zero" else "oh"
    return numbers.digits(text, zero, language=known)


def _read_as(text: str, span: Span, settings: Settings, language: str, problems: Problems) -> str:
    known = language_for(language)
    kind = span.read_as or ""
    if known is not None:
        words = _words_as(kind, Scan(text, known, settings.styles, settings.zero))
        if words is not None:
            return words
    name = "telephone number" if kind == "phone" else kind
    _no_words(span, f"‘{text}’ cannot be worded as a {name}", problems)
    return text


def _words_as(kind: str, scan: Scan) -> str | None:
    try:
        return words_as(kind, scan)
    except ValueError:  # more figures than have words, or than Python reads
        return None


def _no_words(span: Span, message: str, problems: Problems) -> None:
    text = " ".join(plain(span.children).split())
    problems.error(
        span.place,
        message,
        f'write [{text}]{{say="…"}} with the words to be said',
        code="wording-none",
    )
