"""The words of an arrangement: pauses at marks inside readings, and what announces added time."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.arrange.arrangement import Pauses
from pausewright.arrange.field_readers import TIME_FIELD
from pausewright.arrange.statement_words import duration_words
from pausewright.script.model import Dictation, Passage, Prose, Question, Speech, Text
from pausewright.script.walk import proses
from pausewright.wording.line_elements import AuthorPause, Clause, Excerpt, Utterance
from pausewright.wording.sentence_ends import sentence_end
from pausewright.wording.worded import Worded

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.problems import Place
    from pausewright.script.model import Again, Inline, Option, Script
    from pausewright.wording.line_elements import Element, Line, SpokenPart

_INNER_CLAUSE: Final = re.compile(r"[,;:](?=\s)|(?<=\s)[–—](?=\s)")
_CLOSING: Final = " \"'”’)»"
_SENTENCE_MARKS: Final = ".!?…"
_CLAUSE_MARKS: Final = ",;:–—"
_LETTER_LAST: Final = re.compile(r"(?:^|\W)[^\W\d_a-zI]\W*$")
_LETTER_FIRST: Final = re.compile(r"\W*[^\W\d_a-zI](?:\W|$)")
"""A capital by itself at either end of a clause: letters spelled out stay together."""


class ArrangementWords(Worded):
    """A script of an arrangement with its words."""

    def __init__(self, script: Script, arrangement: Arrangement, total: int | None = None) -> None:
        """Word a script after `apply_arrangement` and `restate_instructions`."""
        self.arrangement = arrangement
        self._pauses = arrangement.pauses or Pauses()
        self._read: frozenset[Prose] = frozenset()
        if self._pauses != Pauses():
            self._read = frozenset(
                prose
                for _, _, block in script.blocks()
                if isinstance(block, Question | Passage | Dictation)
                for prose in proses(block)
            )
        self._parted: dict[Prose, Line] = {}
        self._refused: set[Place] = set()
        super().__init__(script, total)

    def line(self, prose: Prose) -> Line:
        """Return the elements of a paragraph; inside readings with the declared pauses."""
        if prose not in self._read:
            return super().line(prose)
        if prose not in self._parted:
            self._parted[prose] = self._with_pauses(super().line(prose))
        return self._parted[prose]

    def option(self, option: Option) -> Line:
        """Return an answer to choose, with the declared pauses."""
        return self._with_pauses(super().option(option))

    def dictation_whole(self, dictation: Dictation) -> tuple[Line, ...]:
        """Return the text of a dictation read whole, with the declared pauses."""
        return tuple(self._with_pauses(line) for line in super().dictation_whole(dictation))

    def pattern(self, question: Question) -> Line:
        """Return the pattern of a question, with the declared pauses."""
        return self._with_pauses(super().pattern(question))

    def again_line(self, again: Again, question: Question) -> Line:
        """Return the pattern by which a question is said again, with the declared pauses."""
        return self._with_pauses(super().again_line(again, question))

    def extra_line(self, added_s: Fraction) -> Line:
        """Return what announces time that is added in one piece; () without words for it."""
        extra = self.arrangement.extra_time
        words = None if extra is None else extra.words
        if words is None:
            return ()
        settings = self.script.settings
        place = self.arrangement.place_of("extra-words", self.script.path)
        british = not settings.language.startswith("en-US")
        like = "1 min" if not settings.language.startswith("en") else "a minute"
        english = settings.language.startswith("en")
        time = duration_words(like, added_s, british=british, english=english)
        if time is None:
            self.problems.error(
                place,
                "there are no words for the time that is added here",
                "add at least half a second",
                code="states-untrue",
            )
            return ()
        speech = Speech(settings.voice, settings.language, Fraction(1), 1)
        return self._line((Text(words.replace(TIME_FIELD, time), place),), speech, place)

    def _line(self, inlines: tuple[Inline, ...], speech: Speech, place: Place) -> Line:
        """Return the elements of any line, at the arrangement's pace."""
        paced = replace(speech, arranged_pace=self.arrangement.arranged_pace)
        return super()._line(inlines, paced, place)

    def _with_pauses(self, line: Line) -> Line:
        sentence_s, clause_s = self._pauses.sentence_s, self._pauses.clause_s
        if sentence_s is None and clause_s is None:
            return line
        found: list[Element] = []
        for element in line:
            before = found[-1] if found else None
            if isinstance(element, Excerpt) and self.script.settings.given is not None:
                self._refuse_inner_marks(element)
                pause_s = self._pause_after(before) if isinstance(before, Excerpt) else None
                found += [] if pause_s is None else [AuthorPause(pause_s, element.place)]
            if sentence_s is not None and isinstance(element, Utterance):
                if isinstance(before, AuthorPause):
                    longer_s = max(before.pause_s, sentence_s)
                    found[-1] = replace(before, pause_s=longer_s)
                elif isinstance(before, Utterance):
                    found.append(AuthorPause(sentence_s, element.place))
            if clause_s is not None and isinstance(element, Utterance):
                found += self._parts(element, clause_s)
            else:
                found.append(element)
        return tuple(found)

    def _pause_after(self, stretch: Excerpt) -> Fraction | None:
        """Return the pause that is declared for the mark that the words of a stretch end with."""
        last = (stretch.sound.words or "").rstrip(_CLOSING)[-1:]
        if last in _SENTENCE_MARKS:
            return self._pauses.sentence_s if last else None
        return self._pauses.clause_s if last in _CLAUSE_MARKS else None

    def _refuse_inner_marks(self, stretch: Excerpt) -> None:
        """Refuse a pause at a mark inside one stretch: nobody knows where in the sound it is."""
        words = stretch.sound.words or ""
        sentences = sentence_end(words, 0, "")
        is_parted = self._pauses.clause_s is not None and bool(_INNER_CLAUSE.search(words))
        if self._pauses.sentence_s is not None and sentences is not None:
            is_parted = is_parted or bool(words[sentences:].strip())
        if is_parted and stretch.place not in self._refused:
            self._refused.add(stretch.place)
            self.problems.error(
                stretch.place,
                "these words of the recording have a mark at which a pause is declared, and the "
                "script does not say where in the sound it stands",
                "bind the words up to the mark and those after it by themselves, each with its "
                "from and to",
                code="arrangement-impossible",
            )

    @staticmethod
    def _parts(sentence: Utterance, clause_s: Fraction) -> list[Element]:
        """Return a sentence in parts, a pause at each mark that its author wrote between words."""
        stretches = _stretches(sentence.clauses)
        if len(stretches) < 2:
            return [sentence]
        found: list[Element] = []
        for one in stretches:
            if found:
                found.append(AuthorPause(clause_s, sentence.place))
            found.append(
                replace(
                    sentence,
                    spoken=one.spoken,
                    shown=one.shown,
                    written=one.written,
                    shown_parts=one.shown_parts,
                    others=one.others,
                    clauses=(),
                )
            )
        return found


def _stretches(clauses: Sequence[Clause]) -> list[Clause]:
    """Return clauses with those joined that a single letter stands beside: it is spelled out."""
    found: list[Clause] = []
    for clause in clauses:
        if found and (
            _LETTER_LAST.search(found[-1].written) or _LETTER_FIRST.match(clause.written)
        ):
            last = found[-1]
            found[-1] = Clause(
                spoken=_spoken_together(last.spoken, clause.spoken),
                shown=f"{last.shown} {clause.shown}",
                written=f"{last.written} {clause.written}",
                shown_parts=(*last.shown_parts, *clause.shown_parts),
                others=(*last.others, *clause.others),
            )
        else:
            found.append(clause)
    return found


def _spoken_together(
    one: tuple[SpokenPart, ...], other: tuple[SpokenPart, ...]
) -> tuple[SpokenPart, ...]:
    """Return the spoken parts of two clauses with the blank between them."""
    last, first = one[-1], other[0]
    if not last.is_ipa and not first.is_ipa and last.language == first.language:
        return (*one[:-1], replace(last, text=f"{last.text} {first.text}"), *other[1:])
    if not last.is_ipa:
        return (*one[:-1], replace(last, text=f"{last.text} "), *other)
    return (*one, replace(first, text=f" {first.text}"), *other[1:])
