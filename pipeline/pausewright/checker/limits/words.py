"""Whether all words are there, by how long speech lasts"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

TESTS: Final = (
    "tests/checker/test_lost_words.py",
    "scripts/lost_words.py",
    "scripts/sabotage.py",
)
"""What holds these limits, where a row names nothing else."""

DOUBTED_SHORT_SHARE: Final = 0.88
"""Measured to estimated length under which the syllables are counted too."""
SHORTENED_SHARE: Final = 0.93
"""Measured to estimated length under which a word that the ear misses is a reason to listen."""
LENGTH_WEIGHT: Final = 0.8
"""What the length says of both (geometric mean); the count of syllables says the rest."""
SHORT_SPREADS: Final = 3.2
"""So many of the voice's spreads (`SPREADS`) length and syllables together must be under what the
words need for words to be missing: for emma under 85 %, for iris and michael under 84 %, for george
under 81 %, for joe under 79 %. Honest takes of words that nothing was fitted on came to 0.86 at
least of iris, 0.81 of joe (1,201 and 611: sentences set aside, and every demo in both voices)."""
SPREADS: Final = {"iris": 0.055, "joe": 0.073, "emma": 0.05, "george": 0.067, "michael": 0.055}
"""How a voice strays from its lengths: root mean square of the natural logarithm of measured to
estimated, of takes from 1 s on that the fit did not have (scripts/fit_speech_lengths.py): 1,060 of
iris, 564 of joe, 260 of emma (0.044), 260 of george (0.057) and 244 of michael (0.046); in other
words of short tests emma had 0.052, george 0.067, michael 0.063."""
SPREAD_OF_OTHERS: Final = 0.095
"""The same for voices whose spread was not measured."""
SHORT_S: Final = 0.18
"""And at least so many seconds must be missing, beside `SOFT_EDGES_S`."""
ONE_WORD_S: Final = 0.15
"""And so much more where nothing but one word is said: it can lose no other, and strays more. Of
307 words by themselves one of iris lacked 0.16 s and one of joe 0.30 s ("Shadow.")."""
LONG_SHARE: Final = 1.5
"""From so much of its estimated length on an utterance is too long for its words."""
LONG_S: Final = 0.5
"""And at least so many seconds must be too much."""
DOUBTED_LONG_SHARE: Final = 1.35
"""From there on a warning: a voice may have read something in another way ("part one hundred" for
"Part C" was found so)."""
DOUBTED_LONG_S: Final = 0.25
"""And at least so many seconds must be too much for a warning."""
UNKNOWN_WORD_S: Final = 0.05
"""What the length of each word that the dictionary does not have may stray beyond that."""
UNSTRETCHED_S: Final = 0.3
"""What a voice does not stretch of an utterance if it is asked to speak slower, times the share by
which it is slower. Single letters of one voice had 0.32 s (110 words a minute in place of 140),
words of one syllable 0.12 to 0.26 s, sentences nothing."""
REDUCED_S: Final = 0.2
""""Thank you" is said faster than its sounds tell: 0.17 to 0.37 s in one voice, 0.14 s in the other
(at 140 words a minute)."""
SOFT_EDGES_S: Final = 0.03
"""What coders may hide of the softest ends of words."""
SPREAD_OF_A_STRANGER: Final = 0.09
"""Root mean square of the natural logarithm of measured to estimated length, of what is longer than
the middle (which lost words do not touch), from which it is not this voice that speaks. Of 8 to 30
takes of a bundled voice, drawn 2,000 times, it came to 0.05 as a rule and to 0.09 in one of a
hundred; of lengths that go by letters to 0.10 as a rule."""
SPREADS_OF_STRANGERS: Final = {"george": 0.11}
"""The same for a voice that strays more: two short tests of george came to 0.082 and 0.091."""
SPREAD_BEYOND_ALL: Final = 0.13
"""Up to there, what lengths stray by is the measure of each: one that lies `SHORT_SPREADS` of them
under what its words need lost words, whoever speaks. One of 22 short tests of michael came to 0.091
and 0.094 once words were cut, and a loss of 35 % passed."""
MORE_WORDS_FROM: Final = 0.26
"""Natural logarithm of length over what is usual in the file from which an utterance has no part in
the spread: it holds more words than it should (a factor of 1.3), and would make a stranger of the
voice that it is judged by. Where the rest stray as this voice does, it is this voice."""
MOST_WITH_MORE_WORDS: Final = 0.25
"""Share of the utterances that may be so. Where more are, somebody else speaks."""
AS_LONG_S: Final = 0.04
"""What the same words may differ by in length where they are one take. Where most differ by more, a
person reads."""
AS_LONG_IN_NOISE_S: Final = 0.14
"""The same in a room's noise."""
SPREAD_FROM_S: Final = 1.0
"""Shorter utterances stray more, and have no part in the spread."""
FEWEST_FOR_A_SPREAD: Final = 6
"""Fewer utterances of a voice have no spread worth the name; and the middle of n counts as
n / (n + 6): tracks differ by 2.5 % from each other, one utterance from the next by 5 %."""
FEWEST_FOR_A_MIDDLE: Final = 3
"""Fewer have no middle either: a voice that says so little is itself if the others are."""
MOST_OFF_PACE: Final = 0.1
"""Natural logarithm by which all lengths may be off the voice's pace together."""
SYLLABLE_STANDS_DB: Final = 2.5
"""By how much a peak of loudness must stand out between its neighbours to be a syllable."""
SYLLABLE_BELOW_SPEECH_DB: Final = 22.0
"""Softer peaks are no vowels."""
OTHER_SCRIPT_BELOW: Final = 0.5
"""Share of the expected sounds that must be found for a track to be this script's at all, apart
from a lost beginning or end."""
PAUSE_IN_SPEECH_S: Final = Fraction(9, 10)
"""From there on a silence inside a sentence is a reason to listen."""
UNLIKE_AT_LEAST: Final = 0.75
"""Natural logarithm of measured to estimated length (by letters) from which speech of a voice whose
lengths are not known is unlike its words: a factor of 2.1."""
UNLIKE_SPREADS: Final = 5.0
"""And it must be so many times the spread of the file (1.4826 median distances) off the middle."""
UNLIKE_S: Final = 0.4
"""And off by so many seconds."""
IMPOSSIBLE_AT_LEAST: Final = 1.2
"""The same from which it is certain: a factor of 3.3. One voice strayed by a factor of 1.4 at most
(largest of 80 utterances)."""
IMPOSSIBLE_S: Final = 1.0
"""And off by so many seconds."""
FEWEST_TO_JUDGE: Final = 8
"""With fewer different utterances, lengths do not tell one script from another."""
LEAST_VARIETY: Final = 0.2
"""Standard deviation of the natural logarithm of the estimates under which they do not either."""
MOST_ALIKE: Final = 0.7
"""Share of the misfit by chance that the real misfit may reach; 1 is no better than chance."""
