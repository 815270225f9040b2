"""Cues: which words stand on the screen, and when."""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from pausewright.plan.clock import Clock
from pausewright.plan.timeline import Say
from pausewright.wording.pieces import Excerpt, Utterance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.plan.timeline import Placed, Timeline

LINE_CHARACTERS: Final = 37
"""Longest line (BBC Subtitle Guidelines, sections 3.1 and 3.3)."""

LINES: Final = 2
"""Lines of a cue at most (same place)."""

_SHORTEST_FIRST_LINE: Final = 12
"""Room for words beside a speaker's name, however long the name."""

_BLANKS: Final = re.compile(r"[ \t\r\n\f\v\x1c-\x1f\x85\u2028\u2029]+")
"""Where a line may break. No-break spaces are not among them."""


@dataclass(frozen=True, slots=True)
class Cue:
    """Words and their time: the half-open range [start_ms, end_ms), never empty."""

    identifier: str
    """Unique in the track."""
    start_ms: int
    end_ms: int
    lines: tuple[str, ...]
    """Plain text; at least one line, none empty, without line ends."""
    speaker: str = ""
    named: bool = False
    """Whether a writer of plain text should put the speaker's name before the words: the first
    cue of a speaker's words."""
    question: str = ""
    reading: int = 0


def cues(timeline: Timeline) -> tuple[Cue, ...]:
    """Return the cues of all sounds whose words may be shown, in order.

    An utterance has one cue, as long as it is heard. Words that need more than two lines of 37
    characters become several cues one after the other, which share the utterance's time by
    their numbers of characters. A word longer than a line is not broken. A recorded sound has
    cues if its words are declared; a tone has none.

    Samples become milliseconds once, to the nearest, halves up. Cues never reach into silence,
    so a gap on the screen is a gap in the sound; none is closed, however short.
    """
    clock = Clock(timeline.rate_hz)
    found: list[Cue] = []
    for placed in timeline.placed:
        step = placed.step
        if isinstance(step, Say) and (words := _words(step)):
            found += _cues_of(placed, step, words, clock, len(found) + 1)
    return tuple(found)


def shown_text(step: Say) -> str:
    """Return what candidates may see of a sound: "" for a tone and for what is withheld."""
    piece = step.piece
    if isinstance(piece, Utterance):
        return piece.caption(
            block_is_shown=step.captioned, is_instruction=step.role not in {"question", "passage"}
        )
    if isinstance(piece, Excerpt) and step.captioned:
        return piece.sound.words or ""
    return ""


def _words(step: Say) -> list[str]:
    """Return the words to show, none for a tone or a recording without declared words."""
    text = shown_text(step)
    return [word for word in _BLANKS.split(text.replace("\0", "\ufffd")) if word]


def shown_speaker(step: Say) -> str:
    """Return who says it, as declared on the turn or on the recording; "" if nobody is named."""
    if not step.speaker and isinstance(step.piece, Excerpt):
        return step.piece.sound.speaker or ""
    return step.speaker


def _cues_of(
    placed: Placed, step: Say, words: Sequence[str], clock: Clock, first_number: int
) -> list[Cue]:
    speaker = shown_speaker(step)
    start_ms = clock.milliseconds(placed.start_sample)
    end_ms = max(clock.milliseconds(placed.end_sample), start_ms + 1)
    label = f"{speaker}: " if speaker else ""
    pages = _pages(words, len(label), end_ms - start_ms)
    spent = list(itertools.accumulate(sum(map(len, page)) for page in pages))
    n_samples = placed.end_sample - placed.start_sample
    found: list[Cue] = []
    for at, page in enumerate(pages):
        n_after = len(pages) - 1 - at
        from_ms = found[-1].end_ms if found else start_ms
        shared_ms = clock.milliseconds(placed.start_sample + n_samples * spent[at] // spent[-1])
        until_ms = min(max(shared_ms, from_ms + 1), end_ms - n_after)
        found.append(
            Cue(
                str(first_number + at),
                from_ms,
                until_ms if n_after else end_ms,
                tuple(page),
                speaker,
                named=bool(speaker) and at == 0,
                question=step.question,
                reading=step.reading,
            )
        )
    return found


def _pages(words: Sequence[str], n_label: int, most: int) -> list[list[str]]:
    """Return the words as lines, and the lines as cues: at most `most` of them.

    Lines are as even as they can be without needing more of them.
    """
    n_lines = len(_lines(words, LINE_CHARACTERS, n_label))
    n_pages = min(-(-n_lines // LINES), most)
    n_allowed = n_lines if n_lines <= LINES else n_pages * LINES
    narrow, wide = 1, LINE_CHARACTERS
    while narrow < wide:
        middle = (narrow + wide) // 2
        if len(_lines(words, middle, n_label)) <= n_allowed:
            wide = middle
        else:
            narrow = middle + 1
    lines = _lines(words, wide, n_label)
    n_pages = min(n_pages, len(lines))
    bounds = [len(lines) * page // n_pages for page in range(n_pages + 1)]
    return [lines[first:last] for first, last in itertools.pairwise(bounds)]


def _lines(words: Sequence[str], width: int, n_label: int) -> list[str]:
    """Return the words in lines of at most `width`; the first leaves room for a label."""
    room = max(width - n_label, min(width, _SHORTEST_FIRST_LINE)) if n_label else width
    lines: list[str] = []
    line = ""
    for word in words:
        if line and len(line) + 1 + len(word) > room:
            lines.append(line)
            line, room = word, width
        else:
            line = f"{line} {word}" if line else word
    return [*lines, line]
