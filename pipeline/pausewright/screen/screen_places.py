"""Where we are in a track, in sentences that give nothing away: numbers, parts, kinds of silence.

It is said twice: in one sentence for the invigilator, and in pieces (part, number, what to do now)
for the candidates. No word of a question, passage or key is in any of this; it may stand in a
page that candidates can open.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.frozen import frozen
from pausewright.plan.clock import Clock
from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.script.model import Stop
from pausewright.script.references import QuestionSpan
from pausewright.script.silences import AUTHORS, CANDIDATES, room_name
from pausewright.wording.language import language_for
from pausewright.wording.numbers import ordinal_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from pausewright.plan.timeline import MarkKind, Placed, Questions, Timeline
    from pausewright.script.model import Script
    from pausewright.script.silences import SilenceKind

BEFORE_MS: Final = 300
"""A place is entered so much earlier, if there is silence: no first syllable is cut."""

_ASKING: Final = frozenset({"question", "passage", "announcement"})

Doing: TypeAlias = Literal["listen", "look", "wait", "write", "work", "turn"]
"""What candidates do: each has its words on their screen."""

_DOING: Final[Mapping[SilenceKind, Doing]] = {
    "look-time": "look",
    "between-readings": "wait",
    "answer-time": "write",
    "phrase-time": "write",
    "between-phrase-readings": "wait",
    "page-turn-time": "turn",
    "extra-time": "work",
    "hold": "wait",
}
"""In each silence that is not the author's."""


@frozen
class Asked:
    """A question as the candidates' screen shows it: what it is called, its number, of how many."""

    name: str
    number: str
    n_questions: int
    """0 for practice: it is none of them."""


@frozen
class Stretch:
    """One sentence about where we are, for the half-open time [start_ms, end_ms)."""

    start_ms: int
    end_ms: int
    sentence: str
    back_ms: int
    """Where one begins again: the start of the question, or of the instructions."""
    part: str = ""
    """Its title."""
    asked: Asked | None = None
    doing: Doing = "listen"


@frozen
class Entry:
    """A line of the list of parts and questions."""

    kind: MarkKind
    title: str
    start_ms: int


@frozen
class Halt:
    """A place where the recording waits for the invigilator: the hold [start_ms, end_ms)."""

    title: str
    start_ms: int
    end_ms: int
    is_counted: bool = False
    """Whether it is a timed rest, which the track counts to its end by itself."""
    is_answer: bool = False
    """Whether candidates write in it until the invigilator ends it."""


@frozen
class Turn:
    """When candidates turn the page."""

    start_ms: int


@frozen
class Silence:
    """A silence of the candidates, [start_ms, end_ms)."""

    name: str
    start_ms: int
    end_ms: int
    kind: SilenceKind


@frozen
class Places:
    """Everything that the page knows about a track besides its captions."""

    length_ms: int
    stretches: tuple[Stretch, ...]
    """End to end over the whole track."""
    entries: tuple[Entry, ...]
    halts: tuple[Halt, ...]
    silences: tuple[Silence, ...]
    turns: tuple[Turn, ...]


def places(script: Script, timeline: Timeline) -> Places:
    """Return where everything is in a track. Samples become milliseconds once, halves up."""
    clock = Clock(timeline.rate_hz)
    walk = _Walk(script, timeline, clock)
    stretches = tuple(_joined(walk.stretches()))
    return Places(
        length_ms=clock.milliseconds(timeline.n_samples),
        stretches=stretches,
        entries=walk.entries(),
        halts=walk.halts(),
        silences=walk.silences(),
        turns=walk.turns(),
    )


class _Walk:
    def __init__(self, script: Script, timeline: Timeline, clock: Clock) -> None:
        self._script = script
        self._clock = clock
        self._placed = timeline.placed
        self._readings = self._most_readings()
        self._stops = _stops(script)

    def _ms(self, sample: int) -> int:
        return self._clock.milliseconds(sample)

    def _most_readings(self) -> dict[Questions | None, int]:
        """Return how often each question is read; under None passages without one."""
        found: dict[Questions | None, int] = {}
        for one in self._placed:
            step = one.step
            if isinstance(step, Say):
                found[step.question] = max(found.get(step.question, 0), step.reading)
        return found

    def _counts(self) -> Iterator[int]:
        """Give the number of questions that belong to "of …" in each titled part, in order."""
        all_asked = [q for q in self._script.questions() if not q.practice]
        by_part = self._script.settings.numbering == "by-part"
        for part in self._script.parts:
            if part.title:
                own = [q for q in all_asked if q.part == part.title]
                yield len(own) if by_part else len(all_asked)

    # ---- sentences

    def stretches(self) -> Iterator[Stretch]:
        counts = self._counts()
        n_questions = sum(not q.practice for q in self._script.questions())
        title, sentence, stop = "", "", ""
        doing: Doing = "listen"
        asked: Asked | None = None
        back_ms = silent_from_ms = 0
        was_question: Questions | None = None
        for one in self._placed:
            step, start_ms, end_ms = one.step, self._ms(one.start_sample), self._ms(one.end_sample)
            if isinstance(step, Mark):
                if step.kind == "part":
                    title, n_questions = step.title, next(counts)
                stop = step.title if step.kind == "stop" else ""
                if step.kind != "stop" or not was_question:
                    back_ms = max(silent_from_ms, start_ms - BEFORE_MS)
                continue
            question = step.question
            if was_question and not question:
                back_ms = max(silent_from_ms, start_ms - BEFORE_MS)
            was_question = question
            told = self._sentence(step, n_questions, stop)
            if told:
                sentence = f"{title}: {told}" if title else told
                doing = "listen" if isinstance(step, Say) else _DOING[step.kind]
                asked = asked_of(question, n_questions) if question else None
            elif not sentence:
                sentence = title or "Beginning"
            yield Stretch(start_ms, end_ms, sentence, back_ms, title, asked, doing)
            if isinstance(step, Say):
                silent_from_ms = end_ms
            elif step.kind == "hold":
                stop = ""
                if not question:
                    back_ms = max(start_ms, end_ms - BEFORE_MS)

    def _sentence(self, step: Say | Wait, n_questions: int, stop: str) -> str:
        """Return what a step is, "" for a silence that belongs to what was before it."""
        about = question_name(step.question, n_questions) if step.question else ""
        if isinstance(step, Wait):
            if step.kind in AUTHORS:
                return ""
            if step.kind == "hold":
                return stop or "Stop"
            if step.kind == "between-readings":
                what = room_name(step.kind)
                if step.reading:
                    what = f"before the {reading_name(step.reading + 1)}"
            else:
                what = room_name(step.kind)
            return f"{about}, {what}" if about else what.capitalize()
        if step.role in _ASKING:
            return self._reading(step, about)
        if step.role == "continues":
            return "The recording continues"
        return stop if stop and step.role == "cue" else "Instructions"

    def _reading(self, step: Say, about: str) -> str:
        about = about or "Listening passage"
        n_readings = self._readings.get(step.question, 0)
        if step.reading and n_readings > 1:
            return f"{about}, {reading_name(step.reading)}"
        return f"{about}, reading" if step.reading else about

    # ---- lists

    def entries(self) -> tuple[Entry, ...]:
        found = []
        silent_from_ms = 0
        for one in self._placed:
            if isinstance(one.step, Mark):
                start_ms = max(silent_from_ms, self._ms(one.start_sample) - BEFORE_MS)
                found.append(Entry(one.step.kind, one.step.title, start_ms))
            elif isinstance(one.step, Say):
                silent_from_ms = self._ms(one.end_sample)
        return tuple(found)

    def halts(self) -> tuple[Halt, ...]:
        found = []
        title = "Stop"
        for one in self._placed:
            if isinstance(one.step, Mark) and one.step.kind == "stop":
                title = one.step.title
            elif isinstance(one.step, Wait) and one.step.kind == "hold":
                stop = self._stops.get(one.step.block)
                counted = stop is not None and stop.is_timed_rest
                found.append(Halt(title, *self._span(one), counted, bool(one.step.question)))
        return tuple(found)

    def silences(self) -> tuple[Silence, ...]:
        found = []
        for one in self._placed:
            step = one.step
            if isinstance(step, Wait) and step.kind in CANDIDATES:
                name = room_name(step.kind).capitalize()
                found.append(Silence(name, *self._span(one), step.kind))
        return tuple(found)

    def turns(self) -> tuple[Turn, ...]:
        return tuple(
            Turn(self._ms(one.start_sample))
            for one in self._placed
            if isinstance(one.step, Wait) and one.step.kind == "page-turn-time"
        )

    def _span(self, one: Placed) -> tuple[int, int]:
        return self._ms(one.start_sample), self._ms(one.end_sample)


def _stops(script: Script) -> dict[int, Stop]:
    """Return the stops by their blocks, counted as the plan counts them."""
    found: dict[int, Stop] = {}
    at = -1
    for part in script.parts:
        for block in (block for group in part.groups for block in group.blocks):
            at += 1
            if isinstance(block, Stop):
                found[at] = block
        at += part.answers
    return found


def _joined(stretches: Iterator[Stretch]) -> Iterator[Stretch]:
    """Join neighbours that say the same; leave out those that are over before they begin."""
    held: Stretch | None = None
    for one in stretches:
        if one.start_ms == one.end_ms:
            continue
        if held and (held.sentence, held.back_ms) == (one.sentence, one.back_ms):
            held = replace(held, end_ms=one.end_ms)
            continue
        if held:
            yield held
        held = one
    if held:
        yield held


MOST_NAMED_READINGS: Final = 10
"""Later readings have a figure."""


def reading_name(reading: int) -> str:
    """Return "second reading" for 2."""
    english = language_for("en")
    if reading > MOST_NAMED_READINGS or english is None:
        return f"reading {reading}"
    return f"{ordinal_words(reading, english)} reading"


def question_name(questions: Questions, n_questions: int) -> str:
    """Return what candidates call a question, or those of a passage, and of how many."""
    asked = asked_of(questions, n_questions)
    of = f" of {asked.n_questions}" if asked.n_questions else ""
    return f"{asked.name} {asked.number}{of}"


def asked_of(questions: Questions, n_questions: int) -> Asked:
    """Return the same in pieces."""
    if isinstance(questions, QuestionSpan):
        return Asked("Questions", str(questions), n_questions)
    if questions.practice:
        return Asked("Practice question", f"{questions.number}{questions.letter}", 0)
    return Asked("Question", str(questions), n_questions)
