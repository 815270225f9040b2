"""What was to stay the same: samples against samples; what was put in against the room."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.checker.limits.recording import (
    GAIN_RESIDUE_DB,
    KEPT_S,
    LOSSY_LIKENESS,
    LOSSY_RESIDUE_DB,
)
from pausewright.checker.original.gap_targets import is_slowed
from pausewright.checker.original.gaps_kept import gaps_kept
from pausewright.checker.original.rooms_kept import room_findings
from pausewright.checker.original.sides import Sides
from pausewright.checker.original.slowed_speech import slowed_findings
from pausewright.checker.result.findings import BUILD, Finding
from pausewright.checker.result.naming import where_of
from pausewright.checker.result.proofs import Comparison
from pausewright.wording.line_elements import Excerpt

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from pausewright.checker.expect.expected import Expectation
    from pausewright.checker.match.measured import Frames
    from pausewright.checker.original.exact_samples import Samples
    from pausewright.checker.original.gap_targets import Target
    from pausewright.checker.original.stretches import Original

_BLOCK: Final = 1 << 16


class SameAsRecorded:
    """Compares a track with its recording."""

    def __init__(
        self,
        track: Samples,
        original: Original,
        expected: Expectation,
        targets: Sequence[Target],
        *,
        keeps_level: bool,
    ) -> None:
        """Keep both sides; `keeps_level` says that no other loudness is declared."""
        self._sides = Sides(track, original, expected, targets, keeps_level)
        self._keeps_level = keeps_level
        self._track = track
        self._original = original
        self._expected = expected
        self._targets = targets
        self._rate_hz = track.rate_hz
        self._changed: set[Frames] = set()
        self.gain = 1.0

    # ---- the file

    def format_findings(self, name: str) -> list[Finding]:
        """Return what of rate, channels and depth is not the recording's."""
        track, recording = self._track, self._original.samples
        pairs = [
            ("samples a second", recording.rate_hz, track.rate_hz),
            ("channels", recording.n_channels, track.n_channels),
        ]
        found = [
            Finding(
                "recording-format",
                "error",
                f"the track has {there} {what}, the recording ‘{name}’ has {asked}",
                BUILD,
                expected=asked,
                measured=there,
            )
            for what, asked, there in pairs
            if asked != there
        ]
        if track.depth and recording.depth and track.depth != recording.depth:
            found.append(
                Finding(
                    "recording-format",
                    "error",
                    f"the track is {track.depth}, the recording ‘{name}’ {recording.depth}",
                    BUILD,
                )
            )
        return found

    def caution(self, name: str) -> str:
        """Return the line that tells what was compared."""
        n_same = at = 0
        for start, end in sorted(self._sides.same):
            n_same += max(0, end - max(start, at))
            at = max(at, end)
        same_s, all_s = n_same / self._rate_hz, self._track.n_frames / self._rate_hz
        how = (
            "sample for sample" if self._sides.is_exact else "but for what coding or a gain changes"
        )
        return (
            f"Compared with the recording ‘{name}’: {same_s:,.1f} s of {all_s:,.1f} s are its own, "
            f"{how}."
        )

    # ---- what is heard

    def findings(self, spans: Sequence[Frames | None]) -> list[Finding]:
        """Return all that is not as recorded or as declared; `spans` are those of the sounds."""
        self.gain = self._gain(spans)
        return [
            *self._kept(spans),
            *gaps_kept(self._sides, spans),
            *slowed_findings(self._sides, spans),
            *room_findings(self._sides, spans, self.gain),
        ]

    def comparison(self, name: str, spans: Sequence[Frames | None], pace: Fraction) -> Comparison:
        """Return how the track compares with the recording, as tracks are with the standard one."""
        ratios = []
        own_s = there_s = Fraction(0)
        n_partners = n_alike = 0
        for sound, span in zip(self._expected.sounds, spans, strict=True):
            if span is None or not isinstance(sound.element, Excerpt):
                continue
            n_partners += 1
            found = self._original.stretch(sound.element.sound)
            if not is_slowed(sound):
                n_alike += span not in self._changed
                continue
            own_s += found.end - found.start
            there_s += span[1] - span[0]
            ratios.append(Fraction(found.end - found.start, span[1] - span[0]))
        untouched = sum(target.is_untouched for target in self._targets)
        return Comparison(
            name,
            len(spans),
            n_partners,
            n_alike,
            untouched,
            pace,
            own_s / there_s if there_s else None,
            (min(ratios), max(ratios)) if ratios else None,
        )

    def _gain(self, spans: Sequence[Frames | None]) -> float:
        """Return what the recording's samples are multiplied by, where a loudness is asked."""
        if self._keeps_level:
            return 1.0
        found = []
        for _, span, start in self._as_they_were(spans):
            n = min(span[1] - span[0], 5 * self._rate_hz)
            own = self._original.samples.read(start, start + n)
            there = self._track.read(span[0], span[0] + n)
            found.append(float((own * there).sum() / ((own**2).sum() or 1.0)))
        return float(np.median(found)) if found else 1.0

    def _as_they_were(self, spans: Sequence[Frames | None]) -> Iterator[tuple[int, Frames, int]]:
        """Give each stretch at its own pace: index, where it is, and its start in the recording."""
        for i, (sound, span) in enumerate(zip(self._expected.sounds, spans, strict=True)):
            if span is not None and isinstance(sound.element, Excerpt) and not is_slowed(sound):
                yield i, span, self._original.stretch(sound.element.sound).start

    def _kept(self, spans: Sequence[Frames | None]) -> Iterator[Finding]:
        """Find speech, and gaps that nothing changes, that are not as they were."""
        margin = int(KEPT_S * self._rate_hz)
        starts = {i: start for i, _, start in self._as_they_were(spans)}
        last = len(self._expected.sounds)
        for i, span, start in self._as_they_were(spans):
            before, after = self._targets[i], self._targets[i + 1]
            first, end = span[0] - min(margin, self._room(before)), span[1]
            end += min(margin, self._room(after))
            if before.is_untouched and (i == 0 or i - 1 in starts):
                earlier = spans[i - 1] if i else None
                first = earlier[1] if earlier else 0
            if after.is_untouched and i + 1 == last:
                end = self._track.n_frames
            at = self._differs(first, end, start - span[0])
            if at is not None:
                self._changed.add(span)
                sound = self._expected.sounds[i]
                is_gap = not span[0] <= at < span[1]
                yield Finding(
                    "recording-changed",
                    "error",
                    f"{'beside' if is_gap else 'in'} the recording's words{where_of(sound)} the "
                    "track is not as the recording is, and nothing declares a change there",
                    BUILD,
                    at_s=Fraction(at, self._rate_hz),
                    question=sound.question,
                    place=sound.place,
                )

    def _room(self, target: Target) -> int:
        """Return how much beside speech may be compared: half of the recording's own gap."""
        return 0 if target.own is None else (target.own.end - target.own.start) // 2

    def _differs(self, start: int, end: int, shift: int) -> int | None:
        """Return the first frame of [start, end) that is not the recording's; None if all are."""
        start = max(0, start)
        for at in range(start, end, _BLOCK):
            stop = min(end, at + _BLOCK)
            there = self._track.read(at, stop)
            own = self._original.samples.read(at + shift, stop + shift) * self.gain
            if self._sides.is_exact:
                wrong = np.flatnonzero((there != own).any(axis=1))
                if len(wrong):
                    return at + int(wrong[0])
            elif not self._is_alike(there, own):
                return at
            self._sides.same.append((at, stop))
        return None

    def _is_alike(self, there: NDArray[np.float64], own: NDArray[np.float64]) -> bool:
        speech = 10 ** (self._original.speech_db / 10) * self.gain**2
        residue = float(((there - own) ** 2).mean())
        if self._track.depth:
            return residue <= speech * 10 ** (GAIN_RESIDUE_DB / 10)
        energy = float(np.sqrt((there**2).sum() * (own**2).sum()))
        loud = float((own**2).mean()) > speech * 1e-3
        is_coding = residue <= speech * 10 ** (LOSSY_RESIDUE_DB / 10)
        return not loud or is_coding or float((there * own).sum()) >= LOSSY_LIKENESS * energy
