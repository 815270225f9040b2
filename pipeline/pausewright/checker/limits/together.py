"""How near findings must be to be told as one cause"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

TESTS: Final = (
    "tests/checker/test_causes.py",
    "scripts/sabotage.py",
)
"""What holds these limits, where a row names nothing else."""

NEAR_S: Final = Fraction(12)
"""Within one question, how far from a fault its other signs may lie: a long sentence."""
AT_ONCE_S: Final = Fraction(1)
"""How far apart two signs of one fault may lie where they belong to no one question."""
ALIKE_S: Final = Fraction(12, 100)
"""By how much differences of one shift may differ: two edges of sounds, 60 ms each."""
EDGE_S: Final = Fraction(12, 100)
"""By how much a level or noise may move the edges of a silence."""
FEWEST_ALIKE: Final = 3
"""Questions whose readings are missing, repeated or changed, from which on that is one fault."""
EQUAL_S: Final = Fraction(4, 100)
"""By how much equal differences of two silences may differ: 20 ms each."""
