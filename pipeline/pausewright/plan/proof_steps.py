"""The steps of a proof: all that is said, in little time, for those who listen to what was made.

Candidates' silences over a second and holds last one second, a reading that is the same sound once
more is named and left out, and it is said at the start and each minute that this is a proof.
"""

from __future__ import annotations

import itertools
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.frozen import frozen
from pausewright.plan.clock import Clock
from pausewright.plan.timeline import Say, Wait
from pausewright.script.silences import CANDIDATES

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from pausewright.plan.timeline import Questions, Step
    from pausewright.wording.line_elements import SoundElement

LONGEST_S: Final = Fraction(1)
"""What is left of a candidates' silence, and of every hold."""
EVERY_S: Final = Fraction(60)
"""So often it is said that this is a proof."""
PAUSE_S: Final = Fraction(4, 5)
"""After those words, and after those that stand for a reading."""


@frozen
class ProofWords:
    """What only a proof says."""

    is_proof: tuple[SoundElement, ...]
    same_reading: tuple[SoundElement, ...]


@frozen
class LeftOut:
    """A reading that was the same sound once more."""

    question: Questions | None
    reading: int


def proof_steps(
    steps: Sequence[Step],
    words: ProofWords,
    n_sound_samples: Callable[[SoundElement], int],
    rate_hz: int,
    *,
    all_readings: bool,
) -> tuple[tuple[Step, ...], tuple[LeftOut, ...]]:
    """Return the steps of a proof, and which readings were left out.

    Parameters
    ----------
    steps : of the track
    words : what only a proof says
    n_sound_samples : the length of a sound, at `rate_hz`
    rate_hz : samples a second
    all_readings : whether readings that are the same sound stay
    """
    left_out: list[LeftOut] = []
    kept = list(steps) if all_readings else list(_without_same(steps, words, left_out))
    shorter = [_shortened(step) for step in kept]
    clock = Clock(rate_hz)
    return tuple(_told(shorter, words, n_sound_samples, clock)), tuple(left_out)


def _shortened(step: Step) -> Step:
    if isinstance(step, Wait) and step.kind == "hold":
        return replace(step, wait_s=LONGEST_S)
    if isinstance(step, Wait) and step.kind in CANDIDATES:
        return replace(step, wait_s=min(step.wait_s, LONGEST_S))
    return step


def _without_same(
    steps: Sequence[Step], words: ProofWords, left_out: list[LeftOut]
) -> Iterator[Step]:
    """Give the steps, in place of what was heard in an earlier reading the words that say so."""
    heard: dict[tuple[int, Questions | None], dict[SoundElement, int]] = {}
    named: tuple[object, ...] = ()
    is_left_out = False
    for step in steps:
        if isinstance(step, Wait):
            is_authors = step.kind not in CANDIDATES and step.kind not in {"hold", "run-out"}
            if is_left_out and is_authors:
                continue
            is_left_out = False
            yield step
        elif isinstance(step, Say) and step.role in {"question", "passage"}:
            known = heard.setdefault((step.block, step.question), {})
            if known.setdefault(step.element, step.reading) < step.reading:
                whose = step.block, step.question, step.reading
                if named != whose:
                    left_out.append(LeftOut(step.question, step.reading))
                    yield from _said(words.same_reading, step.block, is_first=not is_left_out)
                named, is_left_out = whose, True
                continue
            if is_left_out:
                yield Wait("default-pause", PAUSE_S, block=step.block)
            is_left_out = False
            yield step
        else:
            if is_left_out and isinstance(step, Say):
                yield Wait("default-pause", PAUSE_S, block=step.block)
                is_left_out = False
            yield step


def _said(line: tuple[SoundElement, ...], block: int, *, is_first: bool = True) -> Iterator[Step]:
    """Give a line of one sentence, a pause before it where something was left out just before."""
    if not is_first:
        yield Wait("default-pause", PAUSE_S, block=block)
    for element in line:
        yield Say(element, "cue", captioned=False, block=block)


def _told(
    steps: Sequence[Step],
    words: ProofWords,
    n_sound_samples: Callable[[SoundElement], int],
    clock: Clock,
) -> Iterator[Step]:
    """Give the steps, and so often as a minute is full that this is a proof, between two sounds."""
    every = clock.samples(EVERY_S)
    n_own = sum(map(n_sound_samples, words.is_proof)) + clock.samples(PAUSE_S)
    lengths = [_n_samples(step, n_sound_samples, clock) for step in steps]
    at = 0
    last: int | None = None
    for k, step in enumerate(steps):
        if isinstance(step, Say):
            # the next place for those words is before the next sound
            until = at + lengths[k] + _n_until_sound(steps, lengths, k + 1)
            if last is None or until - last > every:
                last = at
                yield from _said(words.is_proof, -1)
                yield Wait("default-pause", PAUSE_S)
                at += n_own
        at += lengths[k]
        yield step


def _n_samples(step: Step, n_sound_samples: Callable[[SoundElement], int], clock: Clock) -> int:
    if isinstance(step, Say):
        return n_sound_samples(step.element)
    return clock.samples(step.wait_s) if isinstance(step, Wait) else 0


def _n_until_sound(steps: Sequence[Step], lengths: Sequence[int], k: int) -> int:
    """Return how many samples of silence lie from step `k` to the next sound."""
    silent = itertools.takewhile(lambda n: not isinstance(steps[n], Say), range(k, len(steps)))
    return sum(lengths[n] for n in silent)
