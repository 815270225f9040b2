"""What was found on a delivered track, in the form in which it is promised."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.promises.events import key_of, solid
from pausewright.checker.promises.written import recording_mark
from pausewright.frozen import frozen
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


@frozen
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
        before = matching.silences[i]
        of_item = sound.question if sound.question is not None else after
        key = key_of(sound.role, sound.question, sound.reading, of_item)
        # nothing was heard before the first: a time to look at the sheet may stand there
        is_first = last is None
        if before.expected.kind in kinds and not (is_first and before.expected.kind == "pause"):
            n_solid = 0 if last is None else _n_solid(words[last].texts)
            silences.append(_silence(before, last or key, after, n_solid, rate_hz))
        after = of_item
        last = key
        of_sound.append(key)
        own = words[key]
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
    key: Key,
    after: Item | None,
    n_solid: int,
    rate_hz: int,
) -> FoundSilence:
    """Return a silence as it is promised: without that which every track begins with."""
    expected = silence.expected
    measured_s = None
    if silence.n_frames is not None and silence.state in {"measured", "interrupted"}:
        edges_s = silence.wait_s - expected.wait_s
        measured_s = Fraction(silence.n_frames, rate_hz) - edges_s - expected.lead_s
    return FoundSilence(
        expected.kind,
        key,
        expected.question,
        after,
        n_solid,
        expected.declared_s,
        measured_s,
        silence.most_s,
        None if silence.at_frame is None else Fraction(silence.at_frame, rate_hz),
        expected.place,
    )


def _n_solid(texts: Sequence[str]) -> int:
    return sum(len(solid(text)) for text in texts)
