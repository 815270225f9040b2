"""A good track of `checker_tracks.SCRIPT`, its words in time, and captions to check with it."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from pausewright.checker.check import check_track

from support.tracks.checker_tracks import (
    NUMBERS,
    SCRIPT,
    Beep,
    Gap,
    Say,
    laid,
    layout,
    speech,
    worded,
    written,
)

if TYPE_CHECKING:
    from pathlib import Path

    from pausewright.wording.worded import Worded

Shown: TypeAlias = tuple[str, float, float]
"""Words, start and end in seconds."""
Track: TypeAlias = "tuple[Worded, Path, list[Shown]]"
"""A worded script, its track, and each utterance's words."""

RATE = 16_000
SHOWN = {
    *(f"Number {number}." for number in range(1, 9)),
    *(item.words for item in layout() if isinstance(item, Say) and not item.tag.isdigit()),
}


def as_shown(words: str) -> str:
    """Return words as a caption shows them: "Number seven." as "Number 7."."""
    if words.startswith("Number "):
        return f"Number {NUMBERS.index(words[7:-1]) + 1}."
    return words


def made_track(folder: Path, text: str = SCRIPT) -> Track:
    """Return a script with the words of `SCRIPT`, a good track of it, and where its words are."""
    script = worded(folder, text)
    path = written(folder / "t.wav", laid(layout(), RATE), RATE)
    at, spoken = 0.0, []
    for item in layout():
        length_s = (
            float(item.wait_s)
            if isinstance(item, Gap)
            else float(item.tone_s)
            if isinstance(item, Beep)
            else len(speech(item.words, RATE)) / RATE
        )
        if isinstance(item, Say):
            spoken.append((as_shown(item.words), at, at + length_s))
        at += length_s
    return script, path, spoken


def stamp(at_s: float) -> str:
    """Return a WebVTT time."""
    ms = round(at_s * 1000)
    return f"{ms // 60000:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"


def judged(track: Track, folder: Path, cues: list[Shown]) -> list[str]:
    """Return codes of the findings for cues of (text, start, end) in seconds."""
    script, path, _ = track
    text = "WEBVTT\n" + "".join(
        f"\n{stamp(start)} --> {stamp(end)}\n{words}\n" for words, start, end in cues
    )
    file = folder / "t.vtt"
    file.write_text(text, encoding="utf-8")
    result = check_track(path, script, edition=None, captions=[file])
    return [finding.code for finding in result.findings]


def allowed(track: Track) -> list[Shown]:
    """Return good cues: all that may be shown, as long as it is heard."""
    return [(words, start, end + 0.1) for words, start, end in track[2] if words in SHOWN]
