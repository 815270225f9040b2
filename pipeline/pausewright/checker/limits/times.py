"""How far silences, tones, readings and pieces may be off."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

TESTS: Final = (
    "tests/checker/test_check_sabotage.py",
    "tests/checker/test_check_standard.py",
    "scripts/sabotage.py",
)
"""What holds these limits, where a row names nothing else."""

LATE_START_S: Final = Fraction(60, 1000)
"""By how much the silence at the start, which no script declares, may be longer than the builder
makes it: the delays of other programs' coders (some 1,100 samples for MP3, 2,112 for AAC; from
memory) are under it, and 0.1 s cut off the first word is over it."""
PROMISED_FROM_S: Final = Fraction(7, 10)
"""Shorter silences are laid exactly, but too near to those of speech itself to be promised."""
TOLERANCE_S: Final = Fraction(20, 1000)
"""A silence between speech or tones. Good tracks came back within 2 ms on WAV and MP3; damage of
30 ms is always told."""
RECORDED_TOLERANCE_S: Final = Fraction(50, 1000)
"""For silences beside a sound as recorded, whose own edges may be soft."""
HEARD_AS_ONE_S: Final = Fraction(1, 4)
"""Sounds with less silence than this between them are looked for as one."""
IN_NOISE_S: Final = Fraction(120, 1000)
"""Of 4,878 silences in noise 30 dB below two voices six came back more than 50 ms off, and none
more than 105 ms: there the d that opens after "hand" was not heard."""
RECORDED_IN_NOISE_S: Final = Fraction(170, 1000)
"""A silence beside a sound as recorded on a track with steady noise, which hides the sound's own
soft ends: the sum of what either is allowed alone. Of the silences of four demo tests with noise
30, 36 and 45 dB below the speech none came back more than 40 ms off."""
STRETCHED_FROM: Final = 3
"""Silences of one kind that must be off before they are called another arrangement's."""
TONE_TOLERANCE_S: Final = Fraction(30, 1000)
"""Length of a tone; its ends rise and fall within a few milliseconds."""
SAME_TAKE_S: Final = {True: Fraction(20, 1000), False: Fraction(40, 1000)}
"""How far readings of one take may differ in length; by whether the file holds exact samples."""
SAME_TAKE_IN_NOISE_S: Final = Fraction(140, 1000)
"""The same where a room's noise hides soft beginnings and ends: 79 ms were seen."""
ANOTHER_READING: Final = Fraction(1, 4)
"""Readings that are no copies of each other may differ so much in length."""
REST_BREAK_SLACK_S: Final = Fraction(1)
"""What a stretch between rest breaks may be over the declared length: a declared figure is not
measured to the sample."""
REST_BREAK_CUE_S: Final = Fraction(20)
"""What the words before a rest break take at most."""
BREAK_EARLY_SHARE: Final = Fraction(3, 2)
"""A rest break by time is too early if so many times the time up to the end of the next question
still lies within the declared time: breaks are placed by a reckoning with a tenth to spare, by
words at the script's pace."""
BREAK_EARLY_SHARE_PARTS: Final = Fraction(2)
"""The same where a dictation or a question with parts is in it, of which all is reckoned as often
as its most often read part."""
STATED_TIME_SHARE: Final = Fraction(9, 10)
"""A time that is stated may be shorter than the time given by a tenth; never longer."""
PACE_OF_ONE: Final = Fraction(2, 100)
"""What one utterance may be off the declared ratio, as a share; or `PACE_OF_ONE_S` if that is
more."""
PACE_OF_ONE_S: Final = Fraction(30, 1000)
"""See `PACE_OF_ONE`."""
PACE_OVER_ALL: Final = Fraction(1, 100)
"""What all of the speech together may be off the declared ratio."""
STANDARD_SILENCE_S: Final = {True: Fraction(5, 1000), False: Fraction(20, 1000)}
"""What an untouched silence may differ by; by whether both files hold exact samples, at one level:
the limiter of a louder version moves soft ends of words by up to 9 ms (bundled voice, −18 LUFS)."""
STANDARD_LENGTH_S: Final = {True: Fraction(5, 1000), False: Fraction(20, 1000)}
"""What the length of the same recording may differ by; by whether both files hold exact samples."""
STANDARD_ALIKE: Final = {True: 0.9999, False: 0.9}
"""Correlation from which two sounds are one recording; MP3 changes the wave itself, and so does the
limiter of a louder version. Takes of other words, or another take of the same words, came to under
0.5."""
SPEED_LEAST_OFF: Final = 0.002
"""The smallest change of speed that is told, as a share."""
SPEED_LEAST_OFF_IN_NOISE: Final = 0.02
"""In a room's noise silences read longer; by up to 0.8 % of all was seen."""
SPEED_FEWEST_SILENCES: Final = 6
"""Fewer silences do not tell the speed."""
SPEED_SURE_ERRORS: Final = 4.0
"""And it must be so many times the standard error of the fitted speed."""
SPEED_MOST_SCATTER_S: Final = 0.008
"""Median distance of the silences from the common factor, at most."""
SPEED_KIND_WITHIN_S: Final = 0.012
"""And of each kind's median."""
SPEED_MOST_OFF: Final = 0.25
"""A greater change is another script, not another speed."""
TONE_WITHIN: Final = 0.001
"""A tone of 0.2 s and more tells its frequency to this share."""
SHORTEST_TONE_S: Final = 0.15
"""Shorter tones are not asked."""
LEAST_HELD: Final = Fraction(1, 2)
"""Share of a hold that must lie at the end of a piece: so long has whoever minds a player that goes
on to the next file by itself."""
LEAST_LEAD_S: Final = Fraction(3, 10)
"""Silence that the next piece must begin with: some players swallow the first moment. A quarter of
the hold is enough where that is less."""
CUT_SLACK_S: Final = Fraction(20, 1000)
"""What the ends of a hold may be heard off by, as those of any silence."""
LISTED_LENGTH_SLACK_S: Final = Fraction(1, 1000)
"""Between a file and its record at another rate."""
