"""What the check found: findings, rows and totals, as plain values."""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Literal, TypeAlias

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from fractions import Fraction

    from pausewright.checker.result.items import Item
    from pausewright.checker.result.proofs import Comparison, ExtraTimeProof, FieldProof
    from pausewright.pages.strip import Stretch
    from pausewright.problems import Place, Severity
    from pausewright.script.silences import SilenceKind

Unit: TypeAlias = Literal[
    "", "s", "dB", "dBFS", "Hz", "LUFS", "dBTP", "frames", "bytes", "MPEG frames", "words/min"
]
Number: TypeAlias = "Fraction | int | float"

LISTEN = "listen to the track here; build it again if it is wrong"
BUILD = "build the track again from this script, or repair it in your sound editor"
NOT_HEARD = "Not heard by a person yet: listen to the whole track before it is used."


@frozen
class Finding:
    """One thing that is not as it should be; only `said` and `heard` hold words of the test."""

    code: str
    """Stable mark, listed in docs/the-check.md."""
    severity: Severity
    sentence: str
    hint: str
    """What to do."""
    at_s: Fraction | None = None
    """Where in the file, in seconds from its start; None for the file as a whole."""
    question: Item | None = None
    """The question, passage or dictation, if it belongs to one."""
    place: Place | None = None
    """Where the script asks for it."""
    expected: Number | None = None
    measured: Number | None = None
    difference: Number | None = None
    allowed: Number | None = None
    """Largest difference that is no finding."""
    unit: Unit = ""
    """Of the four numbers."""
    said: str = ""
    """Words that the script asks for here; only where the machine's ear heard others."""
    heard: str = ""
    """What it heard."""
    one_cause: str = ""
    """A mark that findings of one cause share where who found them knows it; the first is head."""


@frozen
class SilenceRow:
    """One expected silence and what was measured."""

    kind: SilenceKind
    question: Item | None
    reading: int
    expected_s: Fraction
    measured_s: Fraction | None
    """None where it could not be measured, because a sound beside it is missing."""
    at_s: Fraction | None
    allowed_s: Fraction | None
    """None where its length is reported and not judged."""
    place: Place | None = None

    @property
    def difference_s(self) -> Fraction | None:
        """Measured less expected."""
        return None if self.measured_s is None else self.measured_s - self.expected_s


@frozen
class QuestionRow:
    """One question, sub-question, passage or dictation in the report."""

    item: Item
    place: Place
    readings_expected: int
    readings_found: int
    at_s: Fraction | None
    """Start of its first sound that was found."""
    answer_time: SilenceRow | None
    """Both halves together where a time cue parts it."""
    is_good: bool
    """Whether nothing that candidates hear of it is wrong."""
    is_by_hand: bool = False
    """Whether the invigilator ends the answer time, which is then not counted."""


@frozen
class KindTotal:
    """All silences of one kind together."""

    kind: SilenceKind
    n_expected: int
    n_measured: int
    expected_s: Fraction
    """Sum over all that are expected."""
    expected_of_measured_s: Fraction
    """Sum of what is expected over those that were measured."""
    measured_s: Fraction

    @property
    def difference_s(self) -> Fraction:
        """Measured less expected, over all: what was not found counts as nothing."""
        return self.measured_s - self.expected_s


@frozen
class CaptionRow:
    """A caption file that was checked with a track."""

    file: str
    """File name."""
    n_cues: int
    rate_wpm: Fraction | None
    """Words a minute of all cues together; None for fewer than 30 words."""
    readers: str
    """Profile of readers that the rate was judged by."""


@frozen
class Uncompared:
    """Words of one utterance that the machine's ear could not compare."""

    where: str
    """What it is, in words without content: "an instruction", "question 4, reading 1"."""
    at_s: Fraction
    place: Place
    words: tuple[str, ...]


@frozen
class EarSummary:
    """What the machine's ear heard of a track, in numbers of utterances.

    A recording with words counts as many times as it was heard in parts.
    """

    n_heard: int
    n_same: int
    """Word for word as the script says."""
    n_doubtful: int
    n_other: int
    n_other_language: int
    """Not heard: in other languages than English."""
    n_beside_sounds: int
    """Not heard: run together with a tone or a sound without words."""
    n_without_words: int
    """Not heard: recordings whose words nobody gave."""
    n_missing: int
    """Not heard: not found on the track."""
    versions: dict[str, str]
    """Of the packages that decide what is heard."""
    uncompared: tuple[Uncompared, ...] = ()
    """As the script says, but for words that could not be compared."""
    doubtful: tuple[tuple[str, Fraction], ...] = ()
    """What is to be listened to: what it is, and when."""

    @property
    def n_unheard(self) -> int:
        """Utterances and recordings that were not heard."""
        return self.n_other_language + self.n_beside_sounds + self.n_without_words + self.n_missing


@frozen
class CheckResult:
    """All that the check of one track found."""

    track: str
    """File name."""
    sha256: str
    container: str
    rate_hz: int
    n_channels: int
    n_frames: int
    """Counted by decoding."""
    loudness_lufs: float | None
    true_peak_dbtp: float | None
    speech_dbfs: float | None
    """Active speech level."""
    threshold_dbfs: float | None
    """What is quieter counts as silence."""
    edition: str | None
    """The script's; None if it was not given."""
    findings: tuple[Finding, ...]
    rows: tuple[QuestionRow, ...]
    silences: tuple[SilenceRow, ...]
    totals: tuple[KindTotal, ...]
    versions: dict[str, str] = field(default_factory=dict)
    cautions: tuple[str, ...] = (NOT_HEARD,)
    version_label: str = ""
    """As the track's tags say it; "" if they do not."""
    captions: tuple[CaptionRow, ...] = ()
    ear: EarSummary | None = None
    """None if the machine's ear was not asked."""
    extra_time: ExtraTimeProof | None = None
    """None where the arrangement gives none."""
    proofs: tuple[FieldProof, ...] = ()
    """What was found of each declared field; empty where nobody said what is promised."""
    comparison: Comparison | None = None
    """With the standard track; None where that was not given."""
    title: str = ""
    """Of the test, as the script has it; without one as the tags do."""
    file_edition: str = ""
    """As the track's tags say it; "" if they do not."""
    has_script: bool = True
    """False for a track by itself that was only measured: nothing was compared."""
    strip: tuple[Stretch, ...] = ()
    """Sound and silence as they were heard, in order of time."""

    @property
    def errors(self) -> tuple[Finding, ...]:
        """The findings that fail the track."""
        return tuple(f for f in self.findings if f.severity == "error")

    @property
    def is_good(self) -> bool:
        """Whether there is no error; warnings may be there."""
        return not self.errors

    @property
    def verdict(self) -> str:
        """The verdict in words; a track without a script is never called good."""
        if self.errors:
            return "NOT GOOD"
        return "GOOD" if self.has_script else "MEASURED, NOT COMPARED"
