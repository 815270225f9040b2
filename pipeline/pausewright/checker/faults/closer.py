"""A closer look at a track whose sounds are known: damage that is heard, though nothing is missing.

Each detector is a module of its own and gets the same things: the samples, where which sound was
found, and the level of the speech. Their limits are in docs/the-check.md, with what was measured
behind them.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.checker.limits.coders import Coder, coder_of
from pausewright.checker.result.findings import LISTEN, Finding
from pausewright.checker.result.naming import where_of
from pausewright.frozen import frozen
from pausewright.wording.line_elements import Excerpt, Utterance

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.checker.expect.expected import Expectation, ExpectedSound
    from pausewright.checker.files.decoded_track import Kept
    from pausewright.checker.listen.listen import Heard
    from pausewright.checker.match.match import Matching
    from pausewright.problems import Severity

CHUNK_S = 20
"""Longer sounds are looked at piece by piece."""


@frozen
class Spoken:
    """One expected sound that was found alone."""

    index: int
    """Of the expected sound."""
    sound: ExpectedSound
    start: int
    end: int
    """Half-open range of frames."""


@frozen
class Scene:
    """What every detector sees."""

    heard: Heard
    expectation: Expectation
    matching: Matching
    speech_dbfs: float
    """Active speech level of the track."""
    voices: frozenset[str]
    """Whose words the track should have."""

    @classmethod
    def of(
        cls, heard: Heard, expectation: Expectation, matching: Matching, speech_dbfs: float
    ) -> Scene:
        """Look through what is expected once, for the voices."""
        elements = (one.element for one in expectation.sounds)
        voices = frozenset(one.speech.voice for one in elements if isinstance(one, Utterance))
        return cls(heard, expectation, matching, speech_dbfs, voices)

    @property
    def kept(self) -> Kept:
        """The samples."""
        return self.heard.kept

    @property
    def coder(self) -> Coder:
        """What is allowed to this kind of file."""
        return coder_of(self.heard.track_format.container)

    @property
    def rate_hz(self) -> int:
        """Samples a second."""
        return self.heard.track_format.rate_hz

    def utterances(self) -> list[Spoken]:
        """Return the words that were found alone, in order."""
        return [one for one in self.sounds() if isinstance(one.sound.element, Utterance)]

    def sounds(self) -> list[Spoken]:
        """Return every sound that was found alone, in order."""
        return [
            Spoken(i, sound, span[0], span[1])
            for i, (sound, span, alone) in enumerate(
                zip(
                    self.expectation.sounds,
                    self.matching.heard,
                    self.matching.alone,
                    strict=True,
                )
            )
            if span is not None and alone
        ]

    def recordings(self) -> list[tuple[int, int]]:
        """Return where recorded sounds were found: what they are like is the author's business."""
        return [
            span
            for sound, span in zip(self.expectation.sounds, self.matching.heard, strict=True)
            if span is not None and isinstance(sound.element, Excerpt)
        ]

    def speech(self) -> Iterator[tuple[int, int]]:
        """Yield the stretches of sound that are no recording, in pieces of 20 s at most."""
        most = CHUNK_S * self.rate_hz
        recorded = self.recordings()
        for start, end in self.heard.stretches:
            if any(start < high and low < end for low, high in recorded):
                continue
            for at in range(start, end, most):
                yield at, min(end, at + most)

    def at(self, frame: int) -> ExpectedSound | None:
        """Return the sound that lies at a frame or just before it."""
        found = None
        for sound, span in zip(self.expectation.sounds, self.matching.heard, strict=True):
            if span is not None and span[0] <= frame:
                found = sound
        return found

    def finding(
        self,
        code: str,
        severity: Severity,
        sentence: str,
        *,
        hint: str = LISTEN,
        frame: int | None = None,
        sound: ExpectedSound | None = None,
        measured: float | Fraction | None = None,
        expected: float | Fraction | None = None,
        allowed: float | Fraction | None = None,
        unit: str = "",
    ) -> Finding:
        """Return a finding; a place in the file brings its question and script line with it."""
        near = sound or (self.at(frame) if frame is not None else None)
        where = where_of(near) if near else ""
        return Finding(
            code,
            severity,
            sentence.replace("{where}", where),
            hint,
            at_s=None if frame is None else Fraction(frame, self.rate_hz),
            question=near.question if near else None,
            place=near.place if near else None,
            expected=_rounded(expected),
            measured=_rounded(measured),
            allowed=_rounded(allowed),
            unit=unit,  # type: ignore[arg-type]  # one of the units, by the callers
        )


def _rounded(value: float | Fraction | None) -> float | Fraction | None:
    return round(value, 4) if isinstance(value, float) else value


def first_findings(findings: list[Finding], most: int, rest: str) -> list[Finding]:
    """Return the first `most` findings, the last of them saying how many more there are."""
    if len(findings) <= most:
        return findings
    last = findings[most - 1]
    more = len(findings) - most
    return [
        *findings[: most - 1],
        Finding(
            last.code,
            last.severity,
            f"{last.sentence}; and {more} more {rest}",
            last.hint,
            at_s=last.at_s,
            question=last.question,
            place=last.place,
            expected=last.expected,
            measured=last.measured,
            allowed=last.allowed,
            unit=last.unit,
        ),
    ]
