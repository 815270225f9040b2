"""What is said for dictations, sub-questions, answers aloud, withdrawn questions and time cues."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.problems import Place, Problems
from pausewright.script.model import Speech, Text
from pausewright.wording.built_in import sentence

if TYPE_CHECKING:
    from pausewright.script.declared import Pattern
    from pausewright.script.model import Again, Dictation, Inline, Question, Script
    from pausewright.wording.line_elements import Line

_UNESCAPED_BAR: Final = re.compile(r"(?<!\\)\|")


class ConstructWords:
    """The part of `Worded` that words the rarer constructs."""

    script: Script
    problems: Problems

    def _line(self, inlines: tuple[Inline, ...], speech: Speech, place: Place) -> Line:
        raise NotImplementedError

    def _pattern(self, pattern: Pattern, question: Question) -> Line:
        raise NotImplementedError

    def _built_in(
        self, name: str, set_words: str, speech: Speech, at: Place | None = None, number: int = 0
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
        return self._line((Text(words.replace("{number}", str(number)), place),), speech, place)

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
        speech = Speech(settings.voice, settings.language, Fraction(1), 1)
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
