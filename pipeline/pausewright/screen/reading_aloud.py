"""What a person says and waits for who reads a test aloud in place of its track, step by step."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal, TypeAlias

from pausewright.captions.cues import shown_speaker
from pausewright.frozen import frozen
from pausewright.plan.clock import Clock
from pausewright.plan.timeline import Mark, Say, Wait
from pausewright.screen.screen_places import places, reading_name
from pausewright.script.silences import room_name
from pausewright.wording.line_elements import Excerpt, Utterance

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pausewright.plan.timeline import Timeline
    from pausewright.script.model import Script

LineKind: TypeAlias = Literal["say", "play", "wait", "signal"]
"""Words; a sound that only the track has; a silence by the stopwatch; a wait for candidates."""

_UNTIMED = frozenset({"default-pause", "lead-in", "run-out"})
"""Silences that a reader makes without a stopwatch."""


@frozen
class ReadingLine:
    """One step of reading aloud."""

    kind: LineKind
    text: str
    """Words to say; the name of a silence; a description of a sound."""
    printed: str
    """How the words stand in captions and on paper, where that differs from how they are said."""
    speaker: str
    where: str
    """As on the room screen."""
    length_ms: int
    """How long the track takes for it."""
    start_ms: int = 0
    """Where it is on the track."""
    part: str = ""
    """Title of its part."""


def reading_lines(script: Script, timeline: Timeline) -> tuple[ReadingLine, ...]:
    """Return all steps, in order: one sentence each, and the silences that candidates have."""
    return tuple(_lines(script, timeline))


def _lines(script: Script, timeline: Timeline) -> Iterator[ReadingLine]:
    clock = Clock(timeline.rate_hz)
    stretches = iter(places(script, timeline).stretches)
    here = next(stretches, None)
    for one in timeline.placed:
        step = one.step
        start_ms, end_ms = clock.milliseconds(one.start_sample), clock.milliseconds(one.end_sample)
        while here is not None and here.end_ms <= start_ms:
            here = next(stretches, None)
        where = here.sentence if here else ""
        part = here.part if here else ""
        if isinstance(step, Mark) or (isinstance(step, Say) and step.role == "continues"):
            continue
        if isinstance(step, Wait):
            if step.kind in _UNTIMED:
                continue
            is_hold = step.kind == "hold"
            text = "Wait until you may go on" if is_hold else _silence_name(step)
            kind: LineKind = "signal" if is_hold else "wait"
            line = ReadingLine(kind, text, "", "", where, end_ms - start_ms)
        else:
            line = _sound(step, where, end_ms - start_ms)
        yield replace(line, start_ms=start_ms, part=part)


def _silence_name(step: Wait) -> str:
    if step.kind == "between-readings" and step.reading:
        return f"Silence before the {reading_name(step.reading + 1)}"
    return room_name(step.kind).capitalize()


def _sound(step: Say, where: str, length_ms: int) -> ReadingLine:
    element, speaker = step.element, shown_speaker(step)
    if isinstance(element, Utterance):
        printed = "" if element.shown == element.words else element.shown
        return ReadingLine("say", element.words, printed, speaker, where, length_ms)
    if isinstance(element, Excerpt):
        words = " ".join((element.sound.words or "").split())
        if words:
            return ReadingLine("say", words, "", speaker, where, length_ms)
        described = " ".join(element.sound.description.split()) or element.sound.path
        return ReadingLine("play", f"Sound: {described}", "", speaker, where, length_ms)
    return ReadingLine("play", f"Tone ‘{element.name}’", "", "", where, length_ms)
