"""Plain-text papers: the answer sheet for candidates and the running sheet for the room.

Both carry title, version label and edition, and come from the same script as the sound: a
number on the sheet is a question that is asked.
"""

from __future__ import annotations

import re
import textwrap
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from pausewright.plan.clock import counter
from pausewright.plan.pieces import pieces
from pausewright.plan.timeline import Mark, Say, Timeline, Wait
from pausewright.script.attributes.values import decimal
from pausewright.script.inline.paragraph_content import plain
from pausewright.script.model import Note, Options, PageTurn, Prose, Question, SubQuestion
from pausewright.script.silences import silence_name

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from pausewright.plan.pieces import Piece
    from pausewright.script.model import Group, Part, QuestionContent, Script

_WIDTH: Final = 76
_LISTED: Final = frozenset({"page-turn-time", "look-time"})
"""Silences that a running sheet lists: those in which an invigilator sees candidates move."""
_LINE: Final = "_" * 40
_ANSWER: Final = re.compile(r"\[[_ .…]*\]\{\.answer(?:\s+lines=\"?(\d+)\"?)?\s*\}")
_PICTURE: Final = re.compile(r"!\[([^\]]*)\]\([^)]*\)(?:\{[^}]*\})?")
_SPAN: Final = re.compile(r"\[([^\]]*)\]\{[^}]*\}")
_ESCAPE: Final = re.compile(r"\\([!-/:-@\[-`{-~])")


def answer_sheet(script: Script, *, label: str, edition: str) -> str:
    """Return the candidates' answer sheet: numbers, what is printed, places to write.

    Keys, staff notes and spoken words are never on it.
    """
    rows = [script.settings.title, f"Version {label} · edition {edition}", "", "Name: " + _LINE, ""]
    for part in script.parts:
        rows += _part(part)
    return "\n".join(rows).rstrip("\n") + "\n"


def _part(part: Part) -> list[str]:
    if not any(_is_printed(b) for group in part.groups for b in group.blocks):
        return []
    rows = ["", part.title.upper(), ""] if part.title else [""]
    for group in part.groups:
        rows += _group(group)
    return rows


def _is_printed(block: object) -> bool:
    return isinstance(block, Question) or (isinstance(block, Note) and block.kind == "sheet")


def _group(group: Group) -> list[str]:
    rows: list[str] = [group.title, ""] if group.title and _asks(group) else []
    for block in group.blocks:
        if isinstance(block, PageTurn):
            rows += ["", "-" * _WIDTH, "(turn over)", ""]
        elif isinstance(block, Note) and block.kind == "sheet":
            rows += [*_sheet(block.text, ""), ""]
        elif isinstance(block, Question):
            rows += _question(block)
    return rows


def _asks(group: Group) -> bool:
    return any(isinstance(b, Question) for b in group.blocks)


def _question(question: Question) -> list[str]:
    if question.withdrawn:
        return [f"{question.label}.  (leave blank)", ""]
    indent = " " * (len(question.label) + 3)
    head = f"{question.label}.  "
    body: list[str] = []
    if question.printed:
        stem = [plain(c.inlines) for c in question.content if isinstance(c, Prose)]
        body += textwrap.wrap(" ".join(" ".join(stem).split()), _WIDTH - len(indent))
    if question.sheet is not None:
        body += _sheet(question.sheet.text, "")
    choices = _choices(question.content)
    body += choices
    subs = [c for c in question.content if isinstance(c, SubQuestion)]
    for sub in subs:
        words = " ".join(plain(c.inlines) for c in sub.content if isinstance(c, Prose))
        shown = words if question.printed else ""
        own = [] if sub.sheet is None else _sheet(sub.sheet.text, "")
        own += _choices(sub.content)
        if not any("____" in row for row in own):
            own += [_LINE] * sub.lines
        own[-1] += f"   ({sub.marks} marks)" if sub.marks > 1 and not question.practice else ""
        body += [f"{sub.letter}.  {shown}".rstrip(), *own]
    if not choices and not subs and not any("____" in row for row in body):
        body += [_LINE] * question.lines
    if question.marks > 1 and not question.practice:
        body[-1] += f"   ({question.marks} marks)"
    first, *rest = body
    return [head + first, *(f"{indent}{row}".rstrip() for row in rest), ""]


def _choices(content: Sequence[QuestionContent]) -> list[str]:
    """Return the answers to choose from and where to write the letter, if there are any."""
    rows = [
        f"{option.letter}.  {_option(plain(option.prose.inlines), option.prose)}"
        for block in content
        if isinstance(block, Options)
        for option in block.options
    ]
    return [*rows, "Answer: ______"] if rows else []


def _option(words: str, prose: Prose) -> str:
    pictures = [getattr(n, "description", "") for n in prose.inlines]
    described = " ".join(f"[picture: {d}]" for d in pictures if d)
    return words.strip() or described


def _sheet(text: str, indent: str) -> list[str]:
    rows: list[str] = []
    for row in text.splitlines():
        shown = _ANSWER.sub(lambda m: "\n".join([_LINE] * int(m[1] or 1)), row)
        shown = _PICTURE.sub(lambda m: f"[picture: {m[1]}]", shown)
        shown = _ESCAPE.sub(r"\1", _SPAN.sub(r"\1", shown).replace("**", ""))
        rows += [f"{indent}{piece}" for piece in shown.split("\n")]
    return rows


def running_sheet(
    script: Script,
    timeline: Timeline,
    *,
    label: str,
    edition: str,
    track: str,
    in_pieces: bool = False,
) -> str:
    """Return what the invigilator follows: times in the track, stops to press pause at, end.

    No word of a question is on it. `in_pieces`: the track is also there cut at its stops.
    """
    files = pieces(timeline) if in_pieces else ()
    rows = [
        f"Running sheet: {script.settings.title}",
        f"Version {label} · edition {edition} · track {track}",
        f"Length {_clock(Fraction(timeline.n_samples, timeline.rate_hz))} without stops",
        "",
        "Listen to the whole track before use. Keep a spare copy and a reader ready.",
        *_files(files, timeline.rate_hz, track),
        "",
        "  at        what",
    ]
    rows += _events(timeline, files)
    rows += [f"  {_clock(Fraction(timeline.n_samples, timeline.rate_hz))}   end of the track"]
    return "\n".join(rows) + "\n"


def _files(files: Sequence[Piece], rate_hz: int, track: str) -> list[str]:
    """Return how to play a track in pieces, and where each begins in the whole track."""
    if not files:
        return []
    stem, _, ending = track.rpartition(".")
    words = (
        f"The same in {len(files)} files, for a player without a pause button that can be trusted. "
        "Start file 1. Where the room waits, the file ends. Start the next one when the room is "
        "ready: it begins with a tone. Set the player so that it does not go on to the next file "
        "by itself, and try that out. Play either the files or the whole track."
    )
    return [
        "",
        *textwrap.wrap(words, _WIDTH),
        "",
        "  file                                     begins at   length",
        *(
            f"  {one.number:2d}  {f'…_{one.mark}.{ending}':34s} "
            f"{_clock(Fraction(one.start_sample, rate_hz)):>10s} "
            f"{_clock(Fraction(one.n_samples, rate_hz)):>8s}"
            for one in files
        ),
        f"  … is {stem}",
    ]


def _events(timeline: Timeline, files: Sequence[Piece]) -> Iterable[str]:
    placed = timeline.placed
    n_holds = 0
    for index, item in enumerate(placed):
        at = _clock(Fraction(item.start_sample, timeline.rate_hz))
        step = item.step
        if isinstance(step, Mark):
            indent = "" if step.kind == "part" else "  "
            yield f"  {at}   {indent}{step.title}"
        elif isinstance(step, Wait) and step.kind == "hold":
            held = decimal(step.wait_s)
            yield (
                f"  {at}     PRESS PAUSE HERE "
                f"(silence of {held} s, then a tone and “{_continues(placed, index)}”)"
            )
            n_holds += 1
            if files:
                yield f"              or: file {n_holds} ends; start file {n_holds + 1} when ready"
        elif isinstance(step, Wait) and step.kind in _LISTED:
            yield f"  {at}     {silence_name(step.kind)} ({decimal(step.wait_s)} s)"


def _continues(placed: Sequence[object], index: int) -> str:
    for item in placed[index:]:
        step = getattr(item, "step", None)
        if isinstance(step, Say) and step.role == "continues":
            words = getattr(step.element, "shown", "")
            if words:
                return str(words)
    return "…"


def _clock(at_s: Fraction) -> str:
    return counter(at_s).rjust(6)
