"""Whether captions can be read in their time: words a minute against a named profile.

A word is what stands between blanks; labels count too (DCMP-02). Captions that give all the time
of the speech are judged once for the file: the speech sets their rate, not the captions.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.checker.limits.shown import CUT_SHORT, FEWEST_WORDS
from pausewright.checker.result.findings import Finding
from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pausewright.checker.result.items import Item


@frozen
class Reader:
    """For whom captions are, and how fast they may go."""

    name: str
    most_wpm: int
    source: str


READERS: Final[Mapping[str, Reader]] = {
    "adult": Reader("adult", 180, "BBC Subtitle Guidelines, section 4"),
    "younger-readers": Reader(
        "younger-readers", 130, "DCMP Captioning Key, lower-level educational media"
    ),
}
"""Profiles by name: BBC-01 (160 to 180 words a minute) and DCMP-01 (130)."""


@frozen
class ReadCue:
    """A cue with what it asks of its reader."""

    start_s: Fraction
    shown_s: Fraction
    n_words: int
    spoken_s: Fraction | None
    """How long its own words are heard, by their share of letters; None if unknown."""
    line: int
    question: Item | None = None


def words_a_minute(n_words: int, shown_s: Fraction) -> Fraction:
    """Return words divided by their time (BBC-03: two words in one second are 120 a minute)."""
    return n_words * 60 / shown_s


def mean_wpm(cues: Sequence[ReadCue]) -> Fraction | None:
    """Return the rate of all cues together; None for fewer than 30 words."""
    n_words = sum(cue.n_words for cue in cues)
    shown_s = sum((cue.shown_s for cue in cues), Fraction(0))
    return words_a_minute(n_words, shown_s) if n_words >= FEWEST_WORDS and shown_s else None


def judge_reading(name: str, cues: Sequence[ReadCue], reader: Reader) -> list[Finding]:
    """Return the findings about reading speed; `name` is how they call the file."""
    findings = [
        Finding(
            "caption-fast",
            "warning",
            f"{name}, line {cue.line}: the caption is gone too soon to be read",
            "let it stand as long as its words are heard",
            at_s=cue.start_s,
            question=cue.question,
            measured=_whole(words_a_minute(cue.n_words, cue.shown_s)),
            allowed=reader.most_wpm,
            unit="words/min",
        )
        for cue in cues
        if cue.n_words
        and cue.shown_s > 0
        and cue.spoken_s is not None
        and cue.shown_s < CUT_SHORT * cue.spoken_s
        and words_a_minute(cue.n_words, cue.shown_s) > reader.most_wpm
    ]
    mean = mean_wpm(cues)
    if mean is not None and mean > reader.most_wpm:
        findings.append(
            Finding(
                "caption-rate",
                "warning",
                f"{name}: the captions as a whole run faster than readers of the profile "
                f"‘{reader.name}’ follow",
                "set a slower pace, or choose the profile of those who read",
                measured=_whole(mean),
                allowed=reader.most_wpm,
                unit="words/min",
            )
        )
    return findings


def _whole(wpm: Fraction) -> int:
    return (2 * wpm.numerator + wpm.denominator) // (2 * wpm.denominator)
