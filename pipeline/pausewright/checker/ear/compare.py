"""Two spoken forms laid side by side: the cheapest way from what is said to what was heard.

Every slot has several readings, so each form is a small net of words; the cheapest pair of paths
through both is found (edit distance between two acyclic graphs).
"""

from __future__ import annotations

from difflib import SequenceMatcher
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from pausewright.checker.ear.numerals import NUMERALS, ORDINALS
from pausewright.checker.ear.spoken import ANYTHING
from pausewright.checker.ear.vocabulary import UNITS, kind_of
from pausewright.checker.limits.heard import (
    LOST_LETTER_COST,
    LOST_PLAIN_COST,
    OTHER_KIND_COST,
    UNKNOWN_WORD_MOST,
)
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from pausewright.checker.ear.spoken import Spoken
    from pausewright.checker.ear.vocabulary import Kind

_LOST: Final = {"plain": LOST_PLAIN_COST, "letter": LOST_LETTER_COST}
"""Cost of a word that is missing or too much, by its kind; 1 for those that matter."""


@frozen
class Step:
    """One word of the script beside one that was heard; one of them may be missing."""

    said: str
    """"" for a word that the script does not have."""
    heard: str
    """"" for a word that was not heard."""
    slot: int
    """Which slot of the script it belongs to, or stands before."""
    said_as: str = ""
    """The script's word as it is written there."""
    heard_as: str = ""

    @property
    def is_same(self) -> bool:
        """Whether both are the same word."""
        return self.said == self.heard

    @property
    def kind(self) -> Kind:
        """What the graver of the two words is."""
        for kind in ("figure", "negation", "unit", "comparison", "letter"):
            if kind in {kind_of(self.said), kind_of(self.heard)}:
                return kind
        return "plain"


@frozen
class Comparison:
    """Two spoken forms side by side."""

    steps: tuple[Step, ...]
    cost: float

    @property
    def likeness(self) -> float:
        """How much of the longer one is in both, 0 to 1, by letters of plain words."""
        longer = max(
            sum(_lost(step.said) for step in self.steps if step.said),
            sum(_lost(step.heard) for step in self.steps if step.heard),
        )
        return max(0.0, 1 - self.cost / longer) if longer else 1.0


@frozen
class _Edge:
    end: int
    word: str
    """"" for an edge without a word."""
    slot: int
    written: str
    """The word as it stands in the text."""
    is_alike: bool = False
    """Whether it may only stand beside the same word."""


def compare(said: Spoken, heard: Spoken) -> Comparison:
    """Return what is said and what was heard side by side, in their likest readings."""
    ours, theirs = _net(said), _net(heard)
    n_ours, n_theirs = len(ours), len(theirs)
    best: list[list[float]] = [[float("inf")] * n_theirs for _ in range(n_ours)]
    back: list[list[tuple[int, int, Step | None]]] = [
        [(0, 0, None)] * n_theirs for _ in range(n_ours)
    ]
    best[0][0] = 0.0
    for u in range(n_ours):
        for v in range(n_theirs):
            here = best[u][v]
            if here == float("inf"):
                continue
            for mine in ours[u]:
                _reach(
                    best, back, (u, v), (mine.end, v), here + _lost(mine.word), _step(mine, None)
                )
                for other in theirs[v] if mine.word else ():
                    if other.word and (not other.is_alike or other.word == mine.word):
                        _reach(
                            best,
                            back,
                            (u, v),
                            (mine.end, other.end),
                            here + _changed(mine.word, other.word),
                            _step(mine, other),
                        )
            slot = ours[u][0].slot if ours[u] else len(said)
            for other in theirs[v]:
                if other.is_alike:
                    continue
                _reach(
                    best,
                    back,
                    (u, v),
                    (u, other.end),
                    here + _lost(other.word),
                    _step(None, other, slot),
                )
    steps: list[Step] = []
    u, v = n_ours - 1, n_theirs - 1
    while (u, v) != (0, 0):
        u, v, step = back[u][v]
        if step is not None and ANYTHING not in {step.said, step.heard}:
            steps.append(step)
    return Comparison(tuple(reversed(steps)), best[-1][-1])


def _step(mine: _Edge | None, other: _Edge | None, slot: int = 0) -> Step | None:
    """Return the step along one edge or two; None if it has no word."""
    said, said_as = (mine.word, mine.written) if mine else ("", "")
    heard, heard_as = (other.word, other.written) if other else ("", "")
    if not said and not heard:
        return None
    return Step(said, heard, mine.slot if mine else slot, said_as, heard_as)


def _reach(
    best: list[list[float]],
    back: list[list[tuple[int, int, Step | None]]],
    start: tuple[int, int],
    end: tuple[int, int],
    cost: float,
    step: Step | None,
) -> None:
    if cost < best[end[0]][end[1]]:
        best[end[0]][end[1]] = cost
        back[end[0]][end[1]] = (*start, step)


def _net(form: Spoken) -> list[list[_Edge]]:
    """Return the edges that leave each node; nodes are in order, the last one is the end."""
    nodes: list[list[_Edge]] = [[]]
    for at, slot in enumerate(form):
        start = len(nodes) - 1
        readings = slot.readings
        if readings == ((ANYTHING,),):
            readings = tuple((ANYTHING,) * n for n in range(UNKNOWN_WORD_MOST + 1))
        rows = [(row, False) for row in readings] + [(row, True) for row in slot.alike]
        n_inner = sum(max(0, len(row) - 1) for row, _ in rows)
        end = start + n_inner + 1
        inner = start + 1
        nodes += [[] for _ in range(n_inner + 1)]
        for reading, is_alike in rows:
            node = start
            for word in reading[:-1]:
                nodes[node].append(_Edge(inner, word, at, word, is_alike))
                node = inner
                inner += 1
            last = reading[-1] if reading else ""
            is_plain = slot.surface and reading == readings[0]
            written = slot.surface if is_plain else _as_said(last)
            nodes[node].append(_Edge(end, last, at, written, is_alike))
    return nodes


def _as_said(word: str) -> str:
    """Return a unit that was written as a sign ("km", "£") as it is mostly said: in the plural."""
    forms = UNITS.get(word, ())
    return forms[0] if forms and word not in NUMERALS | ORDINALS else word


def _lost(word: str) -> float:
    if word in {"", ANYTHING, "and"}:
        return 0.0 if word != "and" else 0.1
    return _LOST.get(kind_of(word), 1.0)


@lru_cache(maxsize=4096)
def _changed(said: str, heard: str) -> float:
    """Return the cost of one word in place of another, 0 to 1.3."""
    if said == heard or ANYTHING in {said, heard}:
        return 0.0
    kinds = {kind_of(said), kind_of(heard)}
    if kinds <= {"plain", "letter"}:
        alike = SequenceMatcher(None, said, heard, autojunk=False).ratio()
        return 1 - alike if alike > 0.5 else 1.0
    return 1.0 if len(kinds) == 1 else OTHER_KIND_COST
