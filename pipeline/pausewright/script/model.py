"""The parsed script: what the author declared, with inheritance resolved.

Builder and checker share these values and nothing about timing: a `Script` says that an answer
time of six seconds is in force for question 3, and neither when it starts nor in how many
samples it is laid. All times are exact fractions of seconds.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Generic, Literal, TypeAlias, TypeVar

from pausewright.frozen import frozen
from pausewright.script.inline_model import (
    AnswerPlace,
    Edges,
    Emphasis,
    Formula,
    Inline,
    Level,
    Pause,
    RecordedCue,
    Sound,
    Span,
    Text,
    Tone,
)
from pausewright.script.references import QuestionRef

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from pausewright.problems import Place
    from pausewright.script.declared import CaptionPolicy, Settings

__all__ = [
    "Again",
    "AnswerPlace",
    "AnswerTime",
    "Block",
    "ByHand",
    "Delivery",
    "Dictation",
    "Edges",
    "Emphasis",
    "Formula",
    "Group",
    "InForce",
    "Inline",
    "Level",
    "Note",
    "Option",
    "Options",
    "PageTurn",
    "Part",
    "Passage",
    "Pause",
    "Phrase",
    "Prose",
    "Question",
    "QuestionContent",
    "RecordedCue",
    "Script",
    "Sound",
    "Span",
    "Speech",
    "Stop",
    "SubQuestion",
    "Text",
    "Tone",
]

T_co = TypeVar("T_co", covariant=True)


@frozen
class InForce(Generic[T_co]):
    """A value and where it came from."""

    value: T_co
    place: Place | None
    """None for a built-in default."""
    origin: str
    """In words: "default", "settings", "part ‘Test’", "group ‘Road’", "question 7"."""


@frozen
class ByHand:
    """An answer time that the invigilator ends; a stop, not counted."""


AnswerTime: TypeAlias = "Fraction | ByHand | None"
"""Seconds; ended by hand; or declared as none."""


# ---- who says it, and who may read it --------------------------------------------------------


@frozen
class Speech:
    """How words are voiced."""

    voice: str
    language: str
    """BCP 47, for example `en-GB`."""
    pace: Fraction
    """Share of the script's own pace; 1 unless declared."""
    take: int
    """1 for the voice's first reading; another number gives another reading."""
    arranged_pace: Fraction = Fraction(1)
    """Share of the standard track's pace that an arrangement asks for: 4/5 lasts 5/4 as long."""


@frozen
class Prose:
    """A spoken paragraph, turn, option or bullet."""

    inlines: tuple[Inline, ...]
    speech: Speech
    captions: CaptionPolicy
    place: Place
    speaker: str | None = None
    look_time_s: InForce[Fraction] | None = None
    answer_time: InForce[AnswerTime] | None = None
    pause_after_s: InForce[Fraction] | None = None

    def own_pause(self) -> Place | None:
        """Return where the author's pause after it is declared: its own, or its last sound's."""
        if self.pause_after_s is not None:
            return self.pause_after_s.place or self.place
        last = self.inlines[-1] if self.inlines else None
        if isinstance(last, Sound) and last.pause_after_s is not None:
            return last.place
        return None


@frozen
class Note:
    """A block for papers only: sheet, key or staff note; its text is kept as written."""

    kind: Literal["sheet", "key", "staff-note"]
    text: str
    """Markdown source of the block, or the attribute's value."""
    place: Place
    to: tuple[str, ...] = ()
    """Whom a staff note is for; empty: all staff."""
    content: tuple[object, ...] = ()
    """The same, read (`sheet_content.blocks_of` types it); () where it is an attribute's."""


# ---- blocks ---------------------------------------------------------------------------------


@frozen
class Delivery:
    """How a question or passage is read: every value in force, with its origin."""

    readings: InForce[int]
    between_readings_s: InForce[tuple[Fraction, ...]]
    """One value for all, or exactly `readings` − 1."""
    announce: InForce[str | None]
    again: InForce[str | None]
    pattern: InForce[str | None]
    answer_time: InForce[AnswerTime] | None
    """None where nothing was declared (passages)."""
    between_paragraphs_s: InForce[Fraction]
    between_options_s: InForce[Fraction]
    turn_pause_s: InForce[Fraction]
    speech: Speech
    captions: CaptionPolicy
    time_cue: InForce[str | None]

    def between_s(self, reading: int) -> Fraction:
        """Return the declared silence after reading `reading` (from 1) in seconds."""
        values = self.between_readings_s.value
        return values[0] if len(values) == 1 else values[min(reading, len(values)) - 1]


@frozen
class Option:
    """One answer to choose from."""

    letter: str
    prose: Prose


@frozen
class Options:
    """The answers to choose from, in order."""

    options: tuple[Option, ...]
    place: Place


@frozen
class SubQuestion:
    """Question 1a, 1b …"""

    letter: str
    content: tuple[QuestionContent, ...]
    delivery: Delivery
    place: Place
    marks: int
    sheet: Note | None
    key: Note | None
    notes: tuple[Note, ...]
    lines: int = 1


@frozen
class Phrase:
    """One bullet of a dictation."""

    prose: Prose
    phrase_time_s: InForce[Fraction] | None
    """Its own value, if it has one."""
    starts_paragraph: bool


@frozen
class Dictation:
    """A text read whole and in phrases."""

    phrases: tuple[Phrase, ...]
    order: tuple[Literal["whole", "phrases"], ...]
    between_readings_s: InForce[tuple[Fraction, ...]]
    phrase_time_s: tuple[Fraction, Fraction]
    """First and last; equal when constant."""
    phrase_readings: int
    between_phrase_readings_s: Fraction
    answer_time: InForce[AnswerTime] | None
    speech: Speech
    captions: CaptionPolicy
    place: Place

    @property
    def n_readings(self) -> int:
        """How often it is heard: once for each whole reading, and so often as a phrase is said."""
        return sum(self.phrase_readings if item == "phrases" else 1 for item in self.order)


@frozen
class Passage:
    """Material that is heard, with readings of its own."""

    content: tuple[Prose, ...]
    delivery: Delivery
    place: Place
    look_time_s: InForce[Fraction] | None = None
    pause_after_s: InForce[Fraction] | None = None
    for_questions: tuple[int, ...] = ()
    order: tuple[Literal["whole", "pieces"], ...] = ()
    """A reading plan with waits that the invigilator ends; empty: `readings` whole readings."""

    @property
    def n_readings(self) -> int:
        """How often it is heard, in whole or in pieces."""
        return len(self.order) or self.delivery.readings.value


QuestionContent: TypeAlias = "Prose | Options | SubQuestion | Passage | Dictation"


@frozen
class Question:
    """One question."""

    number: int
    label: str
    """As candidates know it: "7"; "Practice 1" for a practice question."""
    content: tuple[QuestionContent, ...]
    delivery: Delivery
    place: Place
    part: str
    """Title of its part."""
    practice: bool = False
    printed: bool = False
    withdrawn: bool = False
    marks: int = 1
    lines: int = 1
    sheet: Note | None = None
    key: Note | None = None
    notes: tuple[Note, ...] = ()
    arranged_look_time_s: InForce[Fraction] | None = None
    """Silence after its first announcement, which only an arrangement gives."""

    @property
    def ref(self) -> QuestionRef:
        """What it is called, as a value."""
        return QuestionRef(self.number, practice=self.practice)


@frozen
class Stop:
    """A place where the recording is stopped: cue, hold, tone, "the recording continues"."""

    cue: tuple[Prose, ...]
    hold_s: InForce[Fraction]
    rest: bool
    place: Place
    is_slate: bool = False
    """Whether it is what the setting `slate` puts at the head of the track."""

    @property
    def is_timed_rest(self) -> bool:
        """Whether it is a rest of a length of its own, which the track counts to its end.

        Every other hold is no longer than pressing pause takes, and waits for a person.
        """
        return self.rest and self.hold_s.origin not in {"default", "arrangement"}


@frozen
class PageTurn:
    """A cue that falls where the answer sheet turns."""

    cue: tuple[Prose, ...]
    page_turn_time_s: InForce[Fraction]
    place: Place


@frozen
class Again:
    """Earlier questions, once more."""

    lead_in: tuple[Prose, ...]
    questions: tuple[int, ...]
    delivery: Delivery
    place: Place


Block: TypeAlias = "Prose | Question | Passage | Dictation | Stop | PageTurn | Again | Note"


@frozen
class Group:
    """A level-2 heading and what stands under it; title "" before the first one."""

    title: str
    blocks: tuple[Block, ...]
    place: Place


@frozen
class Part:
    """A level-1 heading and what stands under it; title "" before the first one."""

    title: str
    groups: tuple[Group, ...]
    place: Place
    practice: bool = False
    answers: bool = False


@frozen
class Script:
    """One test, as declared."""

    path: Path
    settings: Settings
    parts: tuple[Part, ...]
    sources: Mapping[Path, str]
    """Text of each file read: the script and its includes."""

    def blocks(self) -> Iterator[tuple[Part, Group, Block]]:
        """Walk all blocks in order with their part and group."""
        for part in self.parts:
            for group in part.groups:
                for block in group.blocks:
                    yield part, group, block

    def questions(self) -> Iterator[Question]:
        """Walk all questions, practice included, in order."""
        for _, _, block in self.blocks():
            if isinstance(block, Question):
                yield block

    def numbered(self, part: Part) -> dict[int, Question]:
        """Return the questions that their numbers mean in a part, practice left out.

        With `numbering: by-part` a number means a question of the part itself.
        """
        parts = [part] if self.settings.numbering == "by-part" else self.parts
        return {
            block.number: block
            for one in parts
            for group in one.groups
            for block in group.blocks
            if isinstance(block, Question) and not block.practice
        }

    def said_again(self, again: Again, part: Part) -> list[Question]:
        """Return the questions that an `again` of a part says: withdrawn ones are left out."""
        numbered = self.numbered(part)
        found = [numbered[number] for number in again.questions if number in numbered]
        return [question for question in found if not question.withdrawn and not question.printed]
