"""Captions, countdowns, transcripts and chapters against what is heard."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

TESTS: Final = (
    "tests/checker/test_check_captions.py",
    "tests/checker/test_check_countdown.py",
    "tests/checker/test_check_chapters.py",
)
"""What holds these limits, where a row names nothing else."""

EARLY_S: Final = Fraction(60, 1000)
"""A caption's start before its speech: whole milliseconds, and what an MP3 spreads edges by."""
LATE_S: Final = Fraction(1500, 1000)
"""BBC-05 allows 2 s at most; this project asks for its 1.5 s on both sides."""
LATE_SHARE: Final = Fraction(1, 10)
"""More of an utterance's length where a cue begins or ends inside it: where its words are heard
is estimated by letters there."""
HANG_S: Final = Fraction(1500, 1000)
"""BBC-05: not more than 1.5 s hanging after the speech."""
INTO_SILENCE_S: Final = Fraction(200, 1000)
"""How far a cue may reach into a silence in which candidates write, look or wait."""
COUNTDOWN_OFF_S: Final = Fraction(100, 1000)
"""A time that is shown must be right within this (as EN 301 549, 7.1.2 has it for players)."""
MOST_STANDING_S: Final = 10
"""A cue of a countdown stands no longer: five seconds, and five for the slowest readers."""
FIRST_WITHIN_S: Final = 1
"""The first cue says the first whole second."""
OWED_FROM_S: Final = 5
"""Answer times from here on must have a countdown, if one is declared."""
FEWEST_WORDS: Final = 30
"""A file with fewer words has no rate worth judging. No source: our own choice."""
CUT_SHORT: Final = Fraction(3, 4)
"""A cue that is gone before this share of its words' own time is cut short. Our own choice."""
WHOLE_SECOND_S: Final = Fraction(1)
"""What a time in whole seconds may be off."""
CHAPTER_SLACK_S: Final = Fraction(60, 1000)
"""Whole milliseconds, and what an MP3 spreads the edges of sounds by."""
CHAPTER_LONGEST_BYTES: Final = 255
"""Of a title in an MP4; a longer one is cut."""
TAG_SLACK_S: Final = Fraction(50, 1000)
"""How far a chapter may reach past the end: its times are whole milliseconds."""
