"""What else candidates can read of a track, and the captions that a room screen holds."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

from pausewright.checker.shown.caption_readers import CaptionFault, CaptionFile, Cue
from pausewright.checker.shown.rows import INSTRUCTIONS, TRANSCRIPTS, bytes_of

if TYPE_CHECKING:
    from pathlib import Path

PAGE = "_room-screen.html"
_START, _END = b'<script type="application/json" id="data">', b"</script>"


def beside(track: Path) -> list[Path]:
    """Return what can be read of a track: room screen and transcripts, under its name beside it.

    In the folder of a whole build, or of a room, the printed instructions of its version too.
    """
    named = [track.with_name(track.stem + ending) for ending in (PAGE, *TRANSCRIPTS)]
    label = re.escape(track.parent.name.rpartition("version-")[2])
    own = re.compile(rf"{INSTRUCTIONS}{label}_[^_]+\.html")
    around = track.parent.parent
    papers = sorted(p for at in ("print", "papers") for p in (around / at / "staff").glob("*.html"))
    named += [paper for paper in papers if own.fullmatch(paper.name)]
    return [file for file in named if file.is_file()]


def sheets_beside(track: Path) -> list[Path]:
    """Return the answer sheets of a track's version, in the folder of a whole build."""
    label = re.escape(track.parent.name.removeprefix("version-"))
    own = re.compile(rf"answer-sheet_{label}_[^_]+\.(?:txt|pdf)")
    papers = sorted((track.parent.parent / "print" / "candidates").glob("answer-sheet_*"))
    return [paper for paper in papers if own.fullmatch(paper.name)]


def read_page(path: Path) -> CaptionFile:
    """Return the captions that a room screen holds; its line is that of all of them.

    Raises
    ------
    TrackError
        If the page cannot be read.
    """
    raw = bytes_of(path)
    found = CaptionFile()
    before, _, after = raw.partition(_START)
    island, end, _ = after.partition(_END)
    line = before.count(b"\n") + 1 if end else 1
    try:
        held = json.loads(island if end else b"null")
        found.cues = [
            Cue(int(start_ms), int(end_ms), "\n".join(map(str, lines)), line)
            for start_ms, end_ms, lines in held["cues"]
        ]
    except (ValueError, TypeError, KeyError, RecursionError):
        found.cues = []
        found.faults.append(CaptionFault(line, "the captions of this page cannot be read"))
    return found
