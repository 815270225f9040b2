"""Single lines of text in words, without a script around them.

A line is plain text; words in square brackets may have the attributes `as`, `say`, `shown`, `ipa`,
`lang`, `.spell` and `.digits`, as in a script.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.problems import Place, Problems
from pausewright.script.attributes.braces import read_braces
from pausewright.script.attributes.values import is_language
from pausewright.script.inline.bracketed_words import READ_AS
from pausewright.script.model import Formula, Span, Speech, Text
from pausewright.script.settings.settings_reader import settings_from
from pausewright.script.source.markdown import formula_end
from pausewright.wording.line_builder import LineBuilder
from pausewright.wording.line_elements import Utterance
from pausewright.wording.patterns import Late
from pausewright.wording.text import TextReader

if TYPE_CHECKING:
    import re
    from collections.abc import Mapping
    from pathlib import Path

    from pausewright.script.attributes.braces import Item
    from pausewright.script.model import Inline

_BRACKETED: Final = Late(r"\[([^\[\]]*)\](?=\{)")
_KNOWN: Final = frozenset({"as", "say", "shown", "ipa", "lang", "spell", "digits"})


def _formulas(text: str) -> list[tuple[int, int]]:
    """Return where formulas stand in a line: offsets, half-open."""
    found, at = [], text.find("$")
    while at >= 0:
        end = formula_end(text, at, len(text))
        if end is not None:
            found.append((at, end))
        at = text.find("$", max(at + 1, end or 0))
    return found


class LineWorder:
    """Words single lines in one language and one choice of styles."""

    def __init__(self, file: Path, language: str, chosen: Mapping[str, str]) -> None:
        """Take the name for problems, the language and settings: `zero` and those of `wording`.

        Raises
        ------
        PausewrightError
            If the language or one of the settings is not known.
        """
        self._file = file
        self.problems = Problems()
        settings = settings_from(file, language, chosen)
        self._reader = TextReader(settings, self.problems)
        self._speech = Speech(settings.voice, settings.language, Fraction(1), 1)

    def spoken(self, text: str, number: int = 1) -> str:
        """Return the words of line `number`; what is wrong with it goes to `problems`."""
        elements = self._line(text, number)
        return " ".join(element.words for element in elements)

    def shown(self, text: str, number: int = 1) -> str:
        """Return what a caption shows of a line."""
        return " ".join(element.shown for element in self._line(text, number))

    def _line(self, text: str, number: int) -> list[Utterance]:
        builder = LineBuilder(self._reader, self._speech)
        builder.add(self._inlines(text, number))
        found = [element for element in builder.elements() if isinstance(element, Utterance)]
        if text.strip() and not found:
            self.problems.error(
                Place(self._file, number, 1, len(text)),
                "nothing here can be said",
                "write words",
                code="nothing-said",
            )
        return found

    def _inlines(self, text: str, number: int) -> tuple[Inline, ...]:
        out: list[Inline] = []
        at = 0

        def add(kind: type[Text], start: int, end: int) -> None:
            if end > start:
                place = Place(self._file, number, start + 1, end - start)
                out.append(kind(text[start:end], place))

        def plain(end: int) -> None:
            start, sign = at, text.find("$", at, end)
            while sign >= 0:
                formula = formula_end(text, sign, end)
                if formula is not None:
                    add(Text, start, sign)
                    add(Formula, sign, formula)
                    start = formula
                sign = text.find("$", max(start, sign + 1), end)
            add(Text, start, end)

        formulas = _formulas(text)
        for found in _BRACKETED.finditer(text):
            if found.start() < at or any(start <= found.start() < end for start, end in formulas):
                continue
            plain(found.start())
            braces = read_braces(text, found.end())
            place = Place(self._file, number, found.start() + 1, braces.end - found.start())
            items = {item.name: item for item in braces.items}
            for problem in braces.problems:
                self.problems.error(place, problem.message, problem.hint, code="attribute")
            out.append(self._span(found, items, place, number))
            at = braces.end
        plain(len(text))
        return tuple(out)

    def _span(
        self, found: re.Match[str], items: Mapping[str, Item], place: Place, number: int
    ) -> Span:
        inner = Text(found[1], Place(self._file, number, found.start() + 2, max(1, len(found[1]))))

        def value(name: str) -> str | None:
            return items[name].value if name in items else None

        def refuse(message: str, hint: str, code: str) -> None:
            self.problems.error(place, message, hint, code=code)

        unknown = [name for name in items if name not in _KNOWN]
        kind, language = value("as"), value("lang")
        if unknown:
            refuse(
                f"‘{unknown[0]}’ cannot stand here",
                "write one of: " + ", ".join(sorted(_KNOWN)),
                "attribute-unknown",
            )
        if kind is not None and kind not in READ_AS:
            refuse(
                f"‘{kind}’ is not known here",
                "write one of: " + ", ".join(READ_AS),
                "value-unreadable",
            )
            kind = None
        if language is not None and not is_language(language):
            refuse(
                f"‘{language}’ is not a language tag", "for example: lang=es", "value-unreadable"
            )
            language = None
        return Span(
            (inner,),
            place,
            say=value("say"),
            shown=value("shown"),
            ipa=value("ipa"),
            read_as=kind,
            language=language,
            spell="spell" in items,
            digits="digits" in items,
        )
