"""What the machine's ear must hear before it says something"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

TESTS: Final = (
    "tests/checker/test_ear_judging.py",
    "tests/checker/test_ear_spoken_form.py",
    "scripts/ear_figures.py",
)
"""What holds these limits, where a row names nothing else."""

AS_LIKELY: Final = 2.4
"""Natural logarithm of how much likelier the heard words are than the script's, up to which the
script's are taken as said. Set on tracks of scripts/ear_figures.py with seed 11; seed 23 then had
152 of 152 changes caught."""
TEEN_AS_LIKELY: Final = 0.5
"""The same for thirteen and thirty and the like, where the sound itself says little."""
FAR_LIKELIER: Final = 5.0
"""The same, from which another figure, negation or unit is certain; set on the same tracks."""
ALIKE: Final = 0.6
"""Share of words (by letters) in both, from which they are taken as the script's."""
SHORT_ALIKE: Final = 0.34
"""The same for one or two words, and for letters: a recogniser has little to go by."""
ELSEWHERE: Final = 0.8
"""Likeness to another utterance of the script from which that one is taken as heard."""
ELSEWHERE_BY: Final = 0.2
"""By how much that must be more than the likeness to its own words."""
UNLIKE: Final = 0.3
"""Likeness to its own words up to which even a likeness of `ALIKE` to others is enough."""
LOST_RUN_WORDS: Final = 2
"""So many words in a row that no hearing has are a reason to listen."""
LOST_RUN_SHARE: Final = 0.25
"""And so is a run of this share of all words of an utterance."""
LOST_PLAIN_COST: Final = 0.6
"""Cost of a word without weight that is missing or too much; 1 for words that matter (figures,
units, negations, words that compare)."""
LOST_LETTER_COST: Final = 0.8
"""The same of a single letter: it is often misheard."""
OTHER_KIND_COST: Final = 1.3
"""Cost of a word that matters in place of one that does not."""
UNKNOWN_WORD_MOST: Final = 4
"""Heard words that one word that the ear does not know, such as a name, may stand for at most."""
CLIP_BEFORE_S: Final = Fraction(5, 100)
"""What is heard before the first audible sample, for weak consonants; half the silence at most."""
CLIP_AFTER_S: Final = Fraction(10, 100)
"""The same after the last one."""
