"""What a stop in a room means, worked out from ffmpeg's silences and the script: an oracle.

ffmpeg's silencedetect says where the finished track is silent; the check's reading of the script
says which sounds and silences come in which order. Nothing of the builder's plan is used.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import imageio_ffmpeg
import soundfile
from bench import silences_by_ffmpeg
from pausewright.checker.expect.expect import expect
from pausewright.checker.judge.arrangement_effects import expected_of
from pausewright.script.model import Stop
from pausewright.wording.line_elements import Excerpt, ToneCue

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.checker.expect.expected import ExpectedSilence, ExpectedSound
    from pausewright.wording.line_elements import SoundElement
    from pausewright.wording.worded import Worded

CANDIDATES: Final = {
    "look-time",
    "between-readings",
    "answer-time",
    "phrase-time",
    "between-phrase-readings",
    "page-turn-time",
    "extra-time",
}
"""docs/script-language.md, "Silence": the candidates' own."""
NOT_TIMED: Final = {"default", "arrangement"}
"""A rest without a length of its own is ended by a person."""
SHORTEST_S: Final = 0.12
"""Silences that ffmpeg is asked for."""
LEAST_S: Final = 0.2
"""docs/staff-papers.md: in shorter silences nobody goes on."""
SKIPPED_COST, WIDE_S = 0.02, 0.3


@dataclass(frozen=True, slots=True)
class Gap:
    """A silence as ffmpeg found it, and which one of the script it is."""

    start_s: float
    end_s: float
    index: int
    """In the order of the script; -1 for one inside a sound."""


@dataclass(frozen=True, slots=True)
class Told:
    """What the oracle says of a stop."""

    resume: tuple[float, float]
    """The silence in which it goes on."""
    is_edge: bool
    """Whether the stop is so near the edge of a silence that either side is right."""
    owed_s: float | None = None
    """None outside the candidates' silences."""


class Oracle:
    """Answers for one delivered track."""

    def __init__(self, track: Path, worded: Worded, threshold_dbfs: float = -60) -> None:
        """Measure the track, and find the script's silences in it."""
        expectation = expected_of(expect(worded), worded).expectation
        self._silences: Sequence[ExpectedSilence] = expectation.silences
        self._sounds: Sequence[ExpectedSound] = expectation.sounds
        self._rests = {
            stop.place
            for _, _, stop in worded.script.blocks()
            if isinstance(stop, Stop) and stop.rest and stop.hold_s.origin not in NOT_TIMED
        }
        ffmpeg = imageio_ffmpeg.get_ffmpeg_exe()
        found = silences_by_ffmpeg(ffmpeg, track, threshold_dbfs, shortest_s=SHORTEST_S)
        quiet = [_quiet_ends(ffmpeg, one.element, threshold_dbfs) for one in self._sounds]
        beside = [
            (quiet[at - 1][1] if at else 0.0, quiet[at][0] if at < len(quiet) else 0.0)
            for at in range(len(self._silences))
        ]
        self.gaps = _aligned(found, self._silences, beside)

    def told(self, at_s: float, edge_s: float) -> Told:
        """Return what a stop at a place means."""
        starts = [one.start_s for one in self.gaps]
        near = [t for one in self.gaps for t in (one.start_s, one.end_s)]
        is_edge = any(abs(at_s - one) < edge_s for one in near)
        here = self.gaps[max(0, bisect_right(starts, at_s) - 1)]
        is_silent = here.start_s <= at_s < here.end_s
        if is_silent and here.index >= 0:
            kind = self._silences[here.index].kind
            if kind == "hold" and self._silences[here.index].place not in self._rests:
                return Told((here.start_s, here.end_s), is_edge)
            if kind in CANDIDATES or kind == "hold":
                return Told((here.start_s, here.end_s), is_edge, here.end_s - at_s)
            if kind not in {"lead-in", "run-out"} and self._is_one(here.index - 1, here.index):
                return Told(self._before(here.index - 1), is_edge)
            return Told((here.start_s, here.end_s), is_edge)
        before = max((g.index for g in self.gaps if g.start_s <= at_s), default=-1)
        return Told(self._before(before), is_edge)

    def _is_one(self, first: int, second: int) -> bool:
        """Return whether two sounds that follow each other are heard as one.

        docs/staff-papers.md, "A stop that nobody planned": one reading with its announcement.
        """
        return self._unit(first) == self._unit(second)

    def _unit(self, index: int) -> object:
        one = self._sounds[index]
        if one.role == "continues" or _is_continuation(one.element):
            return "continues"
        role: str = one.role
        if role == "announcement":
            # it belongs to what it announces, which is the next that is no announcement
            later = (sound for sound in self._sounds[index:] if sound.role != "announcement")
            after = next(later, one)
            is_same = (after.question, after.reading) == (one.question, one.reading)
            role = after.role if is_same and after.role != "announcement" else "question"
        return role, one.question, one.reading

    def _before(self, sound: int) -> tuple[float, float]:
        """Return the silence before the reading that a sound belongs to."""
        while sound > 0 and self._is_one(sound - 1, sound):
            kind = self._silences[sound].kind
            if (kind in CANDIDATES or kind == "hold") and kind != "look-time":
                break
            sound -= 1
        while sound > 0 and self._is_too_short(sound):
            sound -= 1
        return next((g.start_s, g.end_s) for g in self.gaps if g.index == sound)

    def _is_too_short(self, sound: int) -> bool:
        """Return whether the silence before a sound is no place to go on from."""
        found = [one for one in self.gaps if one.index == sound]
        return not found or found[0].end_s - found[0].start_s < LEAST_S


def _quiet_ends(ffmpeg: str, element: SoundElement, threshold_dbfs: float) -> tuple[float, float]:
    """Return how long a recording, laid as it is, is silent at its beginning and at its end.

    Its own silence is part of it (docs/script-language.md, "Recorded sounds"), and ffmpeg hears it
    as one with the script's silence beside it. Measured by ffmpeg on the recording's own file.
    """
    if not isinstance(element, Excerpt) or element.sound.edges != "as recorded":
        return 0.0, 0.0
    sound = element.sound
    length_s = soundfile.info(str(sound.file)).duration
    from_s = float(sound.from_s or 0)
    to_s = length_s if sound.to_s is None else min(length_s, float(sound.to_s))
    head_s = tail_s = 0.0
    for start_s, silent_s in silences_by_ffmpeg(
        ffmpeg, sound.file, threshold_dbfs, shortest_s=SHORTEST_S
    ):
        end_s = start_s + silent_s
        if start_s <= from_s + SHORTEST_S < end_s:
            head_s = end_s - from_s
        if start_s < to_s - SHORTEST_S <= end_s:
            tail_s = to_s - start_s
    return head_s / float(sound.arranged_pace), tail_s / float(sound.arranged_pace)


def _is_continuation(element: SoundElement) -> bool:
    return isinstance(element, ToneCue) and element.name == "continuation"


def _aligned(
    found: Sequence[tuple[float, float]],
    wanted: Sequence[ExpectedSilence],
    beside: Sequence[tuple[float, float]],
) -> list[Gap]:
    """Match silences in order: each of the script was found, or is too short for it.

    `beside` are the quiet ends of recordings before and after each, which are none of it.
    """
    lengths_s = [
        float(one.wait_s) + before + after
        for one, (before, after) in zip(wanted, beside, strict=True)
    ]
    n_wanted, n_found = len(wanted), len(found)
    infinite = float("inf")
    cost = [[infinite] * (n_found + 1) for _ in range(n_wanted + 1)]
    cost[0] = [SKIPPED_COST * at for at in range(n_found + 1)]
    for i, wait_s in enumerate(lengths_s, 1):
        lost = 0.0 if wait_s < SHORTEST_S + 0.05 else 5.0
        for j in range(n_found + 1):
            best = cost[i - 1][j] + lost
            if j:
                best = min(best, cost[i][j - 1] + SKIPPED_COST)
                off_s = abs(found[j - 1][1] - wait_s)
                if off_s < WIDE_S:
                    best = min(best, cost[i - 1][j - 1] + off_s)
            cost[i][j] = best
    gaps: list[Gap] = []
    i, j = n_wanted, n_found
    while j:
        start_s, length_s = found[j - 1]
        wait_s = lengths_s[i - 1] if i else 0
        off_s = abs(length_s - wait_s)
        if i and off_s < WIDE_S and cost[i][j] == cost[i - 1][j - 1] + off_s:
            before, after = beside[i - 1]
            gaps.append(Gap(start_s + before, start_s + length_s - after, i - 1))
            i, j = i - 1, j - 1
        elif cost[i][j] == cost[i][j - 1] + SKIPPED_COST:
            gaps.append(Gap(start_s, start_s + length_s, -1))
            j -= 1
        else:
            i -= 1
    return gaps[::-1]
