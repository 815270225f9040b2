"""Transcripts for candidates and printed instructions: their words, and the times beside them.

A page is read as text, for what its source holds and not for what it draws.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

from pausewright.arrange.arrangement_words import ArrangementWords
from pausewright.checker.limits.shown import EARLY_S, WHOLE_SECOND_S
from pausewright.checker.result.findings import Finding
from pausewright.checker.shown.captions_shown import ASKED, shown_words, speaker_of, tokens
from pausewright.checker.shown.rows import TRANSCRIPTS, rows_of
from pausewright.frozen import frozen
from pausewright.wording.line_elements import ToneCue, Utterance

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.checker.expect.expected import Expectation, ExpectedSound
    from pausewright.checker.expect.line_runs import WordedScript
    from pausewright.checker.match.match import Matching
    from pausewright.problems import Severity
    from pausewright.script.declared import CaptionPolicy

REBUILD = "build the version again from this script"
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
    for number, row in rows_of(path):
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


@frozen
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
