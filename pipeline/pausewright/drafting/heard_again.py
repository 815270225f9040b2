"""Where a reading is not what is on the paper: heard again before anything is told."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pausewright.drafting.ears import (
    HeardText,
    announced_otherwise,
    announces,
    doubts_of,
    heard_texts,
)
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from pausewright.alignment.given_sound import GivenSound, Listener, Manner
    from pausewright.alignment.runs import Run
    from pausewright.alignment.said_lines import SaidLine
    from pausewright.drafting.chains import Chain
    from pausewright.drafting.draft_model import Doubt

    SpokenOf = Callable[[str], str]


@frozen
class Again:
    """Hears a run again, in the two other ways."""

    given: GivenSound
    listener: Listener
    spoken_of: SpokenOf

    def of(self, run: Run) -> list[HeardText]:
        """Return both hearings."""
        manners: tuple[Manner, ...] = ("words", "apart")
        return [
            text
            for manner in manners
            for text in heard_texts(self.given, [run], self.listener, self.spoken_of, None, manner)
        ]


def text_doubts(taken: Sequence[Chain], lines: Sequence[SaidLine], again: Again) -> list[Doubt]:
    """Return where what is heard in the runs of a text is not what is on the paper, heard again."""
    runs = [run for chain in taken for run in chain.runs]
    words = [word for line in lines for word in line.words]
    hearings = [_joined([one for chain in taken for one in chain.heard])]
    doubts = doubts_of(words, (), hearings, runs[0].start_ms)
    if doubts:
        hearings += map(_joined, zip(*(again.of(run) for run in runs), strict=True))
        doubts = doubts_of(words, (), hearings, runs[0].start_ms)
    return doubts


def _joined(heard: Sequence[HeardText]) -> HeardText:
    """Return what was heard in runs that follow each other."""
    text = " ".join(one.text for one in heard)
    return HeardText(text, tuple(word for one in heard for word in one.words))


def heard_doubts(
    taken: Sequence[Chain], line: SaidLine, again: Again, *, is_announced: bool
) -> list[Doubt]:
    """Return where what is heard in a reading is not what is on the paper, heard again.

    Where most questions are announced by their number, one whose number is not heard is heard again
    for it alone: a recogniser leaves it out now and then.
    """
    found: list[Doubt] = []
    if len(taken) > 1 and taken[0].heard and line.announced:
        found = announced_otherwise(line.announced, taken[0].heard, taken[0].runs[0].start_ms)
        if found:
            hearings = [*taken[0].heard, *again.of(taken[0].runs[0])]
            found = announced_otherwise(line.announced, hearings, taken[0].runs[0].start_ms)
    for k, (run, heard) in enumerate(zip(taken[-1].runs, taken[-1].heard, strict=True)):
        doubts = doubts_of(line.words, line.announced, [heard], run.start_ms)
        others: list[HeardText] = []
        is_bare = k == 0 and len(taken) == 1 and not announces(heard)
        if doubts or (is_announced and is_bare and line.announced):
            others = again.of(run)
        if doubts:
            doubts = doubts_of(line.words, line.announced, [heard, *others], run.start_ms)
        elif others:
            doubts = announced_otherwise(line.announced, others, run.start_ms)
        found += doubts
    return found
