"""The reader's copy: every sentence of a track as it is said, with its measured times.

It holds the whole test and belongs to the staff alone.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.papers.timed.moments import Moment, StaffNote, happenings
from pausewright.papers.timed.note_lines import note_lines
from pausewright.papers.timed.running_sheet import length_words
from pausewright.plan.clock import counter
from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.script.model import Question
from pausewright.script.references import QuestionSpan
from pausewright.script.silences import AUTHORS, CANDIDATES, room_name
from pausewright.wording.line_elements import Excerpt, Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.papers.timed.moments import Happening
    from pausewright.plan.timeline import Questions, Timeline
    from pausewright.problems import Place
    from pausewright.script.model import Script

TEMPLATE: Final = "reader-copy"
TICK_S: Final = 15
"""How far apart the ticks are that show the pace."""
TURN_S: Final = 5
"""A pause in which a reader can turn a page, and find the place (common practice, no source)."""
_ASKING: Final = frozenset({"question", "passage", "announcement"})


@dataclass(slots=True)
class _Stretch:
    """What is said without a silence of the candidates in it, and the silence that ends it."""

    lines: list[dict[str, object]] = field(default_factory=list)


def spoken_words(say: Say) -> str:
    """Return the words of a sound as they are said, "" if it has none."""
    element = say.element
    if isinstance(element, Utterance):
        return element.words
    if isinstance(element, Excerpt):
        return " ".join((element.sound.words or "").split())
    return ""


def printed_texts(script: Script, timeline: Timeline) -> list[tuple[str, Place]]:
    """Return what copies print of the script, with its places, for signs that no font has."""
    said = [
        (spoken_words(one.step), one.step.element.place)
        for one in timeline.placed
        if isinstance(one.step, Say)
    ]
    notes = [(q.sheet.text, q.sheet.place) for q in script.questions() if q.sheet is not None]
    return [*said, *notes]


def reader_copy_data(
    script: Script, timeline: Timeline, word_starts: Callable[[Say], Sequence[int]]
) -> dict[str, object]:
    """Return what the template of the reader's copy is given.

    Parameters
    ----------
    script : as this version has it
    timeline : of the delivered track
    word_starts : gives for each word of `spoken_words` when it begins, in samples from where its
        sound begins
    """
    happened = happenings(script, timeline, "reader")
    copy = _Copy(script, timeline.rate_hz, happened, word_starts)
    for one in happened:
        copy.take(one)
    return {
        "length": counter(Fraction(timeline.n_samples, timeline.rate_hz)),
        "stretches": [one.lines for one in copy.stretches if one.lines],
    }


class _Copy:
    def __init__(
        self,
        script: Script,
        rate_hz: int,
        happened: Sequence[Happening],
        word_starts: Callable[[Say], Sequence[int]],
    ) -> None:
        self.stretches = [_Stretch()]
        self._script = script
        self._rate_hz = rate_hz
        self._word_starts = word_starts
        self._readings = _most_readings(happened)
        self._group: object = None
        self._told: object = None
        """What the last label said."""
        self._is_question_new = False

    def take(self, one: Moment | StaffNote) -> None:
        """Write what one happening is."""
        if isinstance(one, StaffNote):
            for line in one.lines:
                self._line("note", text=line)
        elif isinstance(one.step, Mark):
            if one.step.kind == "part":
                self._line("part", text=one.step.title)
            self._is_question_new |= one.step.kind == "question"
        elif isinstance(one.step, Wait):
            self._wait(one, one.step)
        elif one.step.role != "continues":
            self._enter_group(one)
            self._label(one, one.step)
            self._say(one, one.step)

    def _line(self, kind: str, **more: object) -> None:
        self.stretches[-1].lines.append({"kind": kind, **more})

    def _enter_group(self, one: Moment) -> None:
        if one.group is not None and one.group is not self._group and one.group.title:
            self._line("group", text=one.group.title)
        self._group = one.group

    def _label(self, one: Moment, step: Say) -> None:
        """Say what is read, and which reading of how many, where that changes."""
        is_asked = step.role in _ASKING
        told = (_asked(one, step), step.reading) if is_asked else "instructions"
        if told == self._told and not self._is_question_new:
            return
        self._told = told
        self._line("label", text=self._name(one, step) if is_asked else "Instructions")
        if self._is_question_new and isinstance(one.block, Question) and one.block.sheet:
            self._line("sheet", text="; ".join(note_lines(one.block.sheet)))
        self._is_question_new = False

    def _name(self, one: Moment, step: Say) -> str:
        about = step.question
        if about is None:
            name = "Passage"
        elif isinstance(about, QuestionSpan):
            name = f"Passage for questions {about}"
        else:
            name = str(about) if about.practice else f"Question {about}"
        n_readings = self._readings[_asked(one, step)]
        if n_readings > 1:
            return f"{name}, reading {max(1, step.reading)} of {n_readings}"
        return name

    def _say(self, one: Moment, step: Say) -> None:
        words = spoken_words(step)
        at = counter(one.start_s)
        if not words:
            self._line("play", at=at, text=sound_name(step), length=_about(one.length_s))
            return
        starts_s = [one.start_s + Fraction(at, self._rate_hz) for at in self._word_starts(step)]
        pieces = list(_with_ticks(words, one.start_s, one.end_s, starts_s))
        self._line("say", at=at, pieces=pieces, speaker=step.speaker, lang=self._language(step))

    def _language(self, step: Say) -> str:
        element = step.element
        own = element.speech.language if isinstance(element, Utterance) else ""
        return (own or self._script.settings.language).partition("-")[0].lower()

    def _wait(self, one: Moment, step: Wait) -> None:
        if step.kind in AUTHORS and step.kind != "pause":
            return
        at, until, length = counter(one.start_s), counter(one.end_s), length_words(step.wait_s)
        if step.kind == "hold":
            self._line("stop", at=at, until=until, length=length)
        elif step.kind == "pause":
            self._line("pause", length=length)
            if step.wait_s >= TURN_S:
                self.stretches.append(_Stretch())
            return
        else:
            self._line("wait", at=at, until=until, length=length, text=room_name(step.kind))
        if step.kind == "hold" or step.kind in CANDIDATES:
            self.stretches.append(_Stretch())
            self._told = None if step.kind == "hold" else self._told


def _asked(one: Moment, step: Say) -> tuple[object, Questions | None]:
    """Return what tells a question or passage from every other; sub-questions have a block."""
    return (id(one.block), step.question)


def _most_readings(happened: Sequence[Happening]) -> Counter[tuple[object, Questions | None]]:
    """Return how often each question and passage is read."""
    found: Counter[tuple[object, Questions | None]] = Counter()
    for one in happened:
        if isinstance(one, Moment) and isinstance(one.step, Say) and one.step.role in _ASKING:
            asked = _asked(one, one.step)
            found[asked] = max(found[asked], one.step.reading)
    return found


def sound_name(step: Say) -> str:
    """Return what a sound without words is."""
    if isinstance(step.element, Excerpt):
        return " ".join(step.element.sound.description.split()) or "A recording"
    return "A tone"


def _about(length_s: Fraction) -> str:
    """Return the length of a sound to the second, at least one."""
    return length_words(Fraction(max(1, round(length_s))))


def _with_ticks(
    words: str, start_s: Fraction, end_s: Fraction, starts_s: Sequence[Fraction]
) -> Iterator[dict[str, str]]:
    """Give a sentence in pieces, with a tick before the word that is nearest to its time."""
    places: dict[int, list[str]] = {}
    for number in range(-(-start_s // TICK_S), -(-end_s // TICK_S)):
        at_s = Fraction(number * TICK_S)
        away_s = [abs(begins_s - at_s) for begins_s in starts_s]
        nearest = away_s.index(min(away_s)) if away_s else 0
        places.setdefault(nearest, []).append(counter(at_s))
    held: list[str] = []
    for index, word in enumerate(words.split()):
        if index in places:
            if held:
                yield {"kind": "text", "text": " ".join(held) + " "}
            held = []
            for tick in places[index]:
                yield {"kind": "tick", "text": tick}
        held.append(word)
    yield {"kind": "text", "text": " ".join(held)}
