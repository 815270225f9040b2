"""Transcripts for candidates and printed instructions: their words, and the times beside them.

A page is read as text, for what its source holds and not for what it draws.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from html.parser import HTMLParser
from typing import TYPE_CHECKING

from pausewright.arrange.arrangement_words import ArrangementWords
from pausewright.checker.result.findings import Finding
from pausewright.checker.shown.captions_shown import ASKED, EARLY_S, shown_words, speaker_of, tokens
from pausewright.intake.file_kinds import PAGE
from pausewright.intake.plain_file import file_bytes
from pausewright.wording.line_elements import ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.checker.expect.expected import Expectation, ExpectedSound
    from pausewright.checker.expect.line_runs import WordedScript
    from pausewright.checker.match.match import Matching
    from pausewright.problems import Severity
    from pausewright.script.declared import CaptionPolicy

TRANSCRIPTS = ("_transcript.txt", "_transcript.html")
INSTRUCTIONS = "instructions_"
"""How the name of the printed instructions begins; label and edition follow."""
N_HEADING_LINES = 2
"""Title; version and edition. A page says its title once more, for the window."""
N_NOTES = 2
"""Printed instructions: what their times are; whose page it is."""
BLOCKS = frozenset({"title", "h1", "h2", "p", "div", "section", "li", "td", "tr", "br"})
REBUILD = "build the version again from this script"
WHOLE_SECOND_S = Fraction(1)
"""What a time in whole seconds may be off."""
_TIMED = re.compile(r"(\d{1,4}):([0-5]\d) (.*)", re.ASCII | re.DOTALL)


def judge_transcript(
    path: Path,
    worded: WordedScript,
    expectation: Expectation,
    matching: Matching,
    rate_hz: int,
) -> list[Finding]:
    """Return what is wrong with a transcript for candidates, or with printed instructions.

    It must hold, in order, the words that may be shown, under the titles of parts, and nothing
    else: what captions may show, unless the arrangement declares another `transcript`. Printed
    instructions hold what of this instructs, each line after the time at which it is heard.

    Raises
    ------
    TrackError
        If the file cannot be read.
    """
    is_timed = not path.name.endswith(TRANSCRIPTS)
    titles = {part.title for part in worded.script.parts}
    owed = _owed(expectation, worded, is_timed=is_timed)
    words = [one.word for one in owed]
    names = {speaker_of(sound) for sound in expectation.sounds} - {""}
    clock = _Clock(path.name, expectation, matching, rate_hz)
    findings: list[Finding] = []
    at = 0
    for number, row in _rows(path, is_timed=is_timed):
        stated_s, text = _timed(row) if is_timed else (None, row)
        n_told = _n_told(text, words[at:], names)
        if n_told and is_timed:
            findings += clock.judged(number, stated_s, owed[at])
        elif not n_told and tokens(row) and row not in titles:
            what = "other words than may be read there"
            sentence = f"{path.name}, line {number} holds {what}"
            return [*findings, _off("transcript-words", "error", sentence)]
        at += n_told
    if at < len(owed):
        sentence = f"{path.name} ends before the last words"
        findings.append(_off("transcript-missing", "warning", sentence))
    return findings


def _rows(path: Path, *, is_timed: bool) -> list[tuple[int, str]]:
    """Return the lines of a file after its heading, with their numbers."""
    text = bytes_of(path).decode("utf-8", "replace")
    is_page = path.suffix == ".html"
    rows = _rows_of_page(text) if is_page else list(enumerate(text.split("\n"), 1))
    return rows[N_HEADING_LINES + is_page + N_NOTES * is_timed :]


def _timed(row: str) -> tuple[int | None, str]:
    """Return the seconds that a line begins with, and its words; None if there is no time."""
    found = _TIMED.fullmatch(row)
    return (60 * int(found[1]) + int(found[2]), found[3]) if found else (None, row)


def _n_told(row: str, owed: Sequence[str], names: set[str]) -> int:
    """Return how many of the next words a line tells; it may begin with a speaker's name."""
    name, colon, rest = row.partition(":")
    ways = [tokens(row), *([tokens(rest)] if colon and name in names else [])]
    return next((len(way) for way in ways if way and list(owed[: len(way)]) == way), 0)


# ---- times -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Owed:
    """A word that the file must hold."""

    word: str
    sound: int
    is_first: bool
    """Whether its sound begins with it."""


class _Clock:
    """Compares times on paper with the measured track."""

    def __init__(
        self, name: str, expectation: Expectation, matching: Matching, rate_hz: int
    ) -> None:
        self._name = name
        self._sounds = expectation.sounds
        self._matching = matching
        self._rate_hz = rate_hz
        self._allowed_s = WHOLE_SECOND_S + EARLY_S + matching.tolerance.hidden_s

    def judged(self, number: int, stated_s: int | None, first: _Owed) -> list[Finding]:
        """Return an error if a line's words are not heard at its time."""
        if stated_s is None:
            sentence = f"{self._name}, line {number} has no time"
            return [_off("transcript-time", "error", sentence)]
        heard = self._matching.heard[first.sound]
        if heard is None:
            return []
        begins_s, ends_s = (Fraction(frame, self._rate_hz) for frame in heard)
        is_known = first.is_first and self._matching.alone[first.sound]
        nearest_s = min(max(Fraction(stated_s), begins_s), begins_s if is_known else ends_s)
        if abs(nearest_s - stated_s) <= self._allowed_s:
            return []
        sound = self._sounds[first.sound]
        return [
            Finding(
                "transcript-time",
                "error",
                f"{self._name}, line {number}: these words are heard at another time",
                REBUILD,
                at_s=begins_s,
                question=sound.question,
                place=sound.place,
                expected=Fraction(stated_s),
                measured=nearest_s,
                difference=nearest_s - stated_s,
                allowed=self._allowed_s,
                unit="s",
            )
        ]


# ---- pages -----------------------------------------------------------------------------------


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


# ---- words -----------------------------------------------------------------------------------


def _owed(expectation: Expectation, worded: WordedScript, *, is_timed: bool) -> list[_Owed]:
    """Return the words that the file must hold, in order."""
    policy: CaptionPolicy | None = None
    if isinstance(worded, ArrangementWords):
        policy = worded.arrangement.transcript
    return [
        _Owed(word, i, is_first=k == 0)
        for i, sound in enumerate(expectation.sounds)
        for k, word in enumerate(
            _asked_openly(sound)
            if is_timed and sound.role in ASKED
            else _transcribed(sound, policy)
        )
    ]


def _asked_openly(sound: ExpectedSound) -> list[str]:
    """Return the words of a question that may be shown by their own declaration."""
    if not isinstance(sound.element, Utterance):
        return []
    return tokens(sound.element.caption(block_is_shown=False, is_instruction=False))


def _transcribed(sound: ExpectedSound, policy: CaptionPolicy | None) -> list[str]:
    """Return the words of a sound that a transcript for candidates holds."""
    element = sound.element
    if isinstance(element, ToneCue) or (
        not isinstance(element, Utterance) and not element.sound.words
    ):
        return []
    if policy is None:
        return shown_words(sound)
    is_asked = sound.role in ASKED
    is_open = policy == "everything" and sound.role != "answer"
    is_open = is_open or (policy == "instructions" and not is_asked)
    if isinstance(element, Utterance):
        return tokens(element.caption(block_is_shown=is_open, is_instruction=not is_asked))
    return tokens(element.sound.words or "") if is_open else []


def _off(code: str, severity: Severity, sentence: str) -> Finding:
    return Finding(code, severity, sentence, REBUILD)


def bytes_of(path: Path) -> bytes:
    """Return the bytes of a file that lies beside a track.

    Raises
    ------
    TrackError
        If it cannot be read.
    """
    return file_bytes(path, PAGE)
