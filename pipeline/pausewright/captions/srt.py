"""Cues to SRT, for players that know nothing else."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.script.webvtt_grammar import clock_time

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.captions.cues import Cue

_UNSEEN: Final = "\u200b"
"""A space of no width: keeps two characters apart for a player and changes nothing to read."""

_TAG_LIKE: Final = re.compile(r"<(?=[A-Za-z/!])|\{(?=[\\A-Za-z])")


def srt(cues: Sequence[Cue]) -> str:
    """Return the text of an SRT file; write it in UTF-8 with its line ends as they are.

    SRT has no published grammar and no escapes: an arrow in the words, and what players take
    for a tag (`<` or `{` before a letter), get a space of no width inside. A speaker's name
    stands before the first of their words, as "Name: ". Counters run from 1 without holes.

    Parameters
    ----------
    cues : in order of their start
    """
    blocks = []
    for number, cue in enumerate(cues, 1):
        times = f"{clock_time(cue.start_ms, ',')} --> {clock_time(cue.end_ms, ',')}"
        label = f"{' '.join(cue.speaker.split())}: " if cue.named else ""
        words = label + "\n".join(cue.lines)
        blocks.append(f"{number}\n{times}\n{_harmless(words)}\n")
    return "\n".join(blocks)


def _harmless(words: str) -> str:
    apart = _TAG_LIKE.sub(lambda found: found.group() + _UNSEEN, words)
    return apart.replace("-->", f"--{_UNSEEN}>")
