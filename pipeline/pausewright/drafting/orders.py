"""Questions that are read in another order than they stand on the paper, told by what was heard.

Lines and runs are paired in order; what is left, or fits badly, may belong together across it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from pausewright.alignment.said_lines import HEARD_WEIGHT, Pair, unlike
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.alignment.said_lines import HeardRun, SaidLine

_UNFIT: Final = 0.3
_FIT: Final = 0.3
_CLEARER: Final = 0.15
"""By how much less unlike a run must be to a line from elsewhere than to the one of its place."""


@frozen
class _Move:
    unlikeness: float
    run: int
    line: int


def reordered(
    pairs: Sequence[Pair], heard: Sequence[HeardRun], lines: Sequence[SaidLine]
) -> tuple[list[Pair], frozenset[int]]:
    """Return pairs in which questions that are read elsewhere are found, and which lines those are.

    Where nothing was heard everything stays as it is.
    """
    moves = _moves(pairs, heard, lines)
    if not moves:
        return list(pairs), frozenset()
    move_of = {move.run: move for move in moves}
    taken = {move.line for move in moves}
    found = []
    for pair in pairs:
        own = pair.lines[0] if pair.lines[1] > pair.lines[0] else None
        if pair.has_run and (move := move_of.get(pair.runs[1] - 1)) is not None:
            lines_of = (move.line, move.line + 1)
            found.append(Pair(pair.runs, lines_of, HEARD_WEIGHT * move.unlikeness))
            if own is not None and own not in taken:  # it has lost its run, and found no other
                found.append(Pair((pair.runs[1], pair.runs[1]), pair.lines, pair.cost))
        elif own in taken:
            if pair.has_run:
                found.append(Pair(pair.runs, (pair.lines[1], pair.lines[1]), pair.cost))
        else:
            found.append(pair)
    return found, frozenset(taken)


def _moves(
    pairs: Sequence[Pair], heard: Sequence[HeardRun], lines: Sequence[SaidLine]
) -> list[_Move]:
    """Return which runs are questions of the paper from another place, the surest first."""
    unfit: dict[int, float] = {}
    loose: dict[int, float] = {}
    for pair in pairs:
        of_paper = range(*pair.lines)
        is_question = len(of_paper) == 1 and lines[of_paper[0]].is_question
        if of_paper and not is_question:
            continue
        run = pair.runs[1] - 1
        here = unlike(heard[run], lines[of_paper[0]]) if pair.has_run and of_paper else 1.0
        if here <= _UNFIT:
            continue
        if pair.has_run and heard[run].phones:
            unfit[run] = here
        if of_paper:
            loose[of_paper[0]] = here
    likely = [
        _Move(there, run, line)
        for run, here in unfit.items()
        for line, its in loose.items()
        if (there := unlike(heard[run], lines[line])) <= min(_FIT, min(here, its) - _CLEARER)
    ]
    found: list[_Move] = []
    for move in sorted(likely, key=lambda one: one.unlikeness):
        if all(move.run != one.run and move.line != one.line for one in found):
            found.append(move)
    return found
