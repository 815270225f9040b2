"""The walk over a script: what a version of it says, and every declared silence, in order.

Written from docs/script-language.md ("Silence") and docs/arrangements.md, and from nothing that
arranges, re-words, plans or expects. Pauses by default are left out: nobody declared them.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final, TypeAlias

from pausewright.checker.promises.events import Said, Shown, Wild
from pausewright.checker.promises.note_taker import NoteTaker
from pausewright.checker.promises.reading_walk import ReadingWalk
from pausewright.checker.result.items import Asked, Material
from pausewright.script.inline_model import SlateLabel, Span, Text
from pausewright.script.model import (
    Again,
    Dictation,
    Note,
    PageTurn,
    Passage,
    Prose,
    Question,
    Stop,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.arrange.arrangement import Arrangement
    from pausewright.checker.promises.events import Event
    from pausewright.checker.result.items import Item
    from pausewright.problems import Place
    from pausewright.script.inline_model import Inline
    from pausewright.script.model import Block, Part, Script

Occurrence: TypeAlias = "tuple[Item, int]"
"""An item and how many so called have come, it included: numbers may begin again in each part."""
BREAK_S: Final = Fraction(20)
"""Rest breaks: "20 s in which somebody presses pause"."""
BREAK_WORDS: Final = "There is a break now. Leave your sheet as it is."
"""What is said where an English script has no words for it."""
PAGE_TURN_S: Final = Fraction(5)
"""A page turn "waits (5 s unless told otherwise)"."""


class TrackWalk(NoteTaker):
    """Walks the blocks of one version."""

    def __init__(
        self,
        script: Script,
        arrangement: Arrangement,
        breaks_after: frozenset[Occurrence] = frozenset(),
    ) -> None:
        """Take the standard script, what is declared, and where breaks by time are heard."""
        super().__init__(script, arrangement)
        self._breaks_after = breaks_after
        self._n_walked: Counter[Item] = Counter()
        self._readings = ReadingWalk(self)
        self._n_passages = self._n_dictations = 0

    def walk(self) -> list[Event]:
        """Return all events, without extra time."""
        self.at = 0
        for part in self.script.parts:
            for group in part.groups:
                is_out = {part.title, group.title} & set(self.arrangement.leave_out)
                for block in group.blocks:
                    if not is_out:
                        self._block(block, part)
                    self.at += 1
            if part.answers:
                if part.title not in self.arrangement.leave_out:
                    self._answers()
                self.at += 1
        return self.events

    # ---- blocks

    def _block(self, block: Block, part: Part) -> None:
        self._turn_before(block)
        if isinstance(block, Prose):
            self._readings.prose(block, self._instruction(block.place), block.captions)
        elif isinstance(block, Question):
            self._readings.question(block)
            if self._has_break(block):
                self._break()
        elif isinstance(block, Passage | Dictation):
            self._material(block)
        elif isinstance(block, Stop):
            proses = block.cue
            if block.is_slate:  # "the version is its neutral label"
                proses = tuple(replace(p, inlines=self._labelled(p.inlines)) for p in proses)
            self._stop(proses, block.hold_s.value, block.place)
        elif isinstance(block, PageTurn):
            for prose in block.cue:
                self._readings.prose(prose, Said("cue", None, 0, prose.place, 0), prose.captions)
            cue = Said("cue", None, 0, block.place, 0)
            self.wait("page-turn-time", block.page_turn_time_s.value, cue, block.place)
        elif isinstance(block, Again):
            self._again(block, part)
        elif not isinstance(block, Note):
            raise TypeError(type(block).__name__)

    def _material(self, block: Passage | Dictation) -> None:
        if isinstance(block, Passage):
            self._n_passages += 1
            item = Material("passage", self._n_passages)
            base = Said("passage", item, 1, block.place, self.at)
            self._readings.passage(block, base, is_inside=False, is_of_row=True)
        else:
            self._n_dictations += 1
            item = Material("dictation", self._n_dictations)
            base = Said("dictation", item, 1, block.place, self.at)
            self._readings.dictation(block, base, is_inside=False, is_of_row=True)
        if self._ends_in_timed_break():
            self._break()

    def _instruction(self, place: Place) -> Said:
        return Said("instruction", None, 0, place, self.at)

    def _stop(self, cue: Sequence[Prose], hold_s: Fraction, place: Place) -> None:
        for prose in cue:
            self._readings.prose(prose, Said("cue", None, 0, prose.place, 0), prose.captions)
        self.held(Said("cue", None, 0, place, self.at), hold_s, place)

    def _labelled(self, inlines: tuple[Inline, ...]) -> tuple[Inline, ...]:
        """Return what the slate says of this version: its label is the arrangement's."""
        label = self.arrangement.label
        return tuple(
            replace(one, children=(Text(label, one.place),))
            if isinstance(one, Span) and isinstance(one.children[0], SlateLabel)
            else one
            for one in inlines
        )

    def _turn_before(self, block: Block) -> None:
        """Say the cue of a page that begins in this version only, and wait for the turn."""
        look = self.arrangement.print_look
        if look is None or block.place not in look.before:
            return
        place = self.arrangement.place_of("print", self.script.path)
        turn = next((b for _, _, b in self.script.blocks() if isinstance(b, PageTurn)), None)
        if turn is None:
            shown = self.is_shown("cue", self.policy(self.settings.captions))
            voice = self.voice(self.settings.voice)
            base = Said("cue", None, 0, place, 0, voice=voice)
            self.say(replace(base, chunks=(Wild(),), is_shown_whole=shown))
        for prose in turn.cue if turn is not None else ():
            self._readings.prose(prose, Said("cue", None, 0, place, 0), prose.captions)
        wait_s = PAGE_TURN_S if turn is None else turn.page_turn_time_s.value
        self.wait("page-turn-time", wait_s, Said("cue", None, 0, place, 0), place)

    def _has_break(self, question: Question) -> bool:
        breaks = self.arrangement.rest_breaks
        if breaks is None or question.practice or question.printed:
            return False
        return self._ends_in_timed_break() or question.number in breaks.after_questions

    def _ends_in_timed_break(self) -> bool:
        """Count the item that was just walked; say whether a break by time is heard after it."""
        if self.after is None:
            return False
        self._n_walked[self.after] += 1
        return (self.after, self._n_walked[self.after]) in self._breaks_after

    def _break(self) -> None:
        breaks = self.arrangement.rest_breaks
        if breaks is None:
            return
        place = self.arrangement.place_of("rest-breaks", self.script.path)
        shown = self.is_shown("cue", self.policy(self.settings.captions))
        base = Said("cue", None, 0, place, self.at, voice=self.voice(self.settings.voice))
        words = breaks.words or BREAK_WORDS
        readable = (Shown(words, shown),)
        self.say(replace(base, chunks=(words,), shown=readable, is_shown_whole=shown))
        self.held(base, BREAK_S, place, is_of_arrangement=True)

    def _again(self, again: Again, part: Part) -> None:
        for prose in again.lead_in:
            self._readings.prose(prose, self._instruction(prose.place), prose.captions)
        numbered = self.script.numbered(part)
        for number in again.questions:
            question = numbered.get(number)
            if question is None or question.withdrawn or question.printed:
                continue
            if number in self.kept:
                self._readings.again(again, question)

    def _answers(self) -> None:
        for part, group, block in self.script.blocks():
            if not isinstance(block, Question) or block.practice or block.key is None:
                continue
            if self.is_left_out(part.title, group.title):
                continue
            self.say(
                Said(
                    "answer",
                    Asked(block.ref, "answer"),
                    0,
                    block.place,
                    self.at,
                    chunks=(Wild(),),
                    shown=(Shown(block.key.text, is_visible=False),),
                    voice=self.voice(block.delivery.speech.voice),
                )
            )
