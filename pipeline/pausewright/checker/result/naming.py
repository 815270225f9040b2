"""How findings and reports call things: short words without any content of the test."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fractions import Fraction

    from pausewright.checker.expect.expected import ExpectedSilence, ExpectedSound


_ROLES = {
    "instruction": "an instruction",
    "announcement": "an announcement",
    "question": "a part of the words",
    "passage": "a part of the passage",
    "dictation": "a part of the dictation",
    "answer": "a part of the words",
    "cue": "a cue or tone",
    "continues": "the line after a stop",
}


def where_of(one: ExpectedSound | ExpectedSilence) -> str:
    """Return " of question 5, reading 2" or ""."""
    if one.question is None:
        return ""
    reading = f", reading {one.reading}" if one.reading else ""
    return f" of {one.question.name}{reading}"


def role_name(sound: ExpectedSound) -> str:
    """Return what kind of sound this is, in a sentence."""
    return _ROLES[sound.role]


def clock(at_s: Fraction) -> str:
    """Return a time in the file as mm:ss.mmm, rounded half up; minutes may pass 59."""
    ms = (at_s.numerator * 2000 + at_s.denominator) // (2 * at_s.denominator)
    return f"{ms // 60000:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"


def seconds(wait_s: Fraction) -> str:
    """Return seconds with three decimals, rounded half away from zero."""
    sign = "-" if wait_s < 0 else ""
    size = abs(wait_s)
    ms = (size.numerator * 2000 + size.denominator) // (2 * size.denominator)
    return f"{sign if ms else ''}{ms // 1000}.{ms % 1000:03d}"
