"""Transcripts in plain text: one for candidates, one with everything for the centre's files."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, Literal

from pausewright.captions.cues import shown_speaker, shown_text
from pausewright.captions.webvtt import clock_time
from pausewright.plan.clock import Clock, exact_seconds
from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.wording.pieces import Excerpt, Utterance

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pausewright.plan.timeline import Placed, Timeline

PARAGRAPH_S: Final = Fraction(7, 10)
"""A silence of this length or more begins a new line."""


def transcript(
    timeline: Timeline, *, heading: Iterable[str], words: Literal["shown", "all"]
) -> str:
    """Return a transcript in UTF-8 text.

    "shown", for candidates: only what captions show, under the titles of parts. Questions
    appear by their announcements. "all", confidential: every word as it is spoken, tones and
    recordings in brackets, and each silence in brackets with its kind and its exact seconds,
    after the time at which it begins.

    Parameters
    ----------
    timeline : of the track
    heading : first lines, for example title, edition and version label
    words : whose
    """
    head = [*heading, ""]
    body = _everything(timeline) if words == "all" else _shown(timeline)
    return "\n".join([*head, *body]).rstrip("\n") + "\n"


def _shown(timeline: Timeline) -> list[str]:
    rows: list[str] = []
    row: list[str] = []
    speaker = ""
    for placed in timeline.placed:
        step = placed.step
        if isinstance(step, Mark):
            if step.kind == "part":
                _end(rows, row)
                rows += ["", step.title, ""]
        elif isinstance(step, Wait):
            if step.wait_s >= PARAGRAPH_S:
                _end(rows, row)
        elif text := _one_line(shown_text(step)):
            if row and shown_speaker(step) != speaker:
                _end(rows, row)
            speaker = shown_speaker(step)
            if not row and speaker:
                row.append(f"{speaker}:")
            row.append(text)
    _end(rows, row)
    return rows


def _everything(timeline: Timeline) -> list[str]:
    rows: list[str] = []
    for placed in timeline.placed:
        step = placed.step
        if isinstance(step, Mark):
            rows += ["", f"{_at(placed, timeline)}  {step.title}"]
        elif isinstance(step, Wait):
            rows.append(f"{_at(placed, timeline)}  [{step.kind}: {exact_seconds(step.wait_s)} s]")
        else:
            speaker = shown_speaker(step)
            name = f"{speaker}: " if speaker else ""
            rows.append(f"{_at(placed, timeline)}  {name}{_text(step)}")
    return rows


def _text(step: Say) -> str:
    """Return the words of a sound as spoken, or what it is if it has none."""
    piece = step.piece
    if isinstance(piece, Utterance):
        return _one_line(piece.words)
    if isinstance(piece, Excerpt):
        recording = f"[recording: {_one_line(piece.sound.description) or piece.sound.path}]"
        return f"{recording} {_one_line(piece.sound.words or '')}".strip()
    return f"[tone ‘{piece.name}’: {exact_seconds(piece.spec.tone_s)} s]"


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _end(rows: list[str], row: list[str]) -> None:
    """Close the row that is being filled, if there is one."""
    if row:
        rows.append(" ".join(row))
        row.clear()


def _at(placed: Placed, timeline: Timeline) -> str:
    return clock_time(Clock(timeline.rate_hz).milliseconds(placed.start_sample), ".")
