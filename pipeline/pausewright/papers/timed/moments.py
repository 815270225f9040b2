"""A track's timeline beside the script that it was made from: what happens when, and what for.

Times are exact fractions of a second from the first sample of the track. Papers print them as a
player's counter shows them (`plan.clock.counter`).
"""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

from pausewright.frozen import frozen
from pausewright.papers.timed.note_lines import note_lines
from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.script.model import Again, Note, Question, Stop
from pausewright.script.references import QuestionRef

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.plan.timeline import Step, Timeline
    from pausewright.problems import Place
    from pausewright.script.model import Block, Group, Part, Script


@frozen
class Moment:
    """One step of a track, and the block of the script that it comes from."""

    step: Step
    start_s: Fraction
    end_s: Fraction
    part: Part | None = None
    group: Group | None = None
    block: Block | None = None
    """None before the first words."""

    @property
    def length_s(self) -> Fraction:
        """How long it lasts."""
        return self.end_s - self.start_s


@frozen
class StaffNote:
    """A note at the place where the script has it: before the moment that follows it here."""

    lines: tuple[str, ...]
    at_s: Fraction


Happening: TypeAlias = "Moment | StaffNote"


def happenings(script: Script, timeline: Timeline, reader: str) -> tuple[Happening, ...]:
    """Return everything in a track in order of time, with the notes to one kind of staff.

    Parameters
    ----------
    script : as this version has it
    timeline : of its track
    reader : "reader", "invigilator" or "marker": notes to others are left out, those to all staff
        are there
    """
    return tuple(_Walk(script, timeline, reader).happenings())


@frozen
class _Spoken:
    """A block that takes time, and the notes that stand before and in it."""

    part: Part
    group: Group
    block: Block
    before: tuple[Note, ...]
    within: tuple[Note, ...]


class _Walk:
    def __init__(self, script: Script, timeline: Timeline, reader: str) -> None:
        self._timeline = timeline
        self._reader = reader
        self._blocks, self._last_notes = _spoken(script)
        self._by_file: dict[object, list[tuple[int, int]]] = {}
        for index, one in enumerate(self._blocks):
            place = one.block.place
            self._by_file.setdefault(place.file, []).append((place.line, index))

    def happenings(self) -> Iterator[Happening]:
        at = -1
        rate_hz = self._timeline.rate_hz
        marks: list[tuple[Step, Fraction]] = []
        within: list[StaffNote] = []
        for one in self._timeline.placed:
            start_s = Fraction(one.start_sample, rate_hz)
            if isinstance(one.step, Mark):
                marks.append((one.step, start_s))
                continue
            now = self._index(one.step, at) if isinstance(one.step, Say) else at
            for entered in range(at + 1, now + 1):
                yield from within
                yield from self._notes(self._blocks[entered].before, start_s)
                within = self._notes(self._blocks[entered].within, start_s)
            at = now
            for mark, mark_s in marks:
                yield self._moment(mark, mark_s, mark_s, at)
            marks = []
            is_hold = isinstance(one.step, Wait) and one.step.kind == "hold"
            if within and (is_hold or not self._is_stop(at)):
                yield from within
                within = []
            yield self._moment(one.step, start_s, Fraction(one.end_sample, rate_hz), at)
        end_s = Fraction(self._timeline.n_samples, rate_hz)
        yield from within
        yield from self._notes(self._last_notes, end_s)

    def _moment(self, step: Step, start_s: Fraction, end_s: Fraction, at: int) -> Moment:
        if at < 0:
            return Moment(step, start_s, end_s)
        one = self._blocks[at]
        return Moment(step, start_s, end_s, one.part, one.group, one.block)

    def _is_stop(self, at: int) -> bool:
        return at >= 0 and isinstance(self._blocks[at].block, Stop)

    def _notes(self, notes: Sequence[Note], at_s: Fraction) -> list[StaffNote]:
        own = [note for note in notes if not note.to or self._reader in note.to]
        return [StaffNote(tuple(note_lines(note)), at_s) for note in own]

    def _index(self, step: Say, at: int) -> int:
        """Return the block that words belong to: the one at hand, or one further on."""
        if step.role == "continues":
            return at
        here = self._at_place(step.element.place, at)
        if here is not None:
            return max(here, at)
        if not isinstance(step.question, QuestionRef) or self._says_again(at, step.question):
            return at
        # words of a template, which stands in the settings
        for index in range(max(at, 0), len(self._blocks)):
            block = self._blocks[index].block
            if isinstance(block, Question) and block.ref == step.question.whole:
                return index
        return at

    def _says_again(self, at: int, question: QuestionRef) -> bool:
        block = self._blocks[at].block if at >= 0 else None
        return isinstance(block, Again) and question.number in block.questions

    def _at_place(self, place: Place, at: int) -> int | None:
        """Return the block of a file that a line is in; None for one before all of them."""
        known = self._by_file.get(place.file, [])
        found = bisect_right([line for line, _ in known], place.line) - 1
        if found < 0:
            return None
        first = known[found][0]
        same = [index for line, index in known if line == first]
        # one declaration puts the same break after several questions
        return next((index for index in same if index >= at), same[-1])


def _spoken(script: Script) -> tuple[list[_Spoken], tuple[Note, ...]]:
    """Return the blocks that take time with their notes, and the notes after the last one.

    A note straight after a stop belongs to it: what to do there.
    """
    found: list[_Spoken] = []
    notes: list[Note] = []
    for part, group, block in script.blocks():
        if isinstance(block, Note):
            if block.kind != "staff-note":
                continue
            if found and not notes and isinstance(found[-1].block, Stop):
                one = found[-1]
                within = (*one.within, block)
                found[-1] = _Spoken(one.part, one.group, one.block, one.before, within)
            else:
                notes.append(block)
            continue
        within = own_notes(block) if isinstance(block, Question) else ()
        if isinstance(block, Question) and block.printed:
            notes += within
            continue
        found.append(_Spoken(part, group, block, tuple(notes), within))
        notes = []
    return found, tuple(notes)


def own_notes(question: Question) -> tuple[Note, ...]:
    """Return the staff notes of a question and of its sub-questions."""
    subs = [note for one in question.content for note in getattr(one, "notes", ())]
    return (*question.notes, *subs)
