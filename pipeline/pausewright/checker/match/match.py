"""Measured against expected: where each expected sound was heard and how long each silence is."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import field
from fractions import Fraction
from statistics import median
from typing import TYPE_CHECKING

import numpy as np

from pausewright.checker.expect.lengths import (
    OFFSET_LETTERS,
    Rate,
    RateModel,
    fitted_model,
    letters,
)
from pausewright.checker.expect.voice_lengths import estimates
from pausewright.checker.limits.times import (
    HEARD_AS_ONE_S,
    RECORDED_IN_NOISE_S,
    RECORDED_TOLERANCE_S,
    TOLERANCE_S,
)
from pausewright.checker.match.align import BEAM, WIDE_BEAM, Alignment, Chunk, Stretches, align
from pausewright.checker.match.lost_question import Laid, lost_question
from pausewright.checker.match.measured import MeasuredSilence, Measurer
from pausewright.frozen import frozen
from pausewright.wording.line_elements import ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pausewright.checker.expect.expected import Expectation, Unit
    from pausewright.checker.match.measured import Extra, Frames, Recorded

MOST_FITS = 4
"""How often rates are fitted and sounds aligned again; once is enough for a good track."""
FEW_ASTRAY = 20
"""Sounds missing and stretches extra up to which a first alignment is trusted."""
USUAL_PACE_WPM = Fraction(130)
"""At which lengths of voices are looked up; what counts is how they differ between words."""
TRIED_RATES = (0.055, 0.077, 0.105)
"""Seconds a letter: some 200 to 100 words a minute."""


@frozen
class Tolerance:
    """What a silence between speech or tones may differ from its declaration."""

    either_s: Fraction = TOLERANCE_S
    longer_s: Fraction = Fraction(0)
    """What it may be longer beyond that."""
    shorter_s: Fraction = Fraction(0)
    """What it may be shorter beyond that."""
    in_noise: bool = False
    """Whether a room's noise is why."""

    @property
    def hidden_s(self) -> Fraction:
        """What a room's noise may hide of the beginning or the end of a sound; 0 without noise."""
        return self.either_s if self.in_noise else Fraction(0)


@frozen
class Matching:
    """A track laid beside its expectation."""

    heard: tuple[Frames | None, ...]
    """For each expected sound, from its first to its last audible frame; None if missing."""
    alone: tuple[bool, ...]
    """Whether that range holds this sound alone (not one run together with a neighbour)."""
    parts: tuple[tuple[Frames, ...], ...]
    """For each expected sound its stretches."""
    silences: tuple[MeasuredSilence, ...]
    extras: tuple[Extra, ...]
    model: RateModel
    tolerance: Tolerance = field(default_factory=Tolerance)
    """That of silences between speech on this track."""
    recorded: Mapping[int, Recorded] = field(default_factory=dict)
    """What sound files themselves hold, by index of the expected sound."""
    alike: tuple[Unit, ...] = ()
    """Questions of which one is missing, where their lengths cannot tell which; else empty."""


def match(
    expectation: Expectation,
    stretches: Sequence[Frames],
    rate_hz: int,
    n_frames: int,
    recorded: Mapping[int, Recorded] | None = None,
    tolerance: Tolerance | None = None,
) -> Matching:
    """Return where the expected sounds are in a track, and its silences.

    `stretches` are the measured ranges of sound; `recorded` tells by index of the expected
    sound what a sound file itself holds; `tolerance` is that of silences between speech.
    Speech lengths are estimated from the words, at a rate
    fitted to this file: aligned with a first guess, then with fitted rates until nothing changes.
    """
    known = recorded or {}
    return _Matcher(
        expectation, stretches, rate_hz, n_frames, known, tolerance or Tolerance()
    ).matching()


class _Matcher:
    def __init__(
        self,
        expectation: Expectation,
        stretches: Sequence[Frames],
        rate_hz: int,
        n_frames: int,
        recorded: Mapping[int, Recorded],
        tolerance: Tolerance,
    ) -> None:
        self._sounds = expectation.sounds
        self._expected = expectation.silences
        self._stretches = stretches
        self._rate_hz, self._n_frames = rate_hz, n_frames
        self._recorded = recorded
        self._tolerance = tolerance
        self._groups = self._heard_together()
        self._close_s: Mapping[int, float] = {}
        """By index of the expected sound, what its voice needs for the words; only looked up where
        a question is missing."""

    def matching(self) -> Matching:
        alignment, model = self._best_alignment()
        alignment, alike = self._with_lost_question(alignment, model)
        spans: list[Frames | None] = [None] * len(self._sounds)
        alone = [False] * len(self._sounds)
        parts: list[tuple[Frames, ...]] = [()] * len(self._sounds)
        for at, (group, found) in enumerate(zip(self._groups, alignment.found, strict=True)):
            if found is None:
                continue
            heard = tuple(self._stretches[found[0] : found[1]])
            shared = at in alignment.fused or at + 1 in alignment.fused
            for i in range(*group):
                spans[i] = (heard[0][0], heard[-1][1])
                alone[i] = group[1] - group[0] == 1 and not shared
                parts[i] = heard
        allowed = self._tolerance
        expected = [
            MeasuredSilence(s, *self._wait_s(i), allowed.longer_s, allowed.shorter_s)
            for i, s in enumerate(self._expected)
        ]
        measurer = Measurer(expected, self._groups, self._stretches, self._rate_hz, self._n_frames)
        return Matching(
            tuple(spans),
            tuple(alone),
            tuple(parts),
            tuple(measurer.silences(alignment)),
            tuple(measurer.extras(alignment)),
            model,
            self._tolerance,
            self._recorded,
            alike,
        )

    def _with_lost_question(
        self, alignment: Alignment, model: RateModel
    ) -> tuple[Alignment, tuple[Unit, ...]]:
        """Return the alignment, and which questions may be missing, where one as a whole is."""
        if None not in alignment.found:
            return alignment, ()
        self._close_s = self._needed_s(alignment)
        if not self._close_s:
            return alignment, ()
        lost = lost_question(
            Laid(
                self._sounds,
                self._groups,
                [self._chunk(group, model) for group in self._groups],
                self._heard_stretches(),
                float(self._wait_s(len(self._sounds))[0]),
                BEAM,
            ),
            alignment,
        )
        return (alignment, ()) if lost is None else (lost.alignment, lost.alike)

    def _needed_s(self, alignment: Alignment) -> dict[int, float]:
        """Return what known voices need for their words, at the rate that they have here."""
        said = {
            i: e for i, one in enumerate(self._sounds) if isinstance(e := one.element, Utterance)
        }
        rows = estimates(list(said.values()), USUAL_PACE_WPM)
        needed_s = {i: row.seconds for i, row in zip(said, rows, strict=True) if row is not None}
        rates: dict[str, list[float]] = defaultdict(list)
        for (start, end), found in zip(self._groups, alignment.found, strict=True):
            if found is not None and end - start == 1 and start in needed_s:
                n = self._stretches[found[1] - 1][1] - self._stretches[found[0]][0]
                rates[said[start].speech.voice].append(n / self._rate_hz / needed_s[start])
        return {
            i: seconds * median(rates[said[i].speech.voice])
            for i, seconds in needed_s.items()
            if rates[said[i].speech.voice]
        }

    def _best_alignment(self) -> tuple[Alignment, RateModel]:
        """Return the alignment and the rates that suit each other.

        Where much is missing or extra, all the sound of the file says little about the rate of
        the words: other rates are tried too, and sounds are looked for further away.
        """
        alignment = self._aligned(self._first_guess(), BEAM)
        if self._n_astray(alignment) <= FEW_ASTRAY:
            return self._fitted(alignment, BEAM)
        trials = [self._aligned(RateModel(Rate(rate)), WIDE_BEAM) for rate in TRIED_RATES]
        return self._fitted(min([alignment, *trials], key=lambda tried: tried.cost), WIDE_BEAM)

    def _n_astray(self, alignment: Alignment) -> int:
        """Return how many sounds are missing and stretches extra."""
        n_used = sum(end - start for start, end in set(filter(None, alignment.found)))
        return alignment.found.count(None) + len(self._stretches) - n_used

    def _fitted(self, alignment: Alignment, beam: float) -> tuple[Alignment, RateModel]:
        """Return an alignment after fitting rates and aligning until nothing changes."""
        model = RateModel()
        for _ in range(MOST_FITS):
            model = fitted_model(self._measured_words(alignment))
            earlier, alignment = alignment, self._aligned(model, beam)
            if alignment.found == earlier.found:
                break
        return alignment, model

    # ---- expectations for the alignment -----------------------------------------------------

    def _heard_together(self) -> list[tuple[int, int]]:
        """Return half-open ranges of sounds that are looked for as one."""
        groups: list[tuple[int, int]] = []
        for i in range(len(self._sounds)):
            if i and self._wait_s(i)[0] < HEARD_AS_ONE_S:
                groups[-1] = (groups[-1][0], i + 1)
            else:
                groups.append((i, i + 1))
        return groups

    def _wait_s(self, i: int) -> tuple[Fraction, Fraction]:
        """Return what is expected on the file for silence `i`, and its tolerance."""
        wait_s, tolerance_s = self._expected[i].wait_s, self._tolerance.either_s
        beside_s = RECORDED_IN_NOISE_S if self._tolerance.in_noise else RECORDED_TOLERANCE_S
        if i - 1 in self._recorded:
            wait_s += self._recorded[i - 1].trail_s
            tolerance_s = max(tolerance_s, beside_s)
        if i in self._recorded:
            wait_s += self._recorded[i].lead_s
            tolerance_s = max(tolerance_s, beside_s)
        return wait_s, tolerance_s

    def _first_guess(self) -> RateModel:
        """Return a rate from all sound of the file against all words of the script."""
        known_s = 0.0
        n_letters = 0.0
        for i, sound in enumerate(self._sounds):
            if isinstance(sound.element, Utterance):
                n_letters += (letters(sound.element) + OFFSET_LETTERS) / float(
                    sound.element.speech.pace
                )
            elif isinstance(sound.element, ToneCue):
                known_s += float(sound.element.spec.tone_s)
            elif i in self._recorded:
                known_s += float(self._recorded[i].sound_s)
        heard_s = sum(end - start for start, end in self._stretches) / self._rate_hz
        scale = (heard_s - known_s) / n_letters if n_letters else 0.0
        return RateModel(Rate(min(0.13, max(0.05, scale))))

    def _aligned(self, model: RateModel, beam: float) -> Alignment:
        chunks = [self._chunk(group, model) for group in self._groups]
        run_out_s = float(self._wait_s(len(self._sounds))[0])
        return align(chunks, self._heard_stretches(), run_out_s, beam)

    def _heard_stretches(self) -> Stretches:
        starts = np.array([start for start, _ in self._stretches], dtype=np.float64)
        ends = np.array([end for _, end in self._stretches], dtype=np.float64)
        trail_s = (self._n_frames - ends[-1]) / self._rate_hz if len(ends) else 0.0
        return Stretches(starts / self._rate_hz, ends / self._rate_hz, trail_s)

    def _chunk(self, group: tuple[int, int], model: RateModel) -> Chunk:
        total_s: float | None = 0.0
        is_exact, is_close, may_pause, most_parts = True, True, False, 0
        for i in range(*group):
            element = self._sounds[i].element
            seconds: float | None
            if isinstance(element, Utterance):
                seconds = self._close_s.get(i, model.seconds(element))
                is_close = is_close and i in self._close_s
                is_exact = False
                commas = len(re.findall(r"[,;:–—.]\s", element.words))
                most_parts += 3 + commas + int(letters(element)) // 14
            elif isinstance(element, ToneCue):
                seconds = float(element.spec.tone_s)
                most_parts += 1
            else:
                held = self._recorded.get(i)
                seconds = float(held.sound_s) if held else None
                is_exact = is_exact and held is not None and held.is_exact
                may_pause = True
                most_parts += 60
                is_close = False
            total_s = None if total_s is None or seconds is None else total_s + seconds
            if i > group[0] and total_s is not None:
                total_s += float(self._wait_s(i)[0])
        gap_s = float(self._wait_s(group[0])[0])
        first, before = self._sounds[group[0]], self._sounds[group[0] - 1] if group[0] else None
        is_opening = before is None or before.unit != first.unit
        return Chunk(
            gap_before_s=gap_s,
            seconds=total_s,
            is_exact=is_exact,
            most_parts=min(60, most_parts),
            is_opening=is_opening or (before is not None and before.reading != first.reading),
            may_pause=may_pause,
            is_close=is_close and not is_exact,
        )

    def _measured_words(self, alignment: Alignment) -> list[tuple[Utterance, float]]:
        """Return the utterances that were heard alone, each with its seconds; equal ones once."""
        pairs: dict[tuple[object, ...], tuple[Utterance, float]] = {}
        for at, (group, found) in enumerate(zip(self._groups, alignment.found, strict=True)):
            element = self._sounds[group[0]].element
            if found is None or group[1] - group[0] > 1 or not isinstance(element, Utterance):
                continue
            if at in alignment.fused or at + 1 in alignment.fused:
                continue
            n = self._stretches[found[1] - 1][1] - self._stretches[found[0]][0]
            pairs.setdefault((element.spoken, element.speech), (element, n / self._rate_hz))
        return list(pairs.values())
