"""Cues to SRT, for players that know nothing else."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.script.recordings.cue_grammar import clock_time

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.captions.cues import Cue

_BLANK: Final = "\u00a0"
_TAG_LIKE: Final = re.compile(r"<(?=[A-Za-z/!][^<>]*>)|\{(?=[\\A-Za-z][^{}]*\})")
"""The bracket that opens what a player could take for a tag: only what closes again is one."""


def srt(cues: Sequence[Cue]) -> str:
    """Return the text of an SRT file; write it in UTF-8 with its line ends as they are.

    SRT has no published grammar and no escapes: an arrow in the words, and what players take
    for a tag (`<b and c>`, `{y:i}`), get a no-break blank inside: `< b and c>`. All can see it,
    every font has it, and ffmpeg takes no tag for one then, as it does behind a common blank. A
    sign without width would be drawn as a box by some players, and be in the way of whoever
    searches. `x<y` alone stays as it is. A speaker's name stands before the first of their words,
    as "Name: ". Counters run from 1 without holes.

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
    return _TAG_LIKE.sub(rf"\g<0>{_BLANK}", words).replace("-->", f"--{_BLANK}>")
