"""An arrangement as a value: what one version of a test declares, field by field.

Nothing is worked out here. A field that may be absent is None, or empty, where it is: what is
declared is told from what is not, also where both come to the same track.
"""

from __future__ import annotations

from dataclasses import field
from fractions import Fraction
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.frozen import frozen
from pausewright.problems import Place

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from pausewright.script.declared import CaptionPolicy
    from pausewright.script.references import QuestionRef
    from pausewright.script.silences import CandidatesSilence

STANDARD: Final = "standard"
STANDARD_LABEL: Final = "A"

FieldName: TypeAlias = Literal[
    "label",
    "basis",
    "extra-time",
    "stretch",
    "share-of",
    "where",
    "fixed-pause",
    "extra-words",
    "test-time",
    "extra-time-confirmed",
    "pace",
    "readings",
    "pauses",
    "rest-breaks",
    "look-time",
    "leave-out",
    "background",
    "captions",
    "transcript",
    "voice",
    "loudness",
    "format",
    "split",
    "print",
]
"""What an author writes; `fields.FIELDS` says of each what it is."""
NO_CHANGES: Final = frozenset({"label", "basis", "test-time", "extra-time-confirmed", "split"})
"""Fields that change neither the track nor what goes with it, and so need no basis."""

Base: TypeAlias = Literal["listed-silences", "whole-test"]
"""What a share is a share of."""
TrackFormat: TypeAlias = Literal["mp3", "wav", "flac"]
GapsOrEnd: TypeAlias = Literal["each-gap", "part-end", "test-end"]
"""Places for time that need no further word: every listed silence, the end of each part, of all."""


@frozen
class Share:
    """So much of a base: 1/4 for 25 %."""

    of_base: Fraction


@frozen
class FixedTime:
    """The same time, whatever the test is."""

    time_s: Fraction


Amount: TypeAlias = Share | FixedTime


@frozen
class AfterQuestion:
    """A place for time: after the last answer time of a question, sub-questions included."""

    question: QuestionRef


@frozen
class FixedAndRemainder:
    """The same pause after each question, and what is left at the end."""

    pause_s: Fraction


PlaceForTime: TypeAlias = GapsOrEnd | AfterQuestion


@frozen
class Split:
    """A stated split: so much here, so much there, in the order of the declaration."""

    amounts: tuple[tuple[PlaceForTime, Amount], ...]


Where: TypeAlias = PlaceForTime | FixedAndRemainder | Split


@frozen
class ExtraTime:
    """How much time an arrangement adds, of what, and where it goes."""

    amount: Amount
    where: Where
    at_most_s: Fraction | None = None
    """A ceiling of the whole."""
    base: Base | None = None
    """None where none is declared, as with fixed time."""
    stretch: tuple[CandidatesSilence, ...] = ()
    """The kinds of silence that it touches."""
    words: str | None = None
    """Said before time that is added in one piece, with the field {time}."""


@frozen
class Pauses:
    """Pauses inside readings, at marks only."""

    sentence_s: Fraction | None = None
    clause_s: Fraction | None = None


@frozen
class LookTimes:
    """Time to look at the sheet."""

    in_script_s: Fraction | None = None
    """What each look time of the script becomes."""
    before_questions_s: Fraction | None = None
    words: str | None = None
    """Said before it where a question is not announced."""


@frozen
class RestBreaks:
    """Stops that are not test time: after these questions, or so that no stretch is longer."""

    after_questions: tuple[int, ...] = ()
    every_s: Fraction | None = None
    words: str = ""


PrintPaper: TypeAlias = Literal["A4", "A3", "US Letter"]
PrintFont: TypeAlias = Literal["plain", "clear"]
Turns: TypeAlias = Literal["added", "as in the script"]


@frozen
class PrintLook:
    """How the candidates' papers are printed."""

    size_pt: Fraction = Fraction(12)
    """Of the running text."""
    paper: PrintPaper = "A4"
    colour: str = ""
    """Of the paper to print on, in words for staff; nothing on the paper itself says it."""
    font: PrintFont = "plain"
    turns: Turns = "added"
    """Whether a page that begins with a spoken question gets a cue to turn."""
    before: tuple[Place, ...] = ()
    """Blocks before which a cue is said in this version only, as the sheet itself breaks there."""


@frozen
class Arrangement:
    """One declared version of a test."""

    name: str
    """Confidential: it stands on no room paper, file name, tag, caption or screen."""
    label: str
    """What the room sees: "A", "B"."""
    place: Place | None = None
    """None for a standard track that nobody declared."""
    basis: str = ""
    """Why it is permitted; "" for the standard track."""
    extra_time: ExtraTime | None = None
    test_time_s: Fraction | None = None
    """The time that the test is given, where parts are left out."""
    extra_time_confirmed_s: Fraction | None = None
    """The sum of extra time that somebody confirmed, where a share can be read in several ways."""
    pace: Fraction | None = None
    """Speech as a share of the standard pace; see `arranged_pace`."""
    readings: int | None = None
    pauses: Pauses | None = None
    rest_breaks: RestBreaks | None = None
    look_time: LookTimes | None = None
    leave_out: tuple[str, ...] = ()
    """Titles of parts and groups."""
    background: Literal["off"] | None = None
    captions: CaptionPolicy | None = None
    transcript: CaptionPolicy | None = None
    voice: str | None = None
    loudness: str | None = None
    formats: tuple[TrackFormat, ...] = ()
    split: Literal["at-stops"] | None = None
    print_look: PrintLook | None = None
    places: Mapping[FieldName, Place] = field(default_factory=dict)
    """Where each field is declared."""

    def place_of(self, name: FieldName, script: Path) -> Place:
        """Return where a field is declared, else the arrangement, else the script's beginning."""
        return self.places.get(name) or self.place or Place(script, 1, 1)

    @property
    def arranged_pace(self) -> Fraction:
        """The pace of speech as a share of the standard pace: 1 where none is declared."""
        return Fraction(1) if self.pace is None else self.pace

    @property
    def stretch(self) -> tuple[CandidatesSilence, ...]:
        """The kinds of silence that extra time touches; () without extra time."""
        return () if self.extra_time is None else self.extra_time.stretch

    def declared(self) -> dict[FieldName, object]:
        """Return the declared fields by the names that authors write, in the table's order."""
        extra = self.extra_time
        fixed = extra.where if extra and isinstance(extra.where, FixedAndRemainder) else None
        found: dict[FieldName, object] = {
            "basis": self.basis or None,
            "extra-time": extra,
            "stretch": self.stretch or None,
            "share-of": extra and extra.base,
            "where": extra and extra.where,
            "fixed-pause": fixed and fixed.pause_s,
            "extra-words": extra and extra.words,
            "test-time": self.test_time_s,
            "extra-time-confirmed": self.extra_time_confirmed_s,
            "pace": self.pace and Share(self.pace),
            "readings": self.readings,
            "pauses": self.pauses,
            "rest-breaks": self.rest_breaks,
            "look-time": self.look_time,
            "leave-out": self.leave_out or None,
            "background": self.background,
            "captions": self.captions,
            "transcript": self.transcript,
            "voice": self.voice,
            "loudness": self.loudness,
            "format": self.formats or None,
            "split": self.split,
            "print": self.print_look,
        }
        return {name: value for name, value in found.items() if value is not None}

    @property
    def changes(self) -> tuple[FieldName, ...]:
        """Names of the declared fields that change the track or what goes with it."""
        return tuple(name for name in self.declared() if name not in NO_CHANGES)
