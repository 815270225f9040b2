"""The countdown in captions: the time it says against the silence that is measured.

It may stand only if the script declares it, in answer times alone. What a cue says must be left
of the answer time when the cue appears; where one stops and the next begins is the builder's.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.limits.shown import (
    COUNTDOWN_OFF_S,
    FIRST_WITHIN_S,
    MOST_STANDING_S,
    OWED_FROM_S,
)
from pausewright.checker.result.findings import Finding
from pausewright.checker.result.naming import where_of
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.checker.match.measured import MeasuredSilence
    from pausewright.checker.shown.caption_readers import Cue
    from pausewright.script.declared import Settings

REBUILD = "make the captions again from this track's script"
_TIME = r"(?:(?P<min>\d{1,4}) min)? ?(?:(?P<s>\d{1,2}) s)?"


@frozen
class _Left:
    """A measured answer time, or half of one, and what is left when it is over."""

    silence: MeasuredSilence
    start_s: Fraction
    end_s: Fraction
    later_s: Fraction


@frozen
class Countdown:
    """What a track's captions may count down."""

    is_declared: bool
    pattern: re.Pattern[str]
    """What a cue of it looks like."""
    times: tuple[_Left, ...]
    """The measured answer times in order."""

    @classmethod
    def of(cls, settings: Settings, silences: Sequence[MeasuredSilence], rate_hz: int) -> Countdown:
        """Return what may be counted down on a measured track."""
        before, _, after = settings.countdown_wording.partition("{time}")
        pattern = re.compile(re.escape(before) + _TIME + re.escape(after))
        return cls(settings.countdown, pattern, tuple(_measured(silences, rate_hz)))

    def is_count(self, cue: Cue) -> bool:
        """Return whether a cue looks like one of a countdown."""
        return self._said_s(cue) is not None

    def judged(self, name: str, cues: Sequence[Cue]) -> Iterator[Finding]:
        """Give what is wrong with all cues of the countdown in one file, called `name`."""
        if not self.is_declared:
            for cue in cues:
                how = "shows how much time is left, which the script does not declare"
                yield self._off(name, cue, "countdown-undeclared", how)
            return
        for cue in cues:
            yield from self._judged(name, cue)
        for time in self.times:
            yield from self._gaps(name, time, cues)

    def _judged(self, name: str, cue: Cue) -> Iterator[Finding]:
        start_s, end_s = _span(cue)
        time = self._time_of(cue)
        if time is None:
            how = "counts down where there is no answer time"
            yield self._off(name, cue, "countdown-outside", how)
            return
        into_s = max(end_s - time.end_s, time.start_s - start_s)
        if into_s > COUNTDOWN_OFF_S:
            how = "of the countdown stands while there is sound"
            yield self._off(name, cue, "countdown-outside", how, time, (0, into_s, COUNTDOWN_OFF_S))
        said_s = self._said_s(cue) or 0
        left_s = time.end_s - start_s + time.later_s
        if abs(said_s - left_s) > COUNTDOWN_OFF_S:
            how = "says a time that is not left"
            yield self._off(
                name, cue, "countdown-wrong", how, time, (left_s, said_s, COUNTDOWN_OFF_S)
            )
        if end_s - start_s > MOST_STANDING_S + COUNTDOWN_OFF_S:
            how = "of the countdown stands too long: its time is no longer true"
            numbers_s = 0, end_s - start_s, MOST_STANDING_S
            yield self._off(name, cue, "countdown-wrong", how, time, numbers_s)

    def _gaps(self, name: str, time: _Left, cues: Sequence[Cue]) -> Iterator[Finding]:
        """Find an answer time that is not counted down to its end."""
        own = [cue for cue in cues if self._time_of(cue) is time]
        edges_s = [_span(cue) for cue in own]
        if time.end_s - time.start_s < OWED_FROM_S:
            return
        starts_s = [*(start_s for start_s, _ in edges_s), time.end_s]
        ends_s = [time.start_s + FIRST_WITHIN_S, *(end_s for _, end_s in edges_s)]
        if all(s - e <= COUNTDOWN_OFF_S for s, e in zip(starts_s, ends_s, strict=True)):
            return
        expected = time.silence.expected
        yield Finding(
            "countdown-missing",
            "warning",
            f"{name}: the answer time{where_of(expected)} is not counted down to its end",
            REBUILD,
            at_s=time.start_s,
            question=expected.question,
            place=expected.place,
        )

    def _time_of(self, cue: Cue) -> _Left | None:
        """Return the answer time in which a cue stands for the most part; None if in none."""
        start_s, end_s = _span(cue)
        shared = [
            (min(end_s, time.end_s) - max(start_s, time.start_s), -at)
            for at, time in enumerate(self.times)
        ]
        most_s, at = max(shared, default=(Fraction(0), 0))
        return self.times[-at] if most_s > 0 else None

    def _said_s(self, cue: Cue) -> int | None:
        """Return the time that a cue says, in seconds; None if it says none."""
        found = self.pattern.fullmatch(cue.text.replace("\u200b", ""))
        if found is None or not (found["min"] or found["s"]):
            return None
        return 60 * int(found["min"] or 0) + int(found["s"] or 0)

    @staticmethod
    def _off(
        name: str,
        cue: Cue,
        code: str,
        how: str,
        time: _Left | None = None,
        numbers_s: tuple[Fraction | int, Fraction | int, Fraction | int] | None = None,
    ) -> Finding:
        """Return an error; `numbers_s` are what is expected, measured and allowed."""
        expected_s, measured_s, allowed_s = numbers_s or (None, None, None)
        return Finding(
            code,
            "error",
            f"{name}, line {cue.line}: the caption {how}",
            REBUILD,
            at_s=Fraction(cue.start_ms, 1000),
            question=time.silence.expected.question if time else None,
            place=time.silence.expected.place if time else None,
            expected=expected_s,
            measured=measured_s,
            difference=numbers_s[1] - numbers_s[0] if numbers_s else None,
            allowed=allowed_s,
            unit="s",
        )


def _span(cue: Cue) -> tuple[Fraction, Fraction]:
    return Fraction(cue.start_ms, 1000), Fraction(cue.end_ms, 1000)


def _measured(silences: Sequence[MeasuredSilence], rate_hz: int) -> Iterator[_Left]:
    """Give the answer times that could be measured, each with what is left after it.

    An answer time with a cue in its middle is two neighbouring silences of one question.
    """
    for i, silence in enumerate(silences):
        expected = silence.expected
        if expected.kind != "answer-time" or silence.n_frames is None or silence.at_frame is None:
            continue
        later_s = Fraction(0)
        if i + 1 < len(silences) and _are_halves(silence, silences[i + 1]):
            later_s = Fraction(silences[i + 1].n_frames or 0, rate_hz)
        start_s = Fraction(silence.at_frame, rate_hz)
        yield _Left(silence, start_s, start_s + Fraction(silence.n_frames, rate_hz), later_s)


def _are_halves(first: MeasuredSilence, second: MeasuredSilence) -> bool:
    one, other = first.expected, second.expected
    return other.kind == one.kind and other.unit == one.unit and other.place == one.place
