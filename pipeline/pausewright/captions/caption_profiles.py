"""Caption profiles, named by their readers: how long, how fast, how many lines.

Every figure has its source. Published guides differ and none is a rule for tests: which profile
a candidate needs is for the people who know the candidate.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from pausewright.frozen import frozen


@frozen
class CaptionProfile:
    """What cues are made to."""

    name: str
    line_characters: int
    """Longest line."""
    lines: int
    """Lines of a cue at most."""
    most_wpm: int
    """Fastest reading, in words a minute."""
    word_s: Fraction
    """Least time a word."""
    shortest_s: Fraction
    """Least time of a cue."""
    longest_s: Fraction
    """Most time of a cue."""
    closed_below_s: Fraction
    """A shorter gap between two cues is closed."""

    def needed_s(self, n_words: int) -> Fraction:
        """Return how long a cue of so many words must stand."""
        return max(self.shortest_s, n_words * max(self.word_s, Fraction(60, self.most_wpm)))


HANG_S: Final = Fraction(3, 2) - Fraction(5, 100)
"""A cue stands at most so long after its speech: 1.5 s (BBC Subtitle Guidelines, sections 5.2 and
5.4), less 50 ms for where a listener hears the speech end."""

ADULT: Final = CaptionProfile(
    name="adult",
    line_characters=37,  # BBC Subtitle Guidelines, section 3.1
    lines=2,  # same, section 3.3
    most_wpm=180,  # same, section 4: 160 to 180 words a minute
    word_s=Fraction(3, 10),  # same, section 4.1
    shortest_s=Fraction(5, 6),  # Netflix Timed Text Style Guide, general requirements
    longest_s=Fraction(7),  # same
    closed_below_s=Fraction(1),  # BBC Subtitle Guidelines, section 4.5
)
YOUNGER_READERS: Final = CaptionProfile(
    name="younger-readers",
    line_characters=32,  # DCMP, Captioning Guidelines (older set)
    lines=2,  # BBC Subtitle Guidelines, section 3.3
    most_wpm=130,  # DCMP Captioning Key, presentation rate: lower-level educational media
    word_s=Fraction(3, 10),  # BBC Subtitle Guidelines, section 4.1
    shortest_s=Fraction(2),  # DCMP, Captioning Guidelines (older set)
    longest_s=Fraction(7),  # Netflix Timed Text Style Guide, general requirements
    closed_below_s=Fraction(1),  # BBC Subtitle Guidelines, section 4.5
)
PROFILES: Final = {profile.name: profile for profile in (ADULT, YOUNGER_READERS)}
