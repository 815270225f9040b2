"""A script in words: for every paragraph, what is said, what is shown, in which elements.

`Worded` answers for any paragraph, announcement or pattern with a `Line`; builder and checker
both ask here, so that both speak of the same words. Silences between lines are not its business.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, Literal

from pausewright.problems import Place
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
    Speech,
    Stop,
    SubQuestion,
    Text,
)
from pausewright.script.reading.question_blocks import PRACTICE
from pausewright.wording.answer_warnings import warn_of_answers
from pausewright.wording.built_in import first_hold, has_words, sentence
from pausewright.wording.line_builder import LineBuilder
from pausewright.wording.patterns import Late
from pausewright.wording.template_words import TemplateWords

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.script.declared import Settings
    from pausewright.script.model import Inline, Part, QuestionContent, Script
    from pausewright.wording.line_elements import Element, Line

_UNESCAPED_BAR: Final = Late(r"(?<!\\)\|")


class Worded(TemplateWords):
    """A script with its words; problems found on the way are in `problems`."""

    def __init__(self, script: Script, total: int | None = None) -> None:
        """Word every paragraph, announcement and pattern of the script, once.

        `total` is what `{total}` says; the number of its questions unless given.
        """
        super().__init__(script, total)
        self._lines: dict[Prose, Line] = {}
        self._announcements: dict[tuple[int, int], tuple[Question | Passage, Line]] = {}
        """By the block's identity and the reading; the block is held, so that it stays its own."""
        self._word_all()

    def line(self, prose: Prose) -> Line:
        """Return the elements of a paragraph, turn, option or cue."""
        if prose not in self._lines:
            self._lines[prose] = self._line(prose.inlines, prose.speech, prose.place)
        return self._lines[prose]

    def announcement(self, of: Question | Passage, reading: int) -> Line:
        """Return what is said before a reading: `announce` at the first, `again` later; or ()."""
        key = (id(of), reading)
        if key not in self._announcements:
            self._announcements[key] = (of, self._announcement(of, reading))
        return self._announcements[key][1]

    def _announcement(self, of: Question | Passage, reading: int) -> Line:
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

    def of_proof(self, name: Literal["proof", "proof-same"]) -> Line:
        """Return what only a proof says: that it is one, or that a reading is left out."""
        return self._built_in(name, "", _plain_speech(self.script.settings))

    def of_excerpt(self, first: int, last: int, speech: Speech) -> Line:
        """Return what only an excerpt says: what is heard again; () in a language without words."""
        name = "excerpt" if first == last else "excerpts"
        if not has_words(name, speech.language):
            return ()
        return self._built_in(name, "", speech, number=first, last=last)

    def sound_check(self, speech: Speech) -> Line:
        """Return the sentence of the sound check; () in a language without one.

        It is no line of the test: nothing that walks all lines comes upon it.
        """
        if not has_words("sound-check", speech.language):
            return ()
        place = Place(self.script.path, 1, 1)
        words = sentence("sound-check", speech.language, place, self.problems) or ""
        builder = LineBuilder(self._reader, speech)
        builder.add((Text(words, place),))
        return builder.elements()

    def dictation_whole(self, dictation: Dictation) -> tuple[Line, ...]:
        """Return the text of a dictation as it is read whole: a line for each paragraph."""
        paragraphs: list[list[Inline]] = []
        for phrase in dictation.phrases:
            if phrase.starts_paragraph or not paragraphs:
                paragraphs.append([])
            else:
                paragraphs[-1].append(Text(" ", phrase.prose.place))
            paragraphs[-1] += phrase.prose.inlines
        return tuple(
            self._line(tuple(inlines), dictation.speech, dictation.place) for inlines in paragraphs
        )

    def withdrawn(self, question: Question) -> Line:
        """Return what is said for a withdrawn question, as the settings word it."""
        words = self.script.settings.withdrawn_wording
        speech = question.delivery.speech
        return self._built_in("withdrawn", words, speech, question.place, number=question.number)

    def time_cue(self) -> Line:
        """Return what is said when half of an answer time is gone, as the settings word it."""
        settings = self.script.settings
        speech = _plain_speech(settings)
        cues = ((q.delivery.time_cue, q.place) for q in self.script.questions())
        at = next((cue.place or place for cue, place in cues if cue.value is not None), None)
        return self._built_in("time-cue", settings.time_cue_wording, speech, at)

    def answer(self, question: Question) -> Line:
        """Return number and answer, for answers read aloud: "Number 3. 54."."""
        if question.key is None:
            return ()
        first = _UNESCAPED_BAR.split(question.key.text)[0].replace("\\|", "|").strip()
        words = " ".join(first.split()).rstrip(".")
        place = question.key.place
        speech = question.delivery.speech
        said = sentence("answer", speech.language, place, self.problems)
        if said is None:
            return ()
        said = said.replace("{number}", str(question.number)).replace("{answer}", words)
        return self._line((Text(said, place),), speech, place)

    def again_line(self, again: Again, question: Question) -> Line:
        """Return what `again` says for one question; () if it is read without a pattern.

        The pattern of `again` goes before that by which the question was said.
        """
        name = again.delivery.pattern.value or question.delivery.pattern.value
        pattern = self.script.settings.patterns.get(name or "")
        return () if pattern is None else self._pattern(pattern, question)

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


def _plain_speech(settings: Settings) -> Speech:
    return Speech(settings.voice, settings.language, Fraction(1), 1)
