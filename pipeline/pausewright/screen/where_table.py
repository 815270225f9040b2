"""The table of places of one track: what a stop at any place means, and where one goes on.

It is made here and nowhere else. It is recorded beside the track, where `pausewright where` reads
it, and stands in the room's screen as data. It holds no word of the test.

Words that were cut are heard again from the silence before the reading that they belong to; a
silence goes on where it stopped, but for a moment before words that follow it.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.plan.clock import Clock
from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.records.shapes import WhereRow
from pausewright.screen.screen_places import places
from pausewright.script.model import Dictation, Question, SubQuestion
from pausewright.script.silences import AUTHORS, CANDIDATES, room_name

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.plan.timeline import Placed, Timeline
    from pausewright.problems import Place
    from pausewright.screen.screen_places import Places, Stretch
    from pausewright.script.model import Script

BEFORE_S: Final = Fraction(3, 10)
"""So much silence is left before words that are heard again, if there is so much."""
LEAST_S: Final = Fraction(1, 5)
"""Shorter silences are no place to go on from: hands and players are not that exact."""
WORDS_FOLLOW_S: Final = Fraction(1, 10)
"""A silence goes on no later than so long before words that follow it."""

Happens: TypeAlias = Literal["heard", "given", "held", "between", "before", "after"]
"""As in `records.shapes.WhereRow`."""
_Key: TypeAlias = tuple[str, str, int]
"""What is heard as one: what it belongs to, its question, which reading."""


def where_table(script: Script, timeline: Timeline) -> tuple[WhereRow, ...]:
    """Return what a stop means at any place, in order, without holes, in milliseconds."""
    return tuple(_Table(script, timeline).rows())


@dataclass(slots=True)
class _Open:
    """A row while it is made; samples of the track."""

    start: int
    end: int
    happens: Happens
    name: str
    run: int
    """The first step of what is heard again if it is cut; -1 outside words."""
    here: Stretch
    question: str
    reading: int

    def joins(self, other: _Open) -> bool:
        """Return whether what follows belongs to this row."""
        mine = (self.happens, self.name, self.run, self.here.back_ms)
        return mine == (other.happens, other.name, other.run, other.here.back_ms)


class _Table:
    def __init__(self, script: Script, timeline: Timeline) -> None:
        self._placed = [
            one
            for one in timeline.placed
            if not isinstance(one.step, Mark) and one.end_sample > one.start_sample
        ]
        self._rate_hz = timeline.rate_hz
        self._clock = Clock(timeline.rate_hz)
        self._where: Places = places(script, timeline)
        self._rests = {one.start_ms for one in self._where.halts if one.is_counted}
        self._contents = _Contents(script)
        self._starts_ms = [one.start_ms for one in self._where.stretches]
        self._keys = self._all_keys()
        said = [at for at, key in enumerate(self._keys) if key]
        self._first, self._last = (said[0], said[-1]) if said else (len(self._keys), -1)

    def rows(self) -> Iterator[WhereRow]:
        """Give the rows in order."""
        held: _Open | None = None
        for index in range(len(self._placed)):
            one = self._open(index)
            if held is None:
                held = one
            elif held.joins(one):
                held.end = one.end
            else:
                yield self._row(held, one.happens)
                held = one
        if held is not None:
            yield self._row(held, "after")

    # ---- what happens

    def _open(self, index: int) -> _Open:
        one = self._placed[index]
        step, start_ms = one.step, self._clock.milliseconds(one.start_sample)
        here = self._where.stretches[max(0, bisect_right(self._starts_ms, start_ms) - 1)]
        happens = self._happens(index)
        name = _name(here, step, is_rest=happens == "given" and start_ms in self._rests)
        run = self._run(index) if happens == "heard" else -1
        about, reading = ("", 0) if isinstance(step, Mark) else (step.question, step.reading)
        return _Open(
            one.start_sample,
            one.end_sample,
            happens,
            name,
            run,
            here,
            "" if about is None else str(about),
            reading,
        )

    def _happens(self, index: int) -> Happens:
        step = self._placed[index].step
        if not isinstance(step, Wait):
            return "heard"
        if step.kind in CANDIDATES:
            return "given"
        if step.kind == "hold":
            start_ms = self._clock.milliseconds(self._placed[index].start_sample)
            return "given" if start_ms in self._rests else "held"
        if index < self._first:
            return "before"
        if index > self._last:
            return "after"
        after = self._next(index)
        return "heard" if after and after == self._keys[self._said(index)] else "between"

    def _said(self, index: int) -> int:
        """Return what was said last before an author's pause."""
        return next(at for at in range(index, -1, -1) if self._keys[at])

    def _next(self, index: int) -> _Key | None:
        """Return what is said after the author's pause at a place; None if anything else comes."""
        for at in range(index, len(self._placed)):
            step = self._placed[at].step
            if not (isinstance(step, Wait) and step.kind in AUTHORS):
                return self._keys[at]
        return None

    # ---- where to go on

    def _run(self, index: int) -> int:
        """Return the first step of the reading, or phrase, that words belong to."""
        first = self._said(index)
        key = self._keys[first]
        for at in range(first, -1, -1):
            step = self._placed[at].step
            if isinstance(step, Wait):
                if step.kind in AUTHORS or step.kind == "look-time":
                    continue
                break
            if self._keys[at] != key:
                break
            first = at
        return first

    def _all_keys(self) -> list[_Key | None]:
        """Return what each step is heard with, None for silences.

        An announcement is heard with what it announces.
        """
        found: list[_Key | None] = [None] * len(self._placed)
        after: _Key | None = None
        for at in range(len(self._placed) - 1, -1, -1):
            step = self._placed[at].step
            if not isinstance(step, Say):
                continue
            about = "" if step.question is None else str(step.question)
            own = (self._contents.role(step), about, step.reading)
            if step.role == "announcement":
                own = after if after and after[1:] == own[1:] else ("question", *own[1:])
            found[at] = after = own
        return found

    def _before_s(self, first: int) -> Fraction:
        """Return a place in the silence before words, or further back if that is too short."""
        for at in range(first - 1, -1, -1):
            start_s, end_s = self._ends_s(self._placed[at])
            if isinstance(self._placed[at].step, Wait) and end_s - start_s >= LEAST_S:
                return max((start_s + end_s) / 2, end_s - BEFORE_S)
        return Fraction(0)

    def _ends_s(self, one: Placed | _Open) -> tuple[Fraction, Fraction]:
        start, end = (
            (one.start, one.end) if isinstance(one, _Open) else (one.start_sample, one.end_sample)
        )
        return Fraction(start, self._rate_hz), Fraction(end, self._rate_hz)

    def _row(self, one: _Open, follows: Happens) -> WhereRow:
        start_s, end_s = self._ends_s(one)
        resume_s = end_s
        if one.happens == "heard":
            resume_s = self._before_s(one.run)
        elif one.happens == "before":
            resume_s = Fraction(0)
        elif follows == "heard":
            resume_s = max((start_s + end_s) / 2, end_s - WORDS_FOLLOW_S)
        return WhereRow(
            self._clock.milliseconds(one.start),
            self._clock.milliseconds(one.end),
            one.happens,
            one.name,
            int(resume_s * 1000),
            one.here.back_ms,
            _back_to(one.here),
            one.here.part,
            one.question,
            one.reading,
        )


class _Contents:
    """Which words of a script stand in a dictation: its phrases are heard again one by one."""

    def __init__(self, script: Script) -> None:
        self._starts: dict[object, list[tuple[int, bool]]] = {}
        for place, is_dictation in _starts(script):
            self._starts.setdefault(place.file, []).append((place.line, is_dictation))
        for one in self._starts.values():
            one.sort()

    def role(self, step: Say) -> str:
        """Return what words belong to."""
        if step.role != "question":
            return step.role
        place = step.element.place
        starts = self._starts.get(place.file, [])
        at = bisect_right([line for line, _ in starts], place.line) - 1
        return "dictation" if at >= 0 and starts[at][1] else "question"


def _starts(script: Script) -> Iterator[tuple[Place, bool]]:
    """Give where everything that is read begins, and whether it is a dictation."""
    for _, _, block in script.blocks():
        yield block.place, isinstance(block, Dictation)
        if isinstance(block, Question):
            for one in block.content:
                yield one.place, isinstance(one, Dictation)
                for inner in one.content if isinstance(one, SubQuestion) else ():
                    yield inner.place, isinstance(inner, Dictation)


def _name(here: Stretch, step: object, *, is_rest: bool) -> str:
    told_here = here.sentence.removeprefix(f"{here.part}: ") if here.part else here.sentence
    name = f"{told_here[:1].lower()}{told_here[1:]}"
    if is_rest:
        return f"{name}, a timed rest"
    if not isinstance(step, Wait) or step.kind not in CANDIDATES or ", before the " in name:
        return name
    if room_name(step.kind) not in name:
        return f"{name}, {room_name(step.kind)}"
    return name


def _back_to(here: Stretch) -> str:
    if here.asked is None:
        return "the start of these instructions"
    name = f"{here.asked.name[:1].lower()}{here.asked.name[1:]}"
    return f"the first reading of {name} {here.asked.number}"
