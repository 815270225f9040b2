"""What is said for dictations, sub-questions, answers aloud, withdrawn questions and time cues."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.problems import Place, Problems
from pausewright.script.model import Speech, Text

if TYPE_CHECKING:
    from pausewright.script.model import (
        Again,
        Dictation,
        Inline,
        Pattern,
        Question,
        Script,
    )
    from pausewright.wording.pieces import Line

_UNESCAPED_BAR: Final = re.compile(r"(?<!\\)\|")


class KindWords:
    """The part of `Worded` that words the rarer constructs."""

    script: Script
    problems: Problems

    def _line(self, inlines: tuple[Inline, ...], speech: Speech, place: Place) -> Line:
        raise NotImplementedError

    def _pattern(self, pattern: Pattern, question: Question) -> Line:
        raise NotImplementedError

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
        settings = self.script.settings
        place = settings.places.get("withdrawn-wording", question.place)
        words = settings.withdrawn_wording.replace("{number}", str(question.number))
        return self._line((Text(words, place),), question.delivery.speech, place)

    def time_cue(self) -> Line:
        """Return what is said when half of an answer time is gone, as the settings word it."""
        settings = self.script.settings
        place = settings.places.get("time-cue-wording", Place(self.script.path, 1, 1))
        speech = Speech(settings.voice, settings.language, Fraction(1), 1)
        return self._line((Text(settings.time_cue_wording, place),), speech, place)

    def answer(self, question: Question) -> Line:
        """Return number and answer, for answers read aloud: "Number 3. 54."."""
        if question.key is None:
            return ()
        first = _UNESCAPED_BAR.split(question.key.text)[0].replace("\\|", "|").strip()
        words = " ".join(first.split()).rstrip(".")
        place = question.key.place
        return self._line(
            (Text(f"Number {question.number}. {words}.", place),), question.delivery.speech, place
        )

    def again_line(self, again: Again, question: Question) -> Line:
        """Return what `again` says for one question; () if it is read without a pattern.

        The pattern of `again` goes before that by which the question was said.
        """
        name = again.delivery.pattern.value or question.delivery.pattern.value
        pattern = self.script.settings.patterns.get(name or "")
        return () if pattern is None else self._pattern(pattern, question)
