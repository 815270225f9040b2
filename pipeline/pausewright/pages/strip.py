"""The strip of time: a recording drawn to scale from left to right, wrapped like lines of text.

Speech is solid, silence open, its kind told by a pattern and a word; stops and page turns are gaps.
Beside the drawing stands the same as an ordered list with times, which is what a screen reader and
the keyboard use. It takes plain values, so that reports, recordings and screens can call it;
its template is strip.html (macro `strip`), its style strip.css.

    page("pausewright.checker", "report_page.html", STYLE, STRIP_STYLE, strip=strip(stretches))
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

STRIP_STYLE: Final = "strip.css"
"""For `page`: the style of strips."""

Kind: TypeAlias = Literal[
    "speech",
    "sound",
    "pause",
    "answer-time",
    "look-time",
    "between-readings",
    "phrase-time",
    "extra-time",
    "page-turn",
    "hold",
    "silence",
]
KINDS: Final[Mapping[Kind, str]] = {
    "speech": "speech",
    "sound": "tone or sound",
    "pause": "pause",
    "answer-time": "answer time",
    "look-time": "look time",
    "between-readings": "silence between readings",
    "phrase-time": "phrase time",
    "extra-time": "extra time in one piece",
    "page-turn": "page-turn time",
    "hold": "hold",
    "silence": "silence",
}
"""What the key calls each kind, in its order."""
LINE_LENGTHS_S: Final = (15, 30, 60, 120, 300, 600)
"""Seconds that a line may show."""
MOST_LINES: Final = 16
LETTER_SHARE: Final = 1.6
"""Per cent of a line that a letter takes up: a silence has its word where there is room for it."""
NUMBER_SHARE: Final = 5.0
"""Per cent of a line that two numbers lie apart at least; nearer ones stand in the list only."""


@frozen
class Stretch:
    """One stretch of a recording, from its first to its last moment."""

    kind: Kind
    start_s: Fraction
    length_s: Fraction
    words: str = ""
    """What it is, for the list: "question 7, reading 1"; the word of its kind without it."""
    number: str = ""
    """Of the question that begins here, as it stands over the drawing."""


@frozen
class Mark:
    """A place that is pointed at: of a finding, of a chapter, of an incident."""

    at_s: Fraction
    words: str
    is_grave: bool = True
    """Drawn solid; else hollow."""
    href: str = ""
    """Where the list leads to, as "#finding-3"."""


@frozen
class Box:
    """A stretch, or its part on one line, in per cent of the line."""

    kind: Kind
    x: float
    width: float
    word: str
    """In the drawing; "" where there is no room."""


@frozen
class Row:
    """One line of the drawing."""

    time: str
    """Of its left end."""
    boxes: tuple[Box, ...]
    numbers: tuple[tuple[float, str], ...]
    marks: tuple[tuple[float, bool], ...]
    """Places, and whether each is grave."""


@frozen
class Entry:
    """One entry of the list."""

    time: str
    words: str
    length: str
    marks: tuple[Mark, ...]


@frozen
class Strip:
    """A strip, ready for its template."""

    line_s: int
    """Seconds of one whole line."""
    length: str
    rows: tuple[Row, ...]
    key: tuple[tuple[Kind, str], ...]
    has_marks: bool
    entries: tuple[Entry, ...]


def strip(stretches: Sequence[Stretch], marks: Sequence[Mark] = ()) -> Strip:
    """Return a strip of stretches in their order of time, with places that are pointed at.

    What lies between two stretches is left empty. Times are exact; only the drawing is rounded.
    """
    end_s = max((one.start_s + one.length_s for one in stretches), default=Fraction(0))
    line_s = next((s for s in LINE_LENGTHS_S if end_s <= s * MOST_LINES), LINE_LENGTHS_S[-1])
    n_rows = max(1, -int(-end_s // line_s))
    of_rows: list[list[Stretch]] = [[] for _ in range(n_rows)]
    for one in stretches:
        first, last = int(one.start_s // line_s), int((one.start_s + one.length_s) // line_s)
        for n in range(min(first, n_rows - 1), min(last, n_rows - 1) + 1):
            of_rows[n].append(one)
    kinds = {one.kind for one in stretches}
    return Strip(
        line_s=line_s,
        length=player_time(end_s),
        rows=tuple(
            _row(n, line_s, own, marks, is_last=n + 1 == n_rows) for n, own in enumerate(of_rows)
        ),
        key=tuple((kind, word) for kind, word in KINDS.items() if kind in kinds),
        has_marks=bool(marks),
        entries=tuple(_entries(stretches, marks)),
    )


def player_time(at_s: Fraction) -> str:
    """Return a time as players show it: minutes and whole seconds that have passed, "7:04"."""
    return f"{int(at_s) // 60}:{int(at_s) % 60:02d}"


def _row(
    n: int, line_s: int, stretches: Sequence[Stretch], marks: Sequence[Mark], *, is_last: bool
) -> Row:
    """Return a line of the drawing from the stretches that reach into it."""
    start_s, end_s = Fraction(n * line_s), Fraction((n + 1) * line_s)

    def share(at_s: Fraction) -> float:
        return round(float(100 * (at_s - start_s) / line_s), 3)

    def is_here(at_s: Fraction) -> bool:
        return start_s <= at_s < end_s or (is_last and at_s == end_s)

    boxes: list[Box] = []
    numbers: list[tuple[float, str]] = []
    for one in stretches:
        first_s, last_s = max(one.start_s, start_s), min(one.start_s + one.length_s, end_s)
        if first_s < last_s:
            width = round(float(100 * (last_s - first_s) / line_s), 3)
            word = "" if one.kind in {"speech", "sound", "pause"} else KINDS[one.kind]
            has_room = width >= LETTER_SHARE * len(word)
            boxes.append(Box(one.kind, share(first_s), width, word if has_room else ""))
        if one.number and is_here(one.start_s):
            x = share(one.start_s)
            if not numbers or x - numbers[-1][0] >= NUMBER_SHARE:
                numbers.append((x, one.number))
    pointed = [(share(mark.at_s), mark.is_grave) for mark in marks if is_here(mark.at_s)]
    return Row(player_time(start_s), tuple(boxes), tuple(numbers), tuple(dict.fromkeys(pointed)))


def _entries(stretches: Sequence[Stretch], marks: Sequence[Mark]) -> list[Entry]:
    """Return the list: what is one thing but for pauses in it is one entry."""
    runs: list[list[Stretch]] = []
    for one in stretches:
        if one.kind == "pause" and runs:
            continue
        last = runs[-1][-1] if runs else None
        if last is not None and one.words and (last.kind, last.words) == (one.kind, one.words):
            runs[-1].append(one)
        else:
            runs.append([one])
    entries = []
    for n, run in enumerate(runs):
        start_s, end_s = run[0].start_s, run[-1].start_s + run[-1].length_s
        next_s = runs[n + 1][0].start_s if n + 1 < len(runs) else None
        own = [
            mark
            for mark in marks
            if (mark.at_s >= start_s or n == 0) and (next_s is None or mark.at_s < next_s)
        ]
        words = run[0].words or KINDS[run[0].kind]
        entries.append(Entry(player_time(start_s), words, _length(end_s - start_s), tuple(own)))
    return entries


def _length(length_s: Fraction) -> str:
    """Return a length of time in seconds to the thousandth, rounded half up."""
    ms = (length_s.numerator * 2000 + length_s.denominator) // (2 * length_s.denominator)
    return f"{ms // 1000}.{ms % 1000:03d} s"
