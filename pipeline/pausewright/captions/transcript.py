"""Transcripts in plain text: one for candidates, one with everything for the centre's files."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from pausewright.captions.cues import shown_speaker
from pausewright.captions.shown_rows import Heading, one_line, shown_rows
from pausewright.plan.clock import Clock, shown_seconds
from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.script.recordings.cue_grammar import clock_time
from pausewright.script.silences import silence_name
from pausewright.wording.line_elements import Excerpt, Utterance

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pausewright.plan.timeline import Placed, Timeline


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
    for row in shown_rows(timeline):
        rows += ["", row.text, ""] if isinstance(row, Heading) else [row.text]
    return rows


def _everything(timeline: Timeline) -> list[str]:
    rows: list[str] = []
    for placed in timeline.placed:
        step = placed.step
        if isinstance(step, Mark):
            rows += ["", f"{_at(placed, timeline)}  {step.title}"]
        elif isinstance(step, Wait):
            silence = f"{silence_name(step.kind)}: {shown_seconds(step.wait_s)} s"
            rows.append(f"{_at(placed, timeline)}  [{silence}]")
        else:
            speaker = shown_speaker(step)
            name = f"{speaker}: " if speaker else ""
            rows.append(f"{_at(placed, timeline)}  {name}{_text(step)}")
    return rows


def _text(step: Say) -> str:
    """Return the words of a sound as spoken, or what it is if it has none."""
    element = step.element
    if isinstance(element, Utterance):
        return one_line(element.words)
    if isinstance(element, Excerpt):
        recording = f"[recording: {one_line(element.sound.description) or element.sound.path}]"
        return f"{recording} {one_line(element.sound.words or '')}".strip()
    return f"[tone ‘{element.name}’: {shown_seconds(element.spec.tone_s)} s]"


def _at(placed: Placed, timeline: Timeline) -> str:
    return clock_time(Clock(timeline.rate_hz).milliseconds(placed.start_sample), ".")
