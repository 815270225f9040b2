"""Slowed speech of a recording: it lasts as long as declared, and is no higher or lower."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.limits.recording import PITCH_SHARE, SLOWED_S, SLOWED_SHARE
from pausewright.checker.original.gap_targets import is_slowed
from pausewright.checker.original.pitch import pitch_share
from pausewright.checker.result.findings import BUILD, LISTEN, Finding
from pausewright.checker.result.naming import where_of
from pausewright.wording.line_elements import Excerpt

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pausewright.checker.match.measured import Frames
    from pausewright.checker.original.sides import Sides


def slowed_findings(sides: Sides, spans: Sequence[Frames | None]) -> Iterator[Finding]:
    """Find slowed speech that has not its length or its pitch."""
    for sound, span in zip(sides.expected.sounds, spans, strict=True):
        if span is None or not is_slowed(sound) or not isinstance(sound.element, Excerpt):
            continue
        own = sides.original.stretch(sound.element.sound)
        pace = sound.element.sound.arranged_pace
        wanted_s = Fraction(own.end - own.start, sides.rate_hz) / pace
        measured_s = Fraction(span[1] - span[0], sides.rate_hz)
        allowed_s = max(SLOWED_S, SLOWED_SHARE * wanted_s)
        allowed_s += Fraction(own.length_doubt, sides.rate_hz) / min(pace, Fraction(1))
        if abs(measured_s - wanted_s) > allowed_s:
            yield Finding(
                "recording-pace",
                "error",
                f"the recording's words{where_of(sound)} do not last as long as declared",
                BUILD,
                at_s=Fraction(span[0], sides.rate_hz),
                question=sound.question,
                place=sound.place,
                expected=wanted_s,
                measured=measured_s,
                difference=measured_s - wanted_s,
                allowed=allowed_s,
                unit="s",
            )
        share = pitch_share(
            sides.original.samples, (own.start, own.end), sides.track, span, float(1 / pace)
        )
        if share is not None and abs(share - 1) > PITCH_SHARE:
            yield Finding(
                "recording-pitch",
                "error",
                f"the recording's words{where_of(sound)} are higher or lower than they were",
                LISTEN,
                at_s=Fraction(span[0], sides.rate_hz),
                question=sound.question,
                place=sound.place,
                expected=1.0,
                measured=round(share, 3),
                difference=round(share - 1, 3),
                allowed=PITCH_SHARE,
            )
