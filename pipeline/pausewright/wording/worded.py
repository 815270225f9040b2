"""A script in words: for every paragraph, what is said, what is shown, in which elements.

`Worded` answers for any paragraph, announcement or pattern with a `Line`; builder and checker
both ask here, so that both speak of the same words. Silences between lines are not its business.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from pausewright.problems import Place, Problems
from pausewright.script.inlines import plain
from pausewright.script.model import (
    Again,
    Dictation,
    Option,
    Options,
    PageTurn,
    Passage,
    Prose,
    Question,
    Sound,
    Span,
    Speech,
    Stop,
    SubQuestion,
    Text,
)
from pausewright.script.reading.question_blocks import PRACTICE
from pausewright.wording import numbers
from pausewright.wording.answer_warnings import warn_of_answers
from pausewright.wording.built_in import first_hold, has_words, ordinal, sentence
from pausewright.wording.construct_words import ConstructWords
from pausewright.wording.language import language_for
from pausewright.wording.line_builder import LineBuilder
from pausewright.wording.line_elements import AuthorPause, Excerpt, ToneCue, Utterance
from pausewright.wording.text import TextReader

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.script.declared import Pattern, Settings
    from pausewright.script.model import Inline, Part, QuestionContent, Script
    from pausewright.wording.line_elements import Element, Line

_FIELD: Final = re.compile(r"\{([a-z0-9-]+)\}")


class Worded(ConstructWords):
    """A script with its words; problems found on the way are in `problems`."""

    def __init__(self, script: Script, total: int | None = None) -> None:
        """Word every paragraph, announcement and pattern of the script, once.

        `total` is what `{total}` says; the number of its questions unless given.
        """
        self.script = script
        self.problems = Problems()
        self._reader = TextReader(script.settings, self.problems)
        self._lines: dict[Prose, Line] = {}
        self._all_lines: list[Line] = []
        n_questions = sum(1 for q in script.questions() if not q.practice)
        self._total = n_questions if total is None else total
        self._word_all()

    def line(self, prose: Prose) -> Line:
        """Return the elements of a paragraph, turn, option or cue."""
        if prose not in self._lines:
            self._lines[prose] = self._line(prose.inlines, prose.speech, prose.place)
        return self._lines[prose]

    def announcement(self, of: Question | Passage, reading: int) -> Line:
        """Return what is said before a reading: `announce` at the first, `again` later; or ()."""
        in_force = of.delivery.announce if reading == 1 else of.delivery.again
        if isinstance(of, Passage) and reading > 1 and not of.delivery.again.value:
            in_force = of.delivery.announce
        template = in_force.value
        if template is None:
            return ()
        place = in_force.place or of.place
        if template == PRACTICE:
            template = sentence("practice", of.delivery.speech.language, place, self.problems)
            if template is None:
                return ()
        inlines = self._filled(template, place, of, reading)
        return self._line(inlines, of.delivery.speech, place)

    def sub_announcement(self, question: Question, sub: SubQuestion, reading: int) -> Line:
        """Return what is said before a reading of a sub-question: "Number 1 A."; or ()."""
        in_force = sub.delivery.announce if reading == 1 else sub.delivery.again
        template = in_force.value
        if template is None:
            return ()
        place = in_force.place or sub.place
        inlines = self._filled(template, place, sub, reading, question)
        return self._line(inlines, sub.delivery.speech, place)

    def option(self, option: Option) -> Line:
        """Return an answer to choose, with its letter: "A, every week."."""
        prose = option.prose
        pictured = all(isinstance(n, Sound) or not plain((n,)).strip() for n in prose.inlines)
        inlines: tuple[Inline, ...] = () if pictured else prose.inlines
        joint = "." if pictured else ", "
        lead = Text(f"{option.letter}{joint}", prose.place)
        return self._line((lead, *inlines), prose.speech, prose.place)

    def pattern(self, question: Question) -> Line:
        """Return the whole pattern of a question, the author's pauses between its steps."""
        name = question.delivery.pattern.value
        pattern = self.script.settings.patterns.get(name or "")
        return () if pattern is None else self._pattern(pattern, question)

    def continues(self) -> Line:
        """Return "The recording continues.", as the settings or the language word it."""
        settings = self.script.settings
        speech = _plain_speech(settings)
        return self._built_in(
            "continues", settings.continues_wording, speech, first_hold(self.script)
        )

    def all_elements(self) -> Iterator[Element]:
        """Walk every element of every line once, repeated readings left out."""
        for line in self._all_lines:
            yield from line

    # ---- everything once, so that all problems are found

    def _word_all(self) -> None:
        if first_hold(self.script) or has_words("continues", self.script.settings.language):
            self.continues()
        for part in self.script.parts:
            if part.answers:
                for question in self.script.questions():
                    if question.key is not None and not question.practice:
                        self.answer(question)
        for part, _, block in self.script.blocks():
            if isinstance(block, Prose):
                self.line(block)
            elif isinstance(block, Passage):
                self._word_passage(block)
            elif isinstance(block, Dictation):
                self._word_dictation(block)
            elif isinstance(block, Again):
                self._word_again(block, part)
            elif isinstance(block, Stop | PageTurn):
                for prose in block.cue:
                    self.line(prose)
            elif isinstance(block, Question) and not block.printed:
                self._word_question(block)

    def _word_passage(self, passage: Passage) -> None:
        for prose in passage.content:
            self.line(prose)
        for reading in range(1, passage.n_readings + 1):
            self.announcement(passage, reading)

    def _word_dictation(self, dictation: Dictation) -> None:
        if "whole" in dictation.order:
            self.dictation_whole(dictation)
        if "phrases" in dictation.order:
            for phrase in dictation.phrases:
                self.line(phrase.prose)

    def _word_again(self, again: Again, part: Part) -> None:
        for prose in again.lead_in:
            self.line(prose)
        for question in self.script.said_again(again, part):
            self.again_line(again, question)

    def _word_question(self, question: Question) -> None:
        if question.delivery.time_cue.value is not None:
            self.time_cue()
        if question.withdrawn:
            self.withdrawn(question)
            return
        if question.delivery.pattern.value is not None:
            self.pattern(question)
            return
        for reading in range(1, question.delivery.readings.value + 1):
            self.announcement(question, reading)
        self._word_content(question, question.content)
        for content in question.content:
            if isinstance(content, Prose):
                warn_of_answers(content, self.line(content), question, self.script, self.problems)

    def _word_content(self, question: Question, content: Sequence[QuestionContent]) -> None:
        for one in content:
            if isinstance(one, Prose):
                self.line(one)
            elif isinstance(one, Options):
                for option in one.options:
                    self.option(option)
            elif isinstance(one, Passage):
                self._word_passage(one)
            elif isinstance(one, Dictation):
                self._word_dictation(one)
            else:
                for reading in range(1, one.delivery.readings.value + 1):
                    self.sub_announcement(question, one, reading)
                self._word_content(question, one.content)

    # ---- templates

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
            if not isinstance(following, Utterance | ToneCue | Excerpt):
                self.problems.error(
                    element.place,
                    f"in its pattern, question {question.label} has two silences side by side here",
                    "take out the pause after the sound",
                    code="silences-adjacent",
                )

    # ---- one line

    def _line(self, inlines: tuple[Inline, ...], speech: Speech, place: Place) -> Line:
        builder = LineBuilder(self._reader, speech)
        builder.add(inlines)
        elements = builder.elements()
        self._all_lines.append(elements)
        said = any(isinstance(p, Utterance | ToneCue | Excerpt) for p in elements)
        if inlines and not said:
            self.problems.error(
                place, "nothing here can be said", "write words", code="nothing-said"
            )
        return elements


def _asks(inlines: list[Inline]) -> bool:
    return plain(tuple(inlines)).rstrip().endswith(("?", "!"))


def _plain_speech(settings: Settings) -> Speech:
    return Speech(settings.voice, settings.language, Fraction(1), 1)


def _in_words(number: int, language: str) -> str:
    """Return a number in words, so that the letter after it cannot be taken for a unit."""
    known = language_for(language)
    return str(number) if known is None else numbers.whole_words(number, known)
