"""What may be read nowhere, as words and as runs of words, for texts that nobody promised.

A page for the room says words of its own, and data and tags are full of names: a single word of
them proves nothing. A run of words of a question, or the whole of a short one, with at least one
word in it that stands only where nothing may be read, does.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.checker.limits.promised import (
    INSTRUCTION_RUN_WORDS,
    RUN_WORDS,
    WHOLE_RUN_WORDS,
)
from pausewright.checker.shown.captions_shown import ASKED
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from pausewright.checker.promises.events import Said

_WORD: Final = re.compile(r"\w+")


@frozen
class Withheld:
    """What may be read nowhere."""

    words: frozenset[str]
    """That stand only where nothing may be read."""
    runs: frozenset[tuple[str, ...]]
    lengths: tuple[int, ...]
    """Of the runs, longest first."""

    def told_in(self, text: str) -> set[str]:
        """Return the words of runs that a text holds."""
        row = _row(text)
        if self.words.isdisjoint(row):
            return set()
        return {
            word
            for n in self.lengths
            for at in range(len(row) - n + 1)
            if (run := tuple(row[at : at + n])) in self.runs
            for word in run
            if word in self.words
        }


def withheld(said: Iterable[Said], secrets: Iterable[str], withheld_words: set[str]) -> Withheld:
    """Return what may be read nowhere.

    Parameters
    ----------
    said : all that is said, with what of it may be read
    secrets : keys, and notes for staff
    withheld_words : words that stand only where nothing may be read
    """
    runs: set[tuple[str, ...]] = set()
    for one in said:
        for text in _unread(one):
            row = _row(text)
            n = min(RUN_WORDS, max(WHOLE_RUN_WORDS, len(row)))
            runs.update(_runs(row, n if one.role in ASKED else INSTRUCTION_RUN_WORDS))
    for text in secrets:
        row = _row(text)
        runs.update(_runs(row, min(RUN_WORDS, max(WHOLE_RUN_WORDS, len(row)))))
    telling = {run for run in runs if not withheld_words.isdisjoint(run)}
    lengths = sorted({len(run) for run in telling}, reverse=True)
    return Withheld(frozenset(withheld_words), frozenset(telling), tuple(lengths))


def _unread(said: Said) -> Iterator[str]:
    """Walk the stretches of what is said that may not be read."""
    held = ""
    for one in said.shown:
        if one.is_visible:
            yield held
            held = ""
        else:
            held += one.text
    yield held


def _runs(row: Sequence[str], n: int) -> Iterator[tuple[str, ...]]:
    return (tuple(row[at : at + n]) for at in range(len(row) - n + 1))


def _row(text: str) -> list[str]:
    return [one.casefold() for one in _WORD.findall(text)]
