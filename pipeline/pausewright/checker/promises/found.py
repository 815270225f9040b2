"""What was found on a delivered track, in the form in which it is promised."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.promises.events import key_of, solid
from pausewright.checker.promises.written import recording_mark
from pausewright.wording.line_elements import ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.match.match import Matching
    from pausewright.checker.match.measured import MeasuredSilence
    from pausewright.checker.promises.events import Key
    from pausewright.checker.result.items import Item
    from pausewright.problems import Place
    from pausewright.script.silences import SilenceKind


@dataclass(frozen=True, slots=True)
class FoundSilence:
    """A declared silence as it was laid beside the track."""

    kind: SilenceKind
    key: Key
    """Of what was heard before it."""
    item: Item | None
    after: Item | None
    at: int
    """Solid signs heard before it under its key."""
    wait_s: Fraction
    """As the builder's script says."""
    measured_s: Fraction | None
    allowed_s: Fraction
    at_s: Fraction | None
    place: Place | None

    @property
    def is_heard(self) -> bool:
        """Whether it was measured, and is as long as the builder's script says."""
        return self.measured_s is not None and (
            abs(self.measured_s - self.wait_s) <= self.allowed_s or self.wait_s < Fraction(7, 10)
        )


@dataclass(slots=True)
class FoundWords:
    """All that was heard under one key."""

    sounds: list[int] = field(default_factory=list)
    """Indices of expected sounds."""
    texts: list[str] = field(default_factory=list)
    """What is written of each; "" for sounds without words."""
    tones: list[int] = field(default_factory=list)
    recordings: list[str] = field(default_factory=list)
    voices: set[str] = field(default_factory=set)
    paces: set[Fraction] = field(default_factory=set)

    @property
    def text(self) -> str:
        """All its words as written."""
        return " ".join(self.texts)


@dataclass(slots=True)
class Found:
    """What was found, by the keys under which it is promised."""

    words: dict[Key, FoundWords]
    silences: list[FoundSilence]
    of_sound: list[Key]
    """The key of each expected sound."""


def found_on(
    expectation: Expectation,
    matching: Matching,
    rate_hz: int,
    kinds: frozenset[str],
) -> Found:
    """Return what a matched track holds; `kinds` are those of declared silences."""
    words: dict[Key, FoundWords] = defaultdict(FoundWords)
    silences: list[FoundSilence] = []
    of_sound: list[Key] = []
    after: Item | None = None
    last: Key | None = None
    for i, sound in enumerate(expectation.sounds):
        found = _silence(matching.silences[i], last, after, words, rate_hz)
        if found is not None and found.kind in kinds:
            silences.append(found)
        after = sound.question if sound.question is not None else after
        last = key_of(sound.role, sound.question, sound.reading, after)
        of_sound.append(last)
        own = words[last]
        own.sounds.append(i)
        element = sound.element
        if isinstance(element, Utterance):
            own.texts.append(element.written)
            own.voices.add(element.speech.voice)
            own.paces.add(element.speech.arranged_pace)
        elif isinstance(element, ToneCue):
            own.tones.append(i)
        else:
            own.recordings.append(recording_mark(element.sound))
            own.paces.add(element.sound.arranged_pace)
    return Found(dict(words), silences, of_sound)


def _silence(
    silence: MeasuredSilence,
    last: Key | None,
    after: Item | None,
    words: dict[Key, FoundWords],
    rate_hz: int,
) -> FoundSilence | None:
    if last is None:
        return None
    expected = silence.expected
    measured_s = None
    if silence.n_frames is not None and silence.state in {"measured", "interrupted"}:
        edges_s = silence.wait_s - expected.wait_s
        measured_s = Fraction(silence.n_frames, rate_hz) - edges_s
    return FoundSilence(
        expected.kind,
        last,
        expected.question,
        after,
        _n_solid(words[last].texts),
        expected.wait_s,
        measured_s,
        silence.most_s,
        None if silence.at_frame is None else Fraction(silence.at_frame, rate_hz),
        expected.place,
    )


def _n_solid(texts: Sequence[str]) -> int:
    return sum(len(solid(text)) for text in texts)
