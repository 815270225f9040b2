"""The kinds of silence: one table that all who name them read.

Builder and checker read names here and nothing about time. A new kind is a row here, and a place
in the planner and in the check's expectation, which each say where it stands.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, TypeAlias, get_args

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping

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

DefaultPause: TypeAlias = Literal[
    "sentence-pause",
    "paragraph-pause",
    "announcement-pause",
    "between-paragraphs",
    "between-options",
    "turn-pause",
]
"""What the builder lays as one kind, `default-pause`, and the check tells apart."""

SilenceKind: TypeAlias = Literal[
    CandidatesSilence,
    "extra-time",
    "hold",
    "pause",
    "default-pause",
    DefaultPause,
    "lead-in",
    "run-out",
]
"""By the words of scripts and files."""


@frozen
class NamedSilence:
    """What people read of one kind of silence."""

    name: str
    """In outline, screens, papers, reports and docs: everywhere the same."""
    whose: Literal["candidates", "invigilator", "author"]
    """Whose time it is: captions may reach into the author's only."""
    stretches: bool = False
    """Whether an arrangement with extra time may make it longer."""
    in_room: str = ""
    """What candidates read in place of a name that would tell a need."""


SILENCES: Final[Mapping[SilenceKind, NamedSilence]] = {
    "look-time": NamedSilence("look time", "candidates", stretches=True),
    "between-readings": NamedSilence("silence between readings", "candidates", stretches=True),
    "answer-time": NamedSilence("answer time", "candidates", stretches=True),
    "phrase-time": NamedSilence("phrase time", "candidates", stretches=True),
    "between-phrase-readings": NamedSilence(
        "silence between phrase readings", "candidates", stretches=True
    ),
    "page-turn-time": NamedSilence("page-turn time", "candidates", stretches=True),
    "extra-time": NamedSilence("extra time in one piece", "candidates", in_room="time to work"),
    "hold": NamedSilence("hold", "invigilator"),
    "pause": NamedSilence("author's pause", "author"),
    "default-pause": NamedSilence("default pause", "author"),
    "sentence-pause": NamedSilence("pause after a sentence", "author"),
    "paragraph-pause": NamedSilence("pause after a paragraph", "author"),
    "announcement-pause": NamedSilence("pause after an announcement", "author"),
    "between-paragraphs": NamedSilence("pause between paragraphs", "author"),
    "between-options": NamedSilence("pause between options", "author"),
    "turn-pause": NamedSilence("pause between turns", "author"),
    "lead-in": NamedSilence("silence at the start", "author"),
    "run-out": NamedSilence("silence at the end", "author"),
}
"""Every kind, in the order in which tables list them."""

CANDIDATES: Final = frozenset(kind for kind, one in SILENCES.items() if one.whose == "candidates")
AUTHORS: Final = frozenset(kind for kind, one in SILENCES.items() if one.whose == "author")


def silence_name(kind: SilenceKind) -> str:
    """Return what a kind of silence is called in a sentence."""
    return SILENCES[kind].name


def room_name(kind: SilenceKind) -> str:
    """Return what candidates may read of a kind of silence: no name tells a need."""
    return SILENCES[kind].in_room or SILENCES[kind].name
