"""Words that are filled in: templates of announcements, patterns, sentences of a language."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from pausewright.problems import Place, Problems
from pausewright.script.inlines import plain
from pausewright.script.model import Passage, Prose, Question, Span, SubQuestion, Text
from pausewright.wording import numbers
from pausewright.wording.built_in import ordinal, sentence
from pausewright.wording.language import language_for
from pausewright.wording.line_builder import LineBuilder
from pausewright.wording.line_elements import AuthorPause
from pausewright.wording.patterns import Late
from pausewright.wording.text import TextReader

if TYPE_CHECKING:
    from pausewright.script.declared import Pattern
    from pausewright.script.model import Inline, Script, Speech
    from pausewright.wording.line_elements import Element, Line

_FIELD: Final = Late(r"\{([a-z0-9-]+)\}")


class TemplateWords:
    """Words lines of a script, and fills templates and patterns; see `wording.worded`."""

    def __init__(self, script: Script, total: int | None = None) -> None:
        """Take the script; `total` is what `{total}` says, its questions unless given."""
        self.script = script
        self.problems = Problems()
        self._reader = TextReader(script.settings, self.problems)
        self._all_lines: list[Line] = []
        n_questions = sum(1 for q in script.questions() if not q.practice)
        self._total = n_questions if total is None else total

    def _built_in(
        self,
        name: str,
        set_words: str,
        speech: Speech,
        at: Place | None = None,
        number: int = 0,
        last: int = 0,
    ) -> Line:
        """Return a sentence as the settings word it, else as the language of the speech does."""
        script = self.script
        place = script.settings.places.get(f"{name}-wording")
        words: str | None = set_words
        if place is None:
            place = at or Place(script.path, 1, 1)
            words = sentence(name, speech.language, place, self.problems)
        if words is None:
            return ()
        filled = words.replace("{number}", str(number)).replace("{last}", str(last))
        return self._line((Text(filled, place),), speech, place)

    def _filled(
        self,
        template: str,
        place: Place,
        of: Question | Passage | SubQuestion,
        reading: int,
        question: Question | None = None,
    ) -> tuple[Inline, ...]:
        """Return a template's words as inlines, fields filled; a sub-question's from `question`."""
        known = self._fields(of, place, reading, question)
        if "{reading-th}" in template:
            language = of.delivery.speech.language
            nth = ordinal(reading, language, place, self.problems)
            known["reading-th"] = Text(nth, place)
        inlines: list[Inline] = []
        at = 0
        for found in _FIELD.finditer(template):
            inlines.append(Text(template[at : found.start()], place))
            at = found.end()
            name = found[1]
            if name.isdigit():
                words = self._paragraph(of, int(name), template[at:], place)
                inlines += words
                if _asks(words) and template[at : at + 1] in {".", ",", ";", ":"}:
                    at += 1  # "Where is it?", not "Where is it?."
            elif name in known:
                inlines.append(known[name])
        inlines.append(Text(template[at:], place))
        return tuple(n for n in inlines if not (isinstance(n, Text) and not n.text))

    def _fields(
        self,
        of: Question | Passage | SubQuestion,
        place: Place,
        reading: int,
        question: Question | None,
    ) -> dict[str, Inline]:
        n_readings = of.delivery.readings.value
        if isinstance(of, Passage):
            n_readings = of.n_readings
        fields: dict[str, Inline] = {
            "total": Text(str(self._total), place),
            "reading": Text(str(reading), place),
            "readings": Text(str(n_readings), place),
        }
        if isinstance(of, Question):
            fields |= {"number": Text(str(of.number), place), "part": Text(of.part, place)}
        elif question is not None and isinstance(of, SubQuestion):
            label = (Text(f"{question.number}{of.letter}", place),)
            said = f"{_in_words(question.number, of.delivery.speech.language)} {of.letter.upper()}"
            fields |= {"number": Span(label, place, say=said), "part": Text(question.part, place)}
        return fields

    def _paragraph(
        self, of: Question | Passage | SubQuestion, index: int, following: str, place: Place
    ) -> list[Inline]:
        paragraphs = [c for c in of.content if isinstance(c, Prose)]
        if index > len(paragraphs):
            self.problems.error(
                of.place,
                f"the words to be said name paragraph {{{index}}}, which is not there",
                "add an indented paragraph, or use other words",
                code="pattern-paragraph",
                also=(place,),
            )
            return []
        inlines = list(paragraphs[index - 1].inlines)
        last = inlines[-1] if inlines else None
        if following[:1] in {".", ",", "?", "!", ":", ";"} and isinstance(last, Text):
            inlines[-1] = replace(last, text=last.text.rstrip().rstrip(".,:;"))
        return inlines

    def _pattern(self, pattern: Pattern, question: Question) -> Line:
        elements: list[Element] = []
        speech = question.delivery.speech
        for step in pattern.steps:
            if hasattr(step, "pause_s"):
                elements.append(AuthorPause(step.pause_s, step.place))
                continue
            inlines = self._filled(step.template, step.place, question, 1)
            elements += self._line(inlines, speech, question.place)
        self._check_pauses(elements, pattern, question)
        return tuple(elements)

    def _check_pauses(self, elements: list[Element], pattern: Pattern, question: Question) -> None:
        """Refuse a sound's own pause that a pattern puts beside a pause or the answer time."""
        steps = {step.place for step in pattern.steps}
        for element, following in pairwise([*elements, None]):
            if not isinstance(element, AuthorPause) or element.place in steps:
                continue
            if following is None or isinstance(following, AuthorPause):
                self.problems.error(
                    element.place,
                    f"in its pattern, question {question.label} has two silences side by side here",
                    "take out the pause after the sound",
                    code="silences-adjacent",
                )

    def _line(self, inlines: tuple[Inline, ...], speech: Speech, place: Place) -> Line:
        builder = LineBuilder(self._reader, speech)
        builder.add(inlines)
        elements = builder.elements()
        self._all_lines.append(elements)
        if inlines and all(isinstance(one, AuthorPause) for one in elements):
            self.problems.error(
                place, "nothing here can be said", "write words", code="nothing-said"
            )
        return elements


def _asks(inlines: list[Inline]) -> bool:
    return plain(tuple(inlines)).rstrip().endswith(("?", "!"))


def _in_words(number: int, language: str) -> str:
    """Return a number in words, so that the letter after it cannot be taken for a unit."""
    known = language_for(language)
    return str(number) if known is None else numbers.whole_words(number, known)
