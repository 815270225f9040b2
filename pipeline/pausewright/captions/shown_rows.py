"""What candidates may read of a track, row by row: what every transcript for them holds."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.captions.cues import shown_speaker, shown_text
from pausewright.frozen import frozen
from pausewright.plan.timeline import Mark, Wait
from pausewright.wording.line_elements import Utterance

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.plan.timeline import Say, Timeline

PARAGRAPH_S: Final = Fraction(7, 10)
"""A silence of this length or more begins a new line."""


@frozen
class Phrase:
    """Words in one language."""

    text: str
    language: str
    """BCP 47; "" where nobody said."""


@frozen
class Heading:
    """The title of a part; it may be empty."""

    text: str


@frozen
class Line:
    """Words that belong together, by one speaker."""

    speaker: str
    """"" if nobody is named."""
    phrases: tuple[Phrase, ...]
    """One after the other, blanks included."""
    start_sample: int = 0
    """Where its first word is heard."""

    @property
    def text(self) -> str:
        """The whole line."""
        words = "".join(phrase.text for phrase in self.phrases)
        return f"{self.speaker}: {words}" if self.speaker else words


Row: TypeAlias = Heading | Line


@dataclass(slots=True)
class _Open:
    """The line that is being filled."""

    speaker: str = ""
    start_sample: int = 0
    phrases: list[Phrase] = field(default_factory=list)

    def ended(self) -> Iterator[Line]:
        """Give the line, if it holds anything, and begin another."""
        if self.phrases:
            yield Line(self.speaker, tuple(self.phrases), self.start_sample)
            self.phrases = []


def shown_rows(timeline: Timeline) -> Iterator[Row]:
    """Give only what captions show, under the titles of parts, in order.

    A long silence and another speaker begin a new line.
    """
    line = _Open()
    for placed in timeline.placed:
        step = placed.step
        if isinstance(step, Mark):
            if step.kind == "part":
                yield from line.ended()
                yield Heading(step.title)
        elif isinstance(step, Wait):
            if step.wait_s >= PARAGRAPH_S:
                yield from line.ended()
        elif text := one_line(shown_text(step)):
            if shown_speaker(step) != line.speaker:
                yield from line.ended()
            line.speaker = shown_speaker(step)
            phrases = list(_phrases(step, text))
            if line.phrases:
                phrases.insert(0, Phrase(" ", phrases[0].language))
            else:
                line.start_sample = placed.start_sample
            line.phrases += phrases
    yield from line.ended()


def shows_words(timeline: Timeline) -> bool:
    """Return whether anything but titles may be read of a track."""
    return any(isinstance(row, Line) for row in shown_rows(timeline))


def _phrases(step: Say, text: str) -> Iterator[Phrase]:
    """Give the shown text of a sound, parted where its language changes."""
    if not isinstance(step.element, Utterance):
        yield Phrase(text, "")
        return
    own, at = step.element.speech.language, 0
    for other in step.element.others:
        found = list(re.finditer(re.escape(other.text), text))[other.n_before :]
        if found and found[0].start() >= at:
            if before := text[at : found[0].start()]:
                yield Phrase(before, own)
            at = found[0].end()
            yield Phrase(other.text, other.language)
    if text[at:]:
        yield Phrase(text[at:], own)


def one_line(text: str) -> str:
    """Return a text with every run of blanks as one."""
    return " ".join(text.split())
