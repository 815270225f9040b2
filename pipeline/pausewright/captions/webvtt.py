"""Cues to WebVTT, by the grammar of W3C's draft (repository w3c/webvtt, 92a85cc)."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from pausewright.script.recordings.cue_grammar import clock_time

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.captions.cues import Cue

_ESCAPES: Final = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})
_BLANKS: Final = re.compile(r"\s+")


def webvtt(cues: Sequence[Cue], *, language: str) -> str:
    """Return the text of a WebVTT file; write it in UTF-8 with its line ends as they are.

    The language stands in a comment, since the format has no field for it. In words and names
    `&`, `<` and `>` are character references, so that no arrow can occur. A speaker is a voice
    span around all lines of a cue.

    Parameters
    ----------
    cues : in order of their start
    language : BCP 47
    """
    blocks = ["WEBVTT", f"NOTE Language: {_comment(language)}"]
    for cue in cues:
        times = f"{vtt_time(cue.start_ms)} --> {vtt_time(cue.end_ms)}"
        words = "\n".join(line.translate(_ESCAPES) for line in cue.lines)
        if cue.speaker:
            name = _BLANKS.sub(" ", cue.speaker).strip().translate(_ESCAPES)
            words = f"<v {name}>{words}</v>"
        blocks.append(f"{cue.identifier}\n{times}\n{words}")
    return "\n\n".join(blocks) + "\n"


def vtt_time(time_ms: int) -> str:
    """Return a time as `hh:mm:ss.mmm`; hours have two digits or more."""
    return clock_time(time_ms, ".")


def _comment(text: str) -> str:
    return _BLANKS.sub(" ", text).strip().replace("-->", "→")
