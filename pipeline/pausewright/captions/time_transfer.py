"""Captions that were made for the standard track, at the times of another arrangement.

A caption keeps to the speech over which it stands: inside a sound it keeps its share of it, before
and after one its distance. It never stands through a silence of the candidates.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.captions.cues import shown_text
from pausewright.frozen import frozen
from pausewright.plan.timeline import Say, Wait
from pausewright.script.recordings.supplied_cues import SuppliedCue, with_inner_times
from pausewright.script.silences import AUTHORS
from pausewright.wording.line_elements import ToneCue

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.plan.timeline import Timeline
    from pausewright.problems import Problems

INTO_SILENCE_MS: Final = 200
"""How far a caption may reach into a silence of the candidates."""
TOUCH_MS: Final = 150
"""A caption that shares less with a sound does not belong to it."""


@frozen
class _Sound:
    """A sound of a track, its times in ms, and the silence after it."""

    step: Say
    key: tuple[object, ...]
    """What it is: the same on both tracks."""
    start_ms: Fraction
    end_ms: Fraction
    is_theirs_after: bool
    """Whether a silence of the candidates comes after it, before the next sound."""


def retime_cues(
    cues: Sequence[SuppliedCue], standard: Timeline, other: Timeline, problems: Problems
) -> tuple[list[SuppliedCue], int]:
    """Return captions of the standard track at the times of another track of the same script.

    The number is that of captions whose words the other track leaves out. Where it has more
    readings, their captions are those of the last reading that both have. `problems` takes
    captions that cannot be right there: while something is heard that may not be shown, where
    other words are said, in a silence of the candidates, after the end of the standard track.
    """
    return _Retimer(standard, other, problems).cues(cues)


class _Retimer:
    def __init__(self, standard: Timeline, other: Timeline, problems: Problems) -> None:
        self._was = _sounds(standard)
        self._now = _sounds(other)
        self._was_ends_ms = Fraction(1000 * standard.n_samples, standard.rate_hz)
        self._now_ends_ms = Fraction(1000 * other.n_samples, other.rate_hz)
        self._problems = problems
        self._source = _sources(self._was, self._now)
        """For each sound of the other track the one of the standard track; −1 if it is new."""
        self._places: dict[int, list[int]] = defaultdict(list)
        for at, source in enumerate(self._source):
            self._places[source].append(at)
        self._told: set[tuple[int, str]] = set()

    def cues(self, cues: Sequence[SuppliedCue]) -> tuple[list[SuppliedCue], int]:
        found: list[SuppliedCue] = []
        n_left_out = 0
        for cue in cues:
            if cue.start_ms >= self._was_ends_ms:
                self._error(
                    cue,
                    "this caption begins after the end of the standard track",
                    "give the file that was made for this script’s standard track",
                )
                continue
            own = self._own(cue)
            made = [*(self._of_sounds(cue, own) if own else self._of_silence(cue))]
            n_left_out += not made
            found += made
        found.sort(key=lambda cue: cue.start_ms)
        return _named_apart(found), n_left_out

    # ---- captions over sounds

    def _own(self, cue: SuppliedCue) -> list[int]:
        """Return the sounds of the standard track over which a caption stands, in order."""
        shared_ms = {
            at: min(sound.end_ms, Fraction(cue.end_ms))
            - max(sound.start_ms, Fraction(cue.start_ms))
            for at, sound in enumerate(self._was)
        }
        over = [at for at, ms in shared_ms.items() if self._is_over(cue, at, ms)]
        most = max(shared_ms, key=lambda at: shared_ms[at], default=0)
        return over or ([most] if shared_ms.get(most, 0) > 0 else [])

    def _is_over(self, cue: SuppliedCue, at: int, shared_ms: Fraction) -> bool:
        """Return whether a sound with which a caption shares some time is one that it is for."""
        sound = self._was[at]
        is_much = 4 * shared_ms >= cue.end_ms - cue.start_ms
        is_most = 2 * shared_ms >= sound.end_ms - sound.start_ms
        return shared_ms > TOUCH_MS and (is_much or is_most)

    def _of_sounds(self, cue: SuppliedCue, own: Sequence[int]) -> Iterator[SuppliedCue]:
        kept = self._unbroken(cue, own)
        for first in self._places[kept[0]]:
            last = first
            while last + 1 < len(self._now) and self._source[last + 1] in kept[1:]:
                if self._now[last].is_theirs_after:
                    break
                last += 1
            self._compare(cue, range(first, last + 1))
            start_ms = self._start_ms(cue, kept[0], first)
            end_ms = self._end_ms(cue, self._source[last], last)
            yield _at(cue, start_ms, max(end_ms, start_ms + 1))

    def _unbroken(self, cue: SuppliedCue, own: Sequence[int]) -> Sequence[int]:
        """Return the sounds of a caption up to the first silence of the candidates."""
        for n, at in enumerate(own[:-1], 1):
            if self._was[at].is_theirs_after:
                self._warn(
                    cue,
                    "this caption stands through a silence of the candidates",
                    "it ends before it now; give what is said after it a caption of its own",
                )
                return own[:n]
        return own

    def _start_ms(self, cue: SuppliedCue, was: int, now: int) -> Fraction:
        old, new = self._was[was], self._now[now]
        into_ms = cue.start_ms - old.start_ms
        if into_ms >= 0:
            return new.start_ms + into_ms * _stretch(old, new)
        before = self._now[now - 1] if now else None
        least_ms = before.end_ms if before else Fraction(0)
        if before and before.is_theirs_after:
            least_ms = max(least_ms, new.start_ms - INTO_SILENCE_MS)
        return max(least_ms, new.start_ms + into_ms)

    def _end_ms(self, cue: SuppliedCue, was: int, now: int) -> Fraction:
        old, new = self._was[was], self._now[now]
        over_ms = cue.end_ms - old.end_ms
        if over_ms <= 0:
            return new.end_ms + over_ms * _stretch(old, new)
        is_told = any(line == cue.place.line for line, _ in self._told)
        if old.is_theirs_after and over_ms > INTO_SILENCE_MS and not is_told:
            self._warn(
                cue,
                "this caption stands on into a silence of the candidates",
                "it ends with its words now",
            )
        if new.is_theirs_after:
            return new.end_ms + (over_ms if over_ms <= INTO_SILENCE_MS else 0)
        is_last = now + 1 == len(self._now)
        most_ms = self._now_ends_ms if is_last else self._now[now + 1].start_ms
        return min(most_ms, new.end_ms + over_ms)

    def _compare(self, cue: SuppliedCue, sounds: range) -> None:
        """Tell what makes a caption wrong on the other track."""
        for at in sounds:
            now, was = self._now[at].step, self._was[self._source[at]].step
            text, said = shown_text(now), shown_text(was)
            if not text and not isinstance(now.element, ToneCue):
                what = f"question {now.question}" if now.question else "something"
                self._error(
                    cue,
                    f"this caption stands while {what} is heard, which may not be "
                    "shown in this arrangement",
                    "take it out, or let captions show it: captions: everything",
                )
            elif said and text != said:
                self._warn(
                    cue,
                    f"this arrangement says ‘{text}’ where the standard track says ‘{said}’",
                    "change the words of this caption by hand",
                )

    # ---- captions in silences

    def _of_silence(self, cue: SuppliedCue) -> Iterator[SuppliedCue]:
        """Give a caption that stands in a silence: it keeps its distance to the nearer sound."""
        after = next((at for at, s in enumerate(self._was) if s.start_ms >= cue.end_ms), None)
        before = (len(self._was) if after is None else after) - 1
        if before >= 0 and self._was[before].is_theirs_after:
            self._warn(
                cue,
                "this caption stands in a silence of the candidates",
                "what it says of time may be wrong here; countdown: shown in the settings "
                "makes a countdown",
            )
        lead_ms = None if after is None else self._was[after].start_ms - cue.end_ms
        lag_ms = None if before < 0 else cue.start_ms - self._was[before].end_ms
        if lag_ms is not None and (lead_ms is None or lag_ms <= lead_ms):
            for now in self._places[before]:
                limit_ms = self._now[now + 1].start_ms if now + 1 < len(self._now) else None
                start_ms = self._now[now].end_ms + lag_ms
                yield _within(cue, start_ms, self._now[now].end_ms, limit_ms or self._now_ends_ms)
        elif lead_ms is not None and after is not None:
            for now in self._places[after]:
                least_ms = self._now[now - 1].end_ms if now else Fraction(0)
                start_ms = self._now[now].start_ms - lead_ms - (cue.end_ms - cue.start_ms)
                yield _within(cue, start_ms, least_ms, self._now[now].start_ms)

    # ---- problems, each once a caption

    def _error(self, cue: SuppliedCue, message: str, hint: str) -> None:
        if (cue.place.line, message) not in self._told:
            self._told.add((cue.place.line, message))
            self._problems.error(cue.place, message, hint, code="caption-retimed")

    def _warn(self, cue: SuppliedCue, message: str, hint: str) -> None:
        if (cue.place.line, message) not in self._told:
            self._told.add((cue.place.line, message))
            self._problems.warn(cue.place, message, hint, code="caption-retimed")


def unlike(standard: Timeline, other: Timeline) -> list[Say]:
    """Return the sounds of another track that the standard one does not have, and may be shown."""
    now = _sounds(other)
    sources = _sources(_sounds(standard), now)
    return [
        sound.step
        for sound, source in zip(now, sources, strict=True)
        if source < 0 and shown_text(sound.step)
    ]


def _sounds(line: Timeline) -> list[_Sound]:
    count: dict[tuple[object, ...], int] = defaultdict(int)
    found: list[_Sound] = []
    for index, placed in enumerate(line.placed):
        step = placed.step
        if not isinstance(step, Say):
            continue
        what = (step.element.place, step.role, step.question, step.reading)
        key = (*what, count[what])
        count[what] += 1
        start_ms, end_ms = (
            Fraction(1000 * sample, line.rate_hz)
            for sample in (placed.start_sample, placed.end_sample)
        )
        found.append(_Sound(step, key, start_ms, end_ms, _is_theirs_after(line, index)))
    return found


def _is_theirs_after(line: Timeline, index: int) -> bool:
    for placed in line.placed[index + 1 :]:
        if isinstance(placed.step, Say):
            return False
        if isinstance(placed.step, Wait) and placed.step.kind not in AUTHORS:
            return True
    return False


def _sources(was: Sequence[_Sound], now: Sequence[_Sound]) -> list[int]:
    """Return for each sound of a track the same one of the standard track; −1 for a new one.

    Equal is what stands at one place of the script, in the same reading, or in a later one that
    the standard track does not have: then in its last one.
    """
    known = {sound.key: at for at, sound in enumerate(was)}
    readings: dict[tuple[object, ...], int] = defaultdict(int)
    for sound in was:
        what = sound.key[:-2]
        readings[what] = max(readings[what], sound.step.reading)
    found = []
    for sound in now:
        what, nth = sound.key[:-2], sound.key[-1]
        in_last_reading = (*what, readings[what], nth)
        is_further = sound.step.reading > readings[what]
        found.append(known.get(in_last_reading if is_further else sound.key, -1))
    return found


def _stretch(old: _Sound, new: _Sound) -> Fraction:
    return (new.end_ms - new.start_ms) / max(Fraction(1), old.end_ms - old.start_ms)


def _within(
    cue: SuppliedCue, start_ms: Fraction, least_ms: Fraction, most_ms: Fraction
) -> SuppliedCue:
    """Return a caption inside a silence, as near to its place as its length allows."""
    length_ms = cue.end_ms - cue.start_ms
    start_ms = max(least_ms, min(start_ms, most_ms - length_ms))
    return _at(cue, start_ms, max(start_ms + 1, min(start_ms + length_ms, most_ms)))


def _at(cue: SuppliedCue, start_ms: Fraction, end_ms: Fraction) -> SuppliedCue:
    """Return a caption at another time, in whole milliseconds, to the nearest, halves up."""
    first_ms = math.floor(start_ms + Fraction(1, 2))
    last_ms = math.floor(end_ms + Fraction(1, 2))
    return with_inner_times(cue, first_ms, max(first_ms + 1, last_ms))


def _named_apart(cues: Sequence[SuppliedCue]) -> list[SuppliedCue]:
    """Return captions of which no two have one name: those of further readings get a number."""
    given = {cue.identifier for cue in cues}
    seen: set[str] = set()
    found = []
    for cue in cues:
        name, number = cue.identifier, 1
        while name and (name in seen or (number > 1 and name in given)):
            number += 1
            name = f"{cue.identifier}-{number}"
        seen.add(name)
        found.append(replace(cue, identifier=name))
    return found
