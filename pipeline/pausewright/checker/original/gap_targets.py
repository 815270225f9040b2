"""How long each silence of a version must be: the recording's own gap, times what is declared."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

from pausewright.checker.limits.recording import NOISY_BELOW_SPEECH_DB
from pausewright.checker.limits.times import IN_NOISE_S, RECORDED_TOLERANCE_S, TOLERANCE_S
from pausewright.frozen import frozen
from pausewright.wording.line_elements import Excerpt

if TYPE_CHECKING:
    from pausewright.checker.expect.expected import Expectation, ExpectedSilence, ExpectedSound
    from pausewright.checker.expect.extra_time import Granted
    from pausewright.checker.original.stretches import Original

Key: TypeAlias = "tuple[Fraction | None, Fraction | None] | None"


@frozen
class OwnGap:
    """A gap of the recording, as the standard script names it: [start, end) in frames."""

    silence: ExpectedSilence
    start: int
    end: int
    doubt: int
    """By how many frames its edges may be off."""

    def is_alike(self, silence: ExpectedSilence) -> bool:
        """Return whether a silence of a version is this one."""
        own = self.silence
        return (own.kind, own.question) == (silence.kind, silence.question)


@frozen
class Target:
    """What a silence of a version must be."""

    wait_s: Fraction
    tolerance_s: Fraction
    own: OwnGap | None
    """The gap of the recording that it stands for."""
    is_untouched: bool
    """Whether it must be that gap, sample for sample."""
    is_joined: bool = False
    """Whether what stands beside it stands beside that gap in the recording, and nothing else."""


def key_of(sound: ExpectedSound | None) -> Key:
    """Return what identifies a stretch, whatever its pace; None for what is no stretch."""
    if sound is None or not isinstance(sound.element, Excerpt):
        return None
    return sound.element.sound.from_s, sound.element.sound.to_s


def is_slowed(sound: ExpectedSound | None) -> bool:
    """Return whether a stretch has another pace than in the recording."""
    return _pace(sound) != 1


def _pace(sound: ExpectedSound | None) -> Fraction:
    if sound is None or not isinstance(sound.element, Excerpt):
        return Fraction(1)
    return sound.element.sound.arranged_pace


class GapTargets:
    """Knows the gaps of the recording by what stands beside them."""

    def __init__(self, standard: Expectation, original: Original) -> None:
        """Take what the standard script says, which is the recording itself."""
        self._original = original
        self.order: list[Key] = []
        self._after: dict[Key, OwnGap] = {}
        self._before: dict[Key, OwnGap] = {}
        self._gaps: list[OwnGap] = []
        last: Key = None
        end = doubt = 0
        for silence, sound in zip(standard.silences, (*standard.sounds, None), strict=True):
            start, more = original.samples.n_frames, 0
            if sound is not None and isinstance(sound.element, Excerpt):
                found = original.stretch(sound.element.sound)
                start, more = found.start, found.doubt
            key = key_of(sound)
            if start >= end and last not in self._after:
                gap = OwnGap(silence, end, start, doubt + more)
                self._after[last] = gap
                self._before[key] = gap
                self._gaps.append(gap)
            if sound is not None and isinstance(sound.element, Excerpt):
                end, doubt = found.end, found.doubt
            last = key

    def targets(self, granted: Granted) -> list[Target]:
        """Return one for each silence of a version, in order."""
        sounds = granted.expectation.sounds
        longer = {one.index: one for one in granted.longer}
        found = []
        for i, silence in enumerate(granted.expectation.silences):
            before = sounds[i - 1] if i else None
            after = sounds[i] if i < len(sounds) else None
            own = self._own(silence, before, after, i, len(sounds))
            one = longer.get(i)
            share = Fraction(1)
            lump_s = Fraction(0)
            if one is not None and one.before_s:
                share, lump_s = (one.before_s + one.spread_s) / one.before_s, one.lump_s
            found.append(self._target(silence, own, share, lump_s, before, after))
        return found

    def _own(
        self,
        silence: ExpectedSilence,
        before: ExpectedSound | None,
        after: ExpectedSound | None,
        i: int,
        n_sounds: int,
    ) -> OwnGap | None:
        if i == 0:
            return self._after.get(None)
        if i == n_sounds:
            return self._before.get(None)
        left = self._after.get(key_of(before)) if key_of(before) else None
        right = self._before.get(key_of(after)) if key_of(after) else None
        for one in (left, right):
            if one is not None and one.is_alike(silence):
                return one
        if left is not None and left == right:
            return left
        alike = [one for one in self._gaps if one.is_alike(silence) and silence.question]
        same = [one for one in alike if one.silence.reading == silence.reading]
        found = same or alike
        return found[-1] if found else None

    def _target(
        self,
        silence: ExpectedSilence,
        own: OwnGap | None,
        share: Fraction,
        lump_s: Fraction,
        before: ExpectedSound | None,
        after: ExpectedSound | None,
    ) -> Target:
        rate_hz = self._original.rate_hz
        is_joined = own is not None and (
            self._after.get(key_of(before)) == own == self._before.get(key_of(after))
        )
        wait_s, is_same = silence.wait_s, False
        change = Fraction(0)
        if own is not None:
            own_s = Fraction(own.end - own.start, rate_hz)
            if silence.kind in {"lead-in", "run-out"}:
                wait_s, is_same = own_s, True
            elif own.silence.kind != silence.kind:
                wait_s = max(own_s, silence.wait_s)
                is_same = wait_s == own_s
            elif share != 1 or lump_s:
                wait_s, change = own_s * share + lump_s, share - 1
            elif silence.wait_s == own.silence.wait_s:
                wait_s, is_same = own_s, True
        doubt_s = Fraction(0) if own is None else Fraction(own.doubt, rate_hz)
        if is_slowed(before) or is_slowed(after):
            tolerance_s = max(TOLERANCE_S + abs(change) * doubt_s, RECORDED_TOLERANCE_S)
            tolerance_s += doubt_s / min(Fraction(1), _pace(before), _pace(after))
        else:
            # beside another stretch than in the recording, its edges are other edges
            tolerance_s = TOLERANCE_S + (abs(change) if is_joined else 1) * doubt_s
        own_words = [one for one in (before, after) if one is not None and key_of(one) is None]
        if own_words:
            tolerance_s = max(tolerance_s, IN_NOISE_S if self._is_noisy() else RECORDED_TOLERANCE_S)
        is_same = is_same and is_joined and not own_words
        return Target(wait_s, tolerance_s, own, is_same, is_joined and not own_words)

    def _is_noisy(self) -> bool:
        quiet = [self._original.quiet_db(one.start, one.end) for one in self._gaps]
        loudest = max((float(one.max()) for one in quiet if len(one)), default=-200.0)
        return loudest > self._original.speech_db - NOISY_BELOW_SPEECH_DB
