"""What else candidates can read beside a track: captions that a room screen holds, transcripts.

A page is read as text, for what its source holds and not for what it draws.
"""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser
from typing import TYPE_CHECKING, Any

from pausewright.arrange.words import ArrangedWords
from pausewright.checker.captions import CaptionFault, CaptionFile, Cue
from pausewright.checker.findings import Finding
from pausewright.checker.shown import ASKED, shown_words, speaker_of, tokens
from pausewright.problems import TrackError
from pausewright.wording.pieces import ToneCue, Utterance

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.checker.expected import Expectation, ExpectedSound
    from pausewright.checker.lines import WordedScript
    from pausewright.problems import Severity
    from pausewright.script.model import CaptionPolicy

PAGE = "_room-screen.html"
TRANSCRIPTS = ("_transcript.txt", "_transcript.html")
N_HEADING_LINES = 2
"""Title; version and edition. The page says its title once more, for the window."""
BLOCKS = frozenset({"title", "h1", "h2", "p", "div", "section", "li", "td", "tr", "br"})
REBUILD = "build the version again from this script"
_DATA = re.compile(rb'<script type="application/json" id="data">(.*?)</script>', re.DOTALL)


def beside(track: Path) -> list[Path]:
    """Return the room screen and the transcripts that lie beside a track under its name."""
    named = [track.with_name(track.stem + ending) for ending in (PAGE, *TRANSCRIPTS)]
    return [file for file in named if file.is_file()]


def read_page(path: Path) -> CaptionFile:
    """Return the captions that a room screen holds; its line is that of all of them.

    Raises
    ------
    TrackError
        If the page cannot be read.
    """
    raw = _read(path)
    found = CaptionFile()
    island = _DATA.search(raw)
    line = raw[: island.start()].count(b"\n") + 1 if island else 1
    try:
        held: Any = json.loads(island[1]) if island else None
        found.cues = [
            Cue(int(start_ms), int(end_ms), "\n".join(map(str, lines)), line)
            for start_ms, end_ms, lines in held["cues"]
        ]
    except (ValueError, TypeError, KeyError, RecursionError):
        found.cues = []
        found.faults.append(CaptionFault(line, "the captions of this page cannot be read"))
    return found


def judge_transcript(path: Path, expectation: Expectation, worded: WordedScript) -> list[Finding]:
    """Return what is wrong with a transcript for candidates.

    It must hold, in order, the words that may be shown, under the titles of parts, and nothing
    else: what captions may show, unless the arrangement declares another `transcript`.

    Raises
    ------
    TrackError
        If the file cannot be read.
    """
    policy: CaptionPolicy | None = None
    if isinstance(worded, ArrangedWords):
        policy = worded.arrangement.values.get("transcript")
    titles = {part.title for part in worded.script.parts}
    text = _read(path).decode("utf-8", "replace")
    is_page = path.suffix == ".html"
    rows = _rows_of_page(text) if is_page else list(enumerate(text.split("\n"), 1))
    n_heading = N_HEADING_LINES + is_page
    owed = [word for sound in expectation.sounds for word in _transcribed(sound, policy)]
    names = {speaker_of(sound) for sound in expectation.sounds} - {""}
    at = 0
    for number, row in rows[n_heading:]:
        name, colon, rest = row.partition(":")
        ways = [tokens(row), *([tokens(rest)] if colon and name in names else [])]
        told = next((way for way in ways if way and owed[at : at + len(way)] == way), None)
        if told is not None:
            at += len(told)
        elif tokens(row) and row not in titles:
            what = "other words than may be read there"
            return [_off("transcript-words", "error", f"{path.name}, line {number} holds {what}")]
    if at == len(owed):
        return []
    return [_off("transcript-missing", "warning", f"{path.name} ends before the last words")]


def _rows_of_page(text: str) -> list[tuple[int, str]]:
    """Return the lines of a page with the line of the source that each begins in.

    Comments are lines too: they can be read.
    """
    reader = _Rows()
    try:
        reader.feed(text)
        reader.close()
    except AssertionError:  # what Python's parser says of some broken declarations
        reader.handle_comment("broken markup")
    reader.end_row()
    return reader.rows


class _Rows(HTMLParser):
    """Collects what a page says, block by block; its style says nothing."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[tuple[int, str]] = []
        self._row: list[str] = []
        self._is_style = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._is_style = tag == "style"
        if tag in BLOCKS:
            self.end_row()
        # a window or a screen reader says these
        for said in (value for name, value in attrs if name in {"alt", "title", "aria-label"}):
            self.rows.append((self.getpos()[0], said or ""))

    def handle_endtag(self, tag: str) -> None:
        self._is_style = False
        if tag in BLOCKS:
            self.end_row()

    def handle_data(self, data: str) -> None:
        if not self._is_style:
            self._row.append(data)

    def handle_comment(self, data: str) -> None:
        self.rows.append((self.getpos()[0], data))

    def end_row(self) -> None:
        row = " ".join("".join(self._row).split())
        if row:
            self.rows.append((self.getpos()[0], row))
        self._row = []


def _transcribed(sound: ExpectedSound, policy: CaptionPolicy | None) -> list[str]:
    """Return the words of a sound that a transcript for candidates holds."""
    piece = sound.piece
    if isinstance(piece, ToneCue) or (not isinstance(piece, Utterance) and not piece.sound.words):
        return []
    if policy is None:
        return shown_words(sound)
    is_asked = sound.role in ASKED
    is_open = policy == "everything" and sound.role != "answer"
    is_open = is_open or (policy == "instructions" and not is_asked)
    if isinstance(piece, Utterance):
        return tokens(piece.caption(block_is_shown=is_open, is_instruction=not is_asked))
    return tokens(piece.sound.words or "") if is_open else []


def _off(code: str, severity: Severity, sentence: str) -> Finding:
    return Finding(code, severity, sentence, REBUILD)


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as why:
        raise TrackError(f"‘{path.name}’ cannot be read", "check the folder") from why
