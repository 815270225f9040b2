"""How near a track must come to what its arrangement promises"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

TESTS: Final = (
    "tests/checker/test_promises.py",
    "tests/deliver/test_mutation.py",
)
"""What holds these limits, where a row names nothing else."""

PITCH_SHARE: Final = Fraction(1, 100)
"""What a tone's pitch may be off: measured within 0.1 % on WAV and MP3 at 64 kbit/s; half a tone is
6 %."""
LOUDNESS_LU: Final = 1.0
"""Of all speech against the level that is declared: EBU R 128 v4.0 (August 2020), production
tolerance (check value LU-14)."""
RECORDING_SHARE: Final = Fraction(3, 100)
"""What a recording may differ from its own file in length, or `RECORDING_S` if that is more: where
its ends are soft, levels and coders move them."""
RECORDING_S: Final = Fraction(1, 10)
"""See `RECORDING_SHARE`."""
CAPTION_EARLY_MS: Final = 160
"""How much earlier than its speech a caption may stand for its words to be taken as heard then: the
60 ms of whole milliseconds and MP3, and what a room's noise hides of a beginning."""
RUN_WORDS: Final = 4
"""Of a question that stand in a row in a tag, a note or the data of a page, so that it is told:
names and a page's own words have three in common with one now and then."""
WHOLE_RUN_WORDS: Final = 3
"""The same of a question, or a key, that has no more words."""
INSTRUCTION_RUN_WORDS: Final = 8
"""The same of an instruction that may not be read: what a page says of itself is much like one."""
SAME_WAIT_S: Final = Fraction(1, 1000)
"""Two declared silences that differ by less are one: declarations are whole milliseconds."""
CONFIRMED_S: Final = Fraction(1, 2000)
"""A sum of extra time that was confirmed is the one that is given if they differ by less: a sum is
stated in whole milliseconds, and thirds have no end."""
LEAST_CLAUSE_S: Final = Fraction(3, 10)
"""A pause at the mark of a clause does something if it is longer: so long voices wait there by
themselves, and 0.1 s were heard at none of ten marks."""
