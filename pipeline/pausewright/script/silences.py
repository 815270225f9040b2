"""The kinds of silence: one table that all who name them read.

Builder and checker read names here and nothing about time. A new kind is a row here, and in the
planner and the check's expectation, which each say where it stands.
"""

from __future__ import annotations

from typing import Final, Literal, TypeAlias, get_args

CandidatesSilence: TypeAlias = Literal[
    "look-time",
    "between-readings",
    "answer-time",
    "phrase-time",
    "between-phrase-readings",
    "page-turn-time",
]
"""The candidates' silences that a script declares: what an arrangement may stretch."""
SILENCE_KINDS: Final[tuple[CandidatesSilence, ...]] = get_args(CandidatesSilence)
